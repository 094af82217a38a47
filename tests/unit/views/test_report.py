"""What stands on the terminal: whole numbers at every width, the answer first, the few that tell most."""

import dataclasses
import re
from collections import Counter
from functools import cache
from typing import Any

import pytest
from results_to_show import KINDS, NUMBERS, compared, creep, like, limits, result_of, swept

from simcore.results.catalogue import label_of
from simcore.results.result import Result
from simcore.results.run import Run
from simcore.views.console.report import report
from simcore.views.pictures import differences, loads

WIDTHS = (60, 80, 120, 200)
MINUS = "\N{MINUS SIGN}"


@cache
def lines_of(kind: str, everything: bool, width: int | None) -> list[str]:
    """What is said of a result of a kind; each once for all tests."""
    return [line.text for line in report(result_of(kind), everything, width)]


def words(lines: list[str]) -> Counter[str]:
    return Counter(" ".join(lines).split())


@pytest.mark.parametrize("everything", [False, True], ids=["few", "all"])
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", KINDS)
def test_every_word_and_number_is_whole_at_every_width_or_left_out_in_words(
    kind: str, width: int, everything: bool
) -> None:
    """Against the same without a limit: no word that is not among its words, and none missing."""
    narrow, whole = (words(lines_of(kind, everything, room)) for room in (width, None))
    left_out = "Left out:" in " ".join(lines_of(kind, everything, width))
    assert left_out is (kind == "one axis" and not everything)
    strange = set(narrow) - set(whole)
    if left_out:
        strange -= set(
            ["Left", "out:", "37", "of", "61", "runs", "--all", "or", "table.csv", "has", "all", "them"]
        )
    assert strange == set()
    if not left_out:
        assert all(narrow[word] >= count for word, count in whole.items())


@pytest.mark.parametrize("everything", [False, True], ids=["few", "all"])
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", KINDS)
def test_no_line_is_wider_than_the_screen(kind: str, width: int, everything: bool) -> None:
    for line in lines_of(kind, everything, width):
        assert len(line) <= width, line


def three(value: float) -> str:
    """Three significant digits, whole numbers from 100 on: worked out by decimals, not by the program."""
    whole = f"{abs(value):.0f}" if abs(value) >= 99.95 else f"{float(f'{abs(value):.3g}'):.10f}".rstrip("0")
    return whole.rstrip(".")


@pytest.mark.parametrize("count", [2, 5, 9])
def test_numbers_of_a_comparison_are_those_of_its_runs_to_three_digits_in_grams(count: int) -> None:
    result = compared(count, shown=("front_load_mean_N", "pitch_rise_deg"))
    text = "\n".join(line.text for line in report(result, everything=False, width=None))
    for key, factor in (("front_load_mean_N", 1000.0 / 9.80665), ("pitch_rise_deg", 1.0)):
        (row,) = (line for line in text.splitlines() if line.startswith(label_of(key)))
        values = [summary[key] * factor for summary in result.summaries.values()]
        found = re.findall(rf"[{MINUS}+]?\d[\d.]*", row)
        assert len(found) == 2 * count - 1  # each with its difference but the first
        for cell, wanted in zip(found, interleaved(values), strict=True):
            size = float(cell.lstrip(f"+{MINUS}"))
            assert size == pytest.approx(float(three(wanted)), abs=0.0006)
            assert cell.startswith(MINUS) == (wanted < 0.0)
        assert "e+" not in row


def interleaved(values: list[float]) -> list[float]:
    pairs = [(value, value - values[0]) for value in values]
    return [number for pair in pairs for number in pair][:1] + [n for pair in pairs[1:] for n in pair]


@pytest.mark.parametrize("kind", KINDS)
def test_question_and_headline_come_first_and_what_is_left_out_last(kind: str) -> None:
    result = result_of(kind)
    lines = report(result, everything=False, width=None)
    assert (lines[0].text, lines[0].style) == (result.asked, "dim")
    assert (lines[1].text, lines[1].style) == (result.headline, "bold")
    text = "\n".join(line.text for line in lines)
    (left,) = re.findall(r"(\d+) more (?:metrics|facts): --all shows them", text)
    assert int(left) > 0
    everything = "\n".join(lines_of(kind, True, None))
    assert "more metrics" not in everything and "more facts" not in everything


def test_all_of_a_run_names_every_metric_in_words_and_as_in_files() -> None:
    text = "\n".join(line.text for line in report(creep(), everything=True, width=None))
    for key in creep().summary:
        assert re.search(rf"^{re.escape(label_of(key))}  .* {key}  ", text, re.MULTILINE), key


def few(result: Result) -> list[str]:
    """Labels of the rows of a table without --all."""
    lines = report(result, everything=False, width=None)
    names = {label_of(key) for key in (*NUMBERS, "ended", "support_shows", "audit")}
    found = [re.split(r",? {2,}|, (?:deg|mm|g|s|%|m/s)  ", line.text)[0] for line in lines[3:]]
    return [name for name in found if name in names]


def told(run: Run, **moved: Any) -> list[str]:
    """Labels of a run whose summary has other numbers; all that speaks of moving is nought before."""
    nought = {key: 0.0 for key in NUMBERS if key.endswith(("_rise_deg", "_dive_deg", "squat_mm", "lift_mm"))}
    nought |= {key: 0.0 for key in NUMBERS if key.endswith(("_spinning_s", "_off_ground_s", "_stop_s"))}
    start = run.series.iloc[0]
    nought |= {f"{axle}_load_low_N": start[f"{axle}_load_N"] for axle in ("rear", "front")}
    nought |= {"front_load_cg_shift_g": 0.0, "skid_time_s": 0.0, "distance_mm": 0.0}
    summary = {key: value for key, value in run.summary.items() if not key.startswith("support_")}
    return few(dataclass_of(run, summary | nought | moved))


def dataclass_of(run: Run, summary: dict[str, Any]) -> Run:
    return dataclasses.replace(run, summary=summary, counterfactual=None)


def test_a_run_that_stands_says_how_it_ended_and_no_more() -> None:
    assert told(creep()) == ["ended", "time", "distance"]


def test_a_run_says_what_moved_by_more_than_is_seen_and_of_one_end_only_the_most() -> None:
    """0.5 mm and 0.25 deg are seen, 0.02 s counts as time."""
    assert told(creep(), rear_squat_mm=0.49, pitch_rise_deg=0.24, rear_spinning_s=0.019) == told(creep())
    moved = {"rear_squat_mm": 1.5, "rear_lift_mm": 6.0, "pitch_rise_deg": 0.5, "front_spinning_s": 1.0}
    assert told(creep(), **moved)[3:] == ["rear lift", "rise of the pitch", label_of("front_spinning_s")]
    low = creep().series["front_load_N"].iloc[0] - 2.0
    assert told(creep(), front_load_low_N=low)[3:] == ["lowest front load"]


def test_support_that_was_asked_for_is_told() -> None:
    assert label_of("support_shows") in few(creep())


def of_cases(*summaries: dict[str, Any], shown: tuple[str, ...] = ()) -> list[str]:
    result = compared(len(summaries), shown=shown)
    runs = {
        name: dataclasses.replace(run, summary=summary)
        for (name, run), summary in zip(result.runs.items(), summaries, strict=True)
    }
    return few(dataclasses.replace(result, runs=runs))


def test_of_cases_only_what_differs_visibly_is_told_the_most_telling_first() -> None:
    base = like(creep(), 0)
    other = base | {
        "pitch_rise_deg": base["pitch_rise_deg"] + 1.0,
        "pitch_end_deg": base["pitch_end_deg"] + 2.0,
    }
    assert of_cases(base, other) == ["pitch at the end"]  # and not the rise, which is about the same
    other |= {"rear_squat_mm": base["rear_squat_mm"] + 5.0}  # ten times what is seen
    assert of_cases(base, other) == ["rear squat", "pitch at the end"]
    other |= {"front_load_mean_N": base["front_load_mean_N"] + 5.0, "ended": "SLID_AWAY"}
    assert of_cases(base, other) == ["ended", "rear squat", "pitch at the end", "mean front load"]
    unseen = base | {
        "pitch_rise_deg": base["pitch_rise_deg"] + 0.24,
        "rear_spinning_s": base["rear_spinning_s"] + 0.019,
    }
    assert of_cases(base, unseen) == []


def test_what_the_file_names_comes_first_even_if_it_does_not_differ() -> None:
    base = like(creep(), 0)
    other = base | {"rear_squat_mm": base["rear_squat_mm"] + 5.0}
    shown = ("front_load_mean_N", "pitch_rise_deg")
    assert of_cases(base, other, shown=shown) == ["mean front load", "rise of the pitch", "rear squat"]


def test_at_most_eight_rows_are_told() -> None:
    base = like(creep(), 0)
    assert len(of_cases(base, like(creep(), 1))) == 8
    assert len(few(creep())) <= 8


def test_names_that_begin_alike_stay_apart_on_a_narrow_screen() -> None:
    text = "\n".join(line.text for line in report(compared(9), everything=False, width=60))
    assert "F = a_very_long_name_without_any_blank_1" in text
    assert "G = a_very_long_name_without_any_blank_2" in text
    heads = [line.text for line in report(compared(9), everything=False, width=60) if line.style == "bold"]
    assert heads


def test_a_sweep_without_any_result_says_why() -> None:
    result = swept(ground__slope=[10, 20])
    row = result_of("two axes").rows[4]  # type: ignore[attr-defined]
    none = dataclasses.replace(result, rows=[row, row])
    text = "\n".join(line.text for line in report(none, everything=False, width=80))
    assert "No metrics for 10; 20: ground: got a slope" in text


def test_a_limit_says_slopes_and_why_in_full() -> None:
    text = "\n".join(line.text for line in report(limits(1), everything=False, width=60))
    assert "31.2 deg" in text or "31.3 deg" in text
    assert "front in the air for over 0.25 s" in " ".join(text.split())
    assert "60.1 deg" in text and "44.4 deg" in text


def test_terminal_and_pictures_say_what_is_left_out_of_a_difference_in_load() -> None:
    """Front loads 31 g apart, 102 g from side to side; nothing is said where the rig does not state it."""
    for side, said in ((1.0, True), (0.2, False), (None, False)):
        result = compared(2, shown=("front_load_mean_N",))
        for k, run in enumerate(result.runs.values()):
            run.summary.update(job="DONE", front_load_mean_N=8.0 + 0.304 * k, side_load_mean_N=side)
        remark = "shaft torque moves up to 102 g from side to side"
        assert (remark in " ".join(" ".join(line.text for line in report(result, False, 80)).split())) is said
        for draw in (differences.of_comparison, loads.of_comparison):
            texts = " ".join(text.get_text() for text in draw(result).texts)
            assert (remark in " ".join(texts.split())) is said
