"""Messages to the page: complete, plain JSON, with the words of the terminal."""

import dataclasses
import json
import math
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from simcore.accounts.audit import BrokenBound, Check
from simcore.errors import InputError, InputIssue
from simcore.results.catalogue import in_words
from simcore.results.run import Run
from simcore.studies.live.answer import Live
from simcore.views.live import messages

SHIPPED = Path(__file__).parents[4] / "scenarios"
CREEP, PUNCH = "creep at 0.15 m/s", "60 ms punch"
MOVED = {"rear.upper_link.chassis.1": 97.5}
KEYS = {
    "hello": {"type", "title", "file", "cases", "case", "knobs", "handles", "base", "version"},
    "first": {"type", "n", "case", "ms", "lines", "side", "metrics", "verdict", "state", "state_words"},
    "second": {
        *("type", "n", "headline", "concerns", "audit", "metrics", "state", "state_words"),
        *("lines", "side", "charts", "bands", "account", "film"),
    },
}
KNOB = {
    "path",
    "label",
    "group",
    "kind",
    "unit",
    "low",
    "high",
    "step",
    "value",
    "choices",
    "often",
    "says",
}


@pytest.fixture(scope="module")
def live() -> Live:
    return Live(SHIPPED / "launch_vs_creep.toml")


def sent(message: messages.Message) -> Any:
    """What a page reads."""
    return json.loads(messages.text(message), parse_constant=pytest.fail)


def test_hello_has_all_that_a_page_begins_with(live: Live) -> None:
    hello = sent(messages.hello(live, CREEP))
    assert hello.keys() == KEYS["hello"] and hello["cases"] == live.cases
    assert all(knob.keys() >= KNOB for knob in hello["knobs"])
    assert {knob["kind"] for knob in hello["knobs"]} == {"number", "choice", "switch"}
    assert all(one.keys() == {"id", "label", "kind", "paths", "at", "body"} for one in hello["handles"])
    assert {one["kind"] for one in hello["handles"]} == {"link", "shock", "mass"}
    assert all(metric["was"] is None for metric in hello["base"]["metrics"])
    other = sent(messages.hello(live, PUNCH))
    values = [{knob["path"]: knob["value"] for knob in one["knobs"]} for one in (hello, other)]
    assert [one["driver.control"] for one in values] == ["speed", "torque"]


def test_the_first_answer_in_the_words_of_the_terminal(live: Live) -> None:
    answer = live.first(CREEP, MOVED)
    first = sent(messages.first(live, answer, 7))
    assert first.keys() == KEYS["first"] and (first["n"], first["case"]) == (7, CREEP)
    assert [metric["key"] for metric in first["metrics"]] == list(live.told)
    base = live.base(CREEP).metrics
    for metric in first["metrics"]:
        assert metric["text"] == in_words(metric["key"], answer.metrics[metric["key"]])
        assert metric["was"] == in_words(metric["key"], base[metric["key"]])
    assert any(metric["was"] != metric["text"] for metric in first["metrics"])
    assert first["verdict"] == answer.verdict and (first["state"], first["state_words"]) == ("DONE", "done")
    assert first["ms"]["all"] == pytest.approx(first["ms"]["build"] + first["ms"]["run"], abs=0.02)
    assert first["side"]["start"]["words"] == "start"
    load = next(metric for metric in first["metrics"] if metric["key"] == "front_load_low_N")
    assert (load["unit"], load["text"]) == ("g", f"{load['value']:.0f} g")


def test_lines_are_of_one_length_and_keep_their_extremes(live: Live) -> None:
    answer = live.first(PUNCH, MOVED)
    lines = sent(messages.first(live, answer, 1))["lines"]
    times = lines["time_s"]
    assert len({len(line) for line in lines.values()}) == 1 and len(times) < 220
    assert times == sorted(times) and (times[0], times[-1]) == (0.0, 2.0)
    for name, (column, factor, _) in messages.LINES.items():
        whole = answer.columns[column] * factor
        assert min(lines[name]) == pytest.approx(whole.min(), abs=0.06)
        assert max(lines[name]) == pytest.approx(whole.max(), abs=0.06)


def test_numbers_that_are_none_are_null() -> None:
    assert messages._plain(np.array([1.23456, math.nan, math.inf]), 2) == [1.23, None, None]
    with pytest.raises(ValueError):
        messages.text({"bad": math.nan})


def test_the_second_answer_brings_what_takes_longer(live: Live) -> None:
    run = live.second(PUNCH, MOVED)
    second = sent(messages.second(live, PUNCH, run, 9))
    assert second.keys() == KEYS["second"]
    assert second["headline"] == run.headline and second["concerns"] == []
    assert second["audit"] == "self-check passed"
    first = sent(messages.first(live, live.of_run(PUNCH, run), 8))
    assert all(second[key] == first[key] for key in ("metrics", "state", "lines", "side"))
    assert len(second["charts"]) >= 4 and all("<svg" in chart for chart in second["charts"])
    assert "the file" in second["charts"][0] and "now" in second["charts"][0]
    for axle in ("rear", "front"):
        bands = second["bands"][axle]
        assert (bands[0]["from_s"], bands[-1]["to_s"]) == (0.0, 2.0)
        assert all(one["to_s"] == other["from_s"] for one, other in pairwise(bands))
        share = sum(one["to_s"] - one["from_s"] for one in bands if one["code"] == "SEEN") / 2.0
        assert 100.0 * share == pytest.approx(run.summary[f"{axle}_support_seen_pct"], abs=0.2)
    assert second["account"].count("links") and second["film"].count("now")


def test_the_second_answer_of_the_file_itself_stands_alone(live: Live) -> None:
    second = sent(messages.second(live, CREEP, live.second(CREEP, {}), 1))
    assert all(metric["was"] is None for metric in second["metrics"])
    assert not any(re.search(r"<bdi>now</bdi>", chart) for chart in second["charts"])


def test_a_broken_audit_is_a_concern_and_unsettled_ends_are_noted(live: Live) -> None:
    run = live.second(CREEP, MOVED)
    fault = BrokenBound(Check.MOMENTUM, 1.0, 1e-8)
    unsound: Run = dataclasses.replace(
        run,
        faults=(fault,),
        summary=run.summary
        | {"audit": "MOMENTUM", "job": "UNKNOWN", "job_failure": "AUDIT_FAILED", "rear_travel_swing_mm": 2.0},
    )
    second = sent(messages.second(live, CREEP, unsound, 1))
    assert "momentum is off" in second["concerns"][0] and second["headline"].startswith("AUDIT FAILED")
    assert second["state"] == "UNKNOWN" and second["audit"] == "momentum"
    noted = {metric["key"]: metric["note"] for metric in second["metrics"] if metric["note"]}
    assert noted.keys() == {"rear_travel_end_mm"} and noted["rear_travel_end_mm"].endswith("still swinging")


@pytest.mark.parametrize(
    "key, path",
    [
        ("rear.shock.stroke", "rear.shock.stroke"),
        ("rig.rear.upper_link", "rear.upper_link.chassis.1"),
        ("rig.rear.shock.springs[0].hold_ride_height", "rear.shock.springs.0.hold_ride_height"),
        ("rear.upper_link.chassis[1]", "rear.upper_link.chassis.1"),
        ("ground.slope", "ground.slope"),
        ("rig", "rig"),
        ("", ""),
    ],
)
def test_faults_are_said_at_the_knob_that_was_turned(key: str, path: str) -> None:
    error = InputError([InputIssue("file.toml", key, "-3 mm", "greater than 0 mm", "3 mm")])
    message = sent(messages.fault(4, MOVED | {"rear.shock.stroke": -3}, error))
    (one,) = message.pop("faults")
    assert message == {"type": "fault", "n": 4} and one["path"] == path
    assert one["text"] == '-3 mm; it must be greater than 0 mm (did you mean "3 mm"?)'


def test_what_was_done_and_what_was_refused() -> None:
    assert messages.saved("a.toml", "low")["text"] == 'The variant "low" stands in a.toml now.'
    assert messages.saved("a.toml")["text"] == "The rig stands in a.toml now."
    error = InputError([InputIssue("a.toml", "", "gone", "there"), InputIssue("a.toml", "k", "1", "2")])
    assert messages.refused(error)["text"] == "a.toml: gone; it must be there\nk: 1; it must be 2"
    assert messages.typed("simcore run a.toml") == {"type": "command", "text": "simcore run a.toml"}
