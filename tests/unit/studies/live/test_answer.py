"""Both answers to a change: the first one gives what the run gives, to the last bit, as far as it goes."""

import dataclasses
import math
import shutil
from pathlib import Path

import numpy as np
import pytest

import simcore
from simcore.accounts.audit import audit as audited
from simcore.errors import InputError
from simcore.results.catalogue import CATALOGUE
from simcore.results.quantities import Group
from simcore.solve.refusal import CannotStand
from simcore.studies import simulate as run_module
from simcore.studies.live.answer import MOST_METRICS, Live, Stale

SHIPPED = Path(__file__).parents[4] / "scenarios"
CREEP, PUNCH = "creep at 0.15 m/s", "60 ms punch"
MOVED = {"rear.upper_link.chassis.1": 97.5, "ground.slope": 20}


@pytest.fixture(scope="module")
def live() -> Live:
    return Live(SHIPPED / "launch_vs_creep.toml")


@pytest.mark.parametrize(
    "name, settings",
    [
        ("launch_vs_creep", MOVED),
        ("ledge", {"ground.pieces.1.ledge": 45}),
        ("ice_patch", {"driveline.drive": "rear"}),
        ("trail_launch", {"rear.shock.fraction": 0.7}),
        ("braking", {}),
        ("launch_vs_creep", {"ground.slope": 44}),  # which it does not climb
    ],
)
def test_the_first_answer_is_the_run_within_a_tenth_of_what_is_seen(
    name: str, settings: dict[str, object]
) -> None:
    live = Live(SHIPPED / f"{name}.toml")
    case = live.cases[-1]
    first, run = live.first(case, settings), live.second(case, settings)
    visible = run.scenario.visible
    for column, seen in (
        ("pitch_to_ground_deg", math.degrees(visible.pitch)),
        ("rear_travel_mm", 1e3 * visible.travel),
        ("front_travel_mm", 1e3 * visible.travel),
    ):
        off = np.abs(first.columns[column] - run.series[column].to_numpy())
        assert np.quantile(off, 0.99) < seen / 10.0  # where it falls off a ledge an instant makes much
    assert (first.metrics["job"], first.metrics["ended"]) == (run.summary["job"], run.summary["ended"])
    assert bool(settings) == (first.trace.steps < 0.95 * run.trace.steps if run.trace else False)


@pytest.mark.parametrize(
    "name, settings",
    [("launch_vs_creep", MOVED), ("trail_launch", {"rear.shock.fraction": 0.7}), ("ledge", {})],
)
def test_what_is_shown_of_the_whole_run_is_the_run(name: str, settings: dict[str, object]) -> None:
    live = Live(SHIPPED / f"{name}.toml")
    case = live.cases[-1]
    run = live.second(case, settings)
    first = live.of_run(case, run)
    of_run = simcore.simulate(live.scenario.variant(case).changed(settings))
    without_audit = {key: run.summary[key] for key in run.summary if CATALOGUE[key].group is not Group.AUDIT}
    assert dict(first.metrics) == without_audit
    assert run.summary == of_run.summary
    assert first.verdict == run.headline == of_run.headline
    assert first.trace.times[first.stages[0].row] == 0.0
    shown = ("pitch_to_ground_deg", "rear_travel_mm", "front_load_N", "speed_m_per_s", "rear_support_N")
    for column in shown:
        assert np.array_equal(first.columns[column], run.series[column])


def test_the_first_answer_of_a_case_is_remembered(live: Live) -> None:
    assert live.base(CREEP) is live.base(CREEP) is live.first(CREEP, {})
    assert live.base_run(CREEP) is live.base_run(CREEP) is live.second(CREEP, {})
    assert live.base_run(CREEP).trace is None
    assert live.base(CREEP).metrics["pitch_rise_deg"] == live.base_run(CREEP).summary["pitch_rise_deg"]


def test_at_most_six_metrics_first_those_of_the_file(live: Live) -> None:
    shown = live.scenario.conclusion.shown
    assert live.told[: len(shown)] == tuple(shown) and len(live.told) == MOST_METRICS
    for path in SHIPPED.glob("*.toml"):
        told = Live(path).told
        assert len(set(told)) == len(told) <= MOST_METRICS
        assert not any(CATALOGUE[name].text for name in told)


@pytest.mark.parametrize("after", range(6))
def test_a_stale_answer_is_given_up(live: Live, after: int) -> None:
    asked: list[int] = []

    def stop() -> bool:
        asked.append(0)
        return len(asked) > after

    with pytest.raises(Stale):
        live.first(PUNCH, {"end.duration": 20} | MOVED, stop)
    assert len(asked) == after + 1
    asked.clear()
    with pytest.raises(Stale):
        live.second(PUNCH, MOVED, lambda: bool(asked.append(0)) or len(asked) > min(after, 2))


def test_nobody_asks_to_stop_by_default(live: Live) -> None:
    assert live.first(PUNCH, MOVED).seconds.keys() == {"build", "run"}


@pytest.mark.parametrize(
    "settings, key",
    [
        ({"rear.shock.stroke": -3}, "rear.shock.stroke"),
        ({"rear.shock.stroke": "long"}, "rear.shock.stroke"),
        ({"rear.tyre.sliding_grip": 2}, "rear.tyre.sliding_grip"),
        ({"rig": "rigs/fell.toml"}, "rig"),
        ({"rig": "/etc/passwd"}, "rig"),
        ({"title": "another"}, "title"),
        ({"variants.x": 1}, "variants.x"),
        ({"": 1}, ""),
        ({"ground.slope +=": 3}, "ground.slope +="),
    ],
)
def test_what_is_no_knob_or_no_value_is_refused(live: Live, settings: dict[str, object], key: str) -> None:
    with pytest.raises(InputError) as error:
        live.first(CREEP, settings)
    assert [issue.key for issue in error.value.issues] == [key]


def test_a_rig_that_cannot_be_built_or_stand(live: Live) -> None:
    with pytest.raises(CannotStand):
        live.first(CREEP, {"ground.slope": 70})
    with pytest.raises(InputError, match=r"rear.*link"):
        live.first(CREEP, {"rear.upper_link.axle.0": 85, "rear.upper_link.axle.1": 90})
    with pytest.raises(InputError, match="no such case"):
        live.first("no such case", {})


def test_settings_to_begin_with_hold_in_every_case() -> None:
    typed = {"ground.slope": 20}
    live = Live(SHIPPED / "launch_vs_creep.toml", typed)
    plain = Live(SHIPPED / "launch_vs_creep.toml")
    moved = {"rear.upper_link.chassis.1": 97.5}
    assert live.all_settings(moved) == typed | moved
    for case in (CREEP, PUNCH):
        assert live.case(case) == plain.changed(case, typed)
        assert live.changed(case, moved) == plain.changed(case, live.all_settings(moved))
    with pytest.raises(InputError):
        Live(SHIPPED / "launch_vs_creep.toml", {"ground.slope": 90})


def test_bounds_on_the_audit_are_kept_in_the_first_answer(tmp_path: Path) -> None:
    shutil.copytree(SHIPPED / "rigs", tmp_path / "rigs")
    text = (SHIPPED / "slow_creep.toml").read_text(encoding="utf-8")
    goal = "[goal.at_most]\nenergy_residual_pct = 0.05\n\n[conclusion]"
    (tmp_path / "bound.toml").write_text(text.replace("[conclusion]", goal), encoding="utf-8")
    live = Live(tmp_path / "bound.toml")
    first, run = live.first(live.cases[0], {}), live.second(live.cases[0], {})
    assert dict(first.metrics) == run.summary and run.summary["job"] == "DONE"


def test_a_run_that_breaks_its_audit_says_so_in_the_second_answer(
    live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An audit that finds momentum out of balance, whichever way it was integrated."""

    def broken(trace: object) -> object:
        found = audited(trace)
        return dataclasses.replace(found, momentum=found.momentum + 1.0)

    monkeypatch.setattr(run_module, "audit", broken)
    run = live.second(CREEP, {"ground.slope": 16})
    assert run.concerns and run.summary["job"] == "UNKNOWN"
    assert live.first(CREEP, {"ground.slope": 16}).metrics["job"] == "DONE"
