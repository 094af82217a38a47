"""Bars of the steepest slopes: the headline, the data, and texts that stay apart."""

from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from simcore.results.headlines.limits import limits_headline
from simcore.views.pictures.slopes import steepest_slopes

AIR, SPIN, WEAK = (
    "front in the air for over 0.25 s",
    "slides back, tyres spinning",
    "stands still: motor too weak",
)
NAN = float("nan")
LONG = "eight brass weights low on the front axle, and the battery moved to the nose as well"
EIGHT = {
    "as it is": (30.2, 30.3, AIR, 33.7, 46.4),
    "softer rear": (31.4, 31.5, AIR, 33.7, 46.4),
    "ice": (4.3, 4.4, SPIN, 33.7, 5.7),
    LONG: (36.0, 36.1, "not there in 8 s: too little torque asked for", 41.0, 46.4),
    "no motor": (NAN, 0.0, WEAK, 33.7, 46.4),
    "rear drive": (20.0, 20.1, "cannot stand there: rolls back: the drag brake slips", 33.7, NAN),
    "Unbreakablewordofthirtycharacters": (0.0, 0.1, "rolls back: too little torque asked for", 6.0, 7.0),
    "nearly both": (45.0, 45.1, "cannot stand there: slides back", 46.0, 46.2),
}
SEVENTY = {"tall": (69.2, 69.3, "cannot stand there: tips over backwards", 69.6, 70.1)}
TOP = {"stuck to it": (80.0, NAN, "climbs even 80 deg, the steepest of a file", 81.0, NAN)}


def tabled(rows: dict[str, tuple[Any, ...]]) -> pd.DataFrame:
    """Each text has a code of its own, as if it were the only one with these words."""
    columns = ("climbs_deg", "fails_deg", "why", "tip_back_deg", "grip_deg")
    table = pd.DataFrame(rows.values(), index=pd.Index(rows, name="case"), columns=columns)
    codes = [f"CODE_{sum(map(ord, text))}" for text in table["why"]]
    return table.assign(reason=codes, cause="", unknown_from_deg=NAN, unknown_to_deg=NAN)


def some(*names: str) -> pd.DataFrame:
    return tabled({name: EIGHT[name] for name in names})


def drawn(table: pd.DataFrame) -> Figure:
    return steepest_slopes(table, "Which change climbs steepest?  Rig: Gully")


@pytest.mark.parametrize(
    ("table", "said"),
    [
        (some("as it is"), f"Climbs 30.2°. Steeper: {AIR}"),
        (some("no motor"), f"Fails on the level: {WEAK}"),
        (tabled(TOP), "Climbs even 80 deg, the steepest of a file"),
        (
            some("as it is", "softer rear"),
            f"Softer rear climbs 31.4°, 1.2° more than as it is. Both end alike: {AIR}",
        ),
        (
            some("softer rear", "as it is"),
            f"Softer rear climbs 31.4°, as it is 1.2° less. Both end alike: {AIR}",
        ),
        (
            some("as it is", "ice", "softer rear"),
            f"Softer rear climbs 31.4°, 1.2° more than as it is. Both end alike: {AIR}",
        ),
        (
            some("as it is", "ice"),
            f"As it is climbs 30.2° (steeper: {AIR}), ice 25.9° less (steeper: {SPIN})",
        ),
        (
            some("ice", "no motor"),
            f"Ice climbs 4.3° (steeper: {SPIN}); no motor fails on the level ({WEAK})",
        ),
        (
            some("no motor", "ice"),
            f"Ice climbs 4.3° (steeper: {SPIN}); no motor fails on the level ({WEAK})",
        ),
    ],
)
def test_the_headline_says_which_climbs_steepest_by_how_much_and_why_no_steeper(table, said):
    assert limits_headline(table) == said


def test_less_than_the_search_resolves_is_no_difference():
    rows = {"base": (30.20, 30.28, AIR, 33.7, 46.4), "other": (30.29, 30.36, AIR, 33.7, 46.4)}
    assert limits_headline(tabled(rows)) == f"No difference: every case climbs 30.2°: {AIR}"
    rows["other"] = (30.29, 30.36, SPIN, 33.7, 46.4)
    assert limits_headline(tabled(rows)) == "No difference: every case climbs 30.2°"
    rows["other"] = (30.31, 30.38, SPIN, 33.7, 46.4)
    assert "Other climbs 30.3°" in limits_headline(tabled(rows))
    stuck = {name: EIGHT["no motor"] for name in ("a", "b")}
    assert limits_headline(tabled(stuck)) == f"No difference: every case fails on the level: {WEAK}"


def test_failing_on_the_level_is_less_than_climbing_nothing_but_the_level():
    flat = {"flat": (0.0, 0.1, SPIN, 33.7, 46.4), "stuck": EIGHT["no motor"]}
    assert limits_headline(tabled(flat)).startswith("Flat climbs 0.0°")


def test_bars_and_marks_stand_where_the_table_says():
    table = tabled(EIGHT)
    (axis,) = drawn(table).axes
    assert [bar.get_width() for bar in axis.patches] == list(table["climbs_deg"].fillna(0.0))
    middles = [bar.get_y() + bar.get_height() / 2 for bar in axis.patches]
    np.testing.assert_allclose(middles, range(8), atol=1e-12)
    heads = {
        (line.get_marker(), round(float(line.get_xdata()[0]), 6), round(float(line.get_ydata()[0])))
        for line in axis.lines
        if line.get_marker() != "None"
    }
    wanted = {("v", tip, k) for k, tip in enumerate(table["tip_back_deg"])}
    wanted |= {("D", grip, k) for k, grip in enumerate(table["grip_deg"]) if not np.isnan(grip)}
    assert {mark[:2] for mark in heads} == {mark[:2] for mark in wanted} and len(heads) == len(wanted)
    assert "deg" in axis.get_xlabel() and "marks" in axis.get_xlabel()
    said = [text.get_text() for text in axis.texts]
    assert said.count("tips back 33.7°") == 5 and "grip ends 5.7°" in said
    assert f"fails on the level: {WEAK}" in said
    for name, row in table.iterrows():
        assert any(text.endswith(row["why"]) for text in said), name


@pytest.mark.parametrize(
    "table",
    [*(tabled(dict(list(EIGHT.items())[:n])) for n in (1, 2, 3, 8)), tabled(SEVENTY), tabled(TOP)],
    ids=["1", "2", "3", "8", "both marks at the right end", "to the top"],
)
def test_no_text_covers_another_or_leaves_the_picture(table):
    figure = drawn(table)
    (axis,) = figure.axes
    figure.canvas.draw()
    texts = [text for text in (*axis.texts, *axis.get_yticklabels(), *figure.texts) if text.get_text()]
    boxes = [Text.get_window_extent(text) for text in texts]
    for text, box in zip(texts, boxes, strict=True):
        assert box.x0 >= 0.0 and box.x1 <= figure.bbox.x1 + 1.0, text.get_text()
        assert box.y0 >= 0.0 and box.y1 <= figure.bbox.y1, text.get_text()
    for (one, first), (two, second) in combinations(zip(texts, boxes, strict=True), 2):
        wide = min(first.x1, second.x1) - max(first.x0, second.x0)
        high = min(first.y1, second.y1) - max(first.y0, second.y0)
        assert wide <= 1.0 or high <= 2.0, (one.get_text(), two.get_text())


def test_it_grows_with_its_cases():
    heights = [drawn(tabled(dict(list(EIGHT.items())[:n]))).get_size_inches()[1] for n in (2, 8)]
    assert heights[1] - heights[0] > 5.0 and heights[1] < 12.0


def test_a_long_name_keeps_to_three_rows():
    (axis,) = drawn(tabled(EIGHT)).axes
    labels = [label.get_text() for label in axis.get_yticklabels()]
    assert max(label.count("\n") for label in labels) == 2
    assert labels[3].startswith("eight brass") and labels[3].endswith("…")


# --- what is not known ---


def gap(table: pd.DataFrame, case: str, low: float, high: float) -> pd.DataFrame:
    """Take away the answers between two slopes."""
    table.loc[case, ["climbs_deg", "unknown_from_deg", "unknown_to_deg", "fails_deg"]] = (
        low - 0.05,
        low,
        high,
        high + 0.05,
    )
    return table


def test_a_limit_in_a_gap_without_answers_is_not_called_less():
    """The gap of `as it is` ends above the limit of the other case, so neither climbs more for certain."""
    alone = gap(some("as it is"), "as it is", 28.0, 33.0)
    low, high = (f"{alone[key].iloc[0]:.1f}" for key in ("climbs_deg", "fails_deg"))
    said = f"Climbs {low}°, fails at {high}° ({AIR}); between them runs gave no answer"
    assert limits_headline(alone) == said
    both = gap(some("softer rear", "as it is", "ice"), "as it is", 28.0, 33.0)
    said = limits_headline(both)
    assert said.endswith("Not known for as it is: runs near the limit gave no answer")
    assert "as it is" not in said.split("Not known")[0]
    every = gap(gap(some("softer rear", "ice"), "ice", 3.0, 9.0), "softer rear", 28.0, 33.0)
    assert limits_headline(every) == "Not known for any case: runs near the limit gave no answer"


def test_a_gap_below_the_limit_changes_no_answer():
    table = some("as it is", "softer rear")
    table.loc["as it is", ["unknown_from_deg", "unknown_to_deg"]] = 12.0, 12.5
    assert limits_headline(table) == limits_headline(some("as it is", "softer rear"))


def test_a_gap_is_hatched_from_what_is_climbed_to_what_fails():
    figure = drawn(gap(some("as it is", "ice"), "as it is", 28.0, 33.0))
    (hatched,) = [bar for bar in figure.axes[0].patches if bar.get_hatch()]
    assert (hatched.get_x(), hatched.get_x() + hatched.get_width()) == (27.95, 33.05)
    assert any("no answer" in text.get_text() for text in figure.axes[0].texts)
    never = gap(some("as it is"), "as it is", 28.0, 33.0)
    never["fails_deg"], never["why"] = NAN, "not known"
    (hatched,) = [bar for bar in drawn(never).axes[0].patches if bar.get_hatch()]
    assert hatched.get_x() + hatched.get_width() == pytest.approx(drawn(never).axes[0].get_xlim()[1])
