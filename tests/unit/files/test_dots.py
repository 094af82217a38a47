"""The dots file: what it takes, and everything that is wrong with it at once."""

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.errors import InputError
from simcore.files.check import check
from simcore.files.dots import HUES, Dot, Dots
from simcore.video.track import load_dots

ROOT = Path(__file__).parents[3]
TWO = [
    {"name": "a", "on": "chassis", "colour": "orange", "at": [0, 100]},
    {"name": "b", "on": "chassis", "colour": "blue", "at": [200, 100]},
]


def issues(raw: dict[str, Any]) -> list[str]:
    with pytest.raises(InputError) as caught:
        check(Dots, raw, "dots.toml")
    return [str(issue).removeprefix("dots.toml: ") for issue in caught.value.issues]


def test_the_example_of_the_reference_is_taken(tmp_path: Path) -> None:
    text = (ROOT / "scenarios" / "README.md").read_text(encoding="utf-8").split("## The dots file")[1]
    path = tmp_path / "dots.toml"
    path.write_text(re.findall(r"```toml\n(.*?)```", text, re.DOTALL)[0], encoding="utf-8")
    known = load_dots(path)
    assert [dot.name for dot in known.dots] == ["tail", "nose", "rear hub", "front hub"]
    assert known.dot("nose").at == pytest.approx((0.270, 0.150)) and known.slope == pytest.approx(
        0.2618, abs=1e-4
    )
    assert set(tomllib.loads(path.read_text())) == {"slope", "dots", "sheet", "level"}


def test_the_named_hues_go_round_the_circle_without_a_gap_or_overlap() -> None:
    spans = list(HUES.values())
    assert [low for low, _ in spans[1:]] == [high for _, high in spans[:-1]]
    assert spans[0][0] == spans[-1][1]


def test_every_fault_at_once() -> None:
    wrong = {
        "dots": [
            {"name": "a", "on": "roof", "colour": "orang"},
            {"name": "b", "on": "rear", "hue": [10, 400]},
        ],
        "scale": {"length": -5},
        "sheet": {"corners": [[0, 0], [1, 1]]},
        "lens": {"distortion": 3},
        "fps": 0,
        "ruler": 1,
    }
    found = issues(wrong)
    for key in (
        "dots[0].on",
        "dots[0].colour",
        "dots[1].hue[1]",
        "scale.length",
        "sheet.corners",
        "lens",
        "fps",
        "ruler",
    ):
        assert any(text.startswith(key) for text in found), key


def test_what_does_not_go_together() -> None:
    twice = [TWO[0], {**TWO[1], "name": "a", "at": [0, 100], "colour": "orange"}]
    assert issues({"dots": twice, "scale": {"between": ["a", "c"], "length": 10}}) == [
        'dots[1].name: got "a" twice, must be a name of its own',
        'dots[1].at: got the place of "a", must be a place of its own',
        'dots[1].colour: got hues of "a" too, must be another colour, or `start` for both, to tell them '
        "apart",
        'scale.between[1]: got "c", must be one of a, a',
    ]
    assert issues({"dots": [{**TWO[0], "hue": [0, 5]}, {"name": "b", "on": "rear"}]}) == [
        "dots[0]: got both colour and hue, must be a dot with a colour or with a range of hues",
        "dots[1]: got neither colour nor hue, must be a dot with a colour or with a range of hues",
    ]
    without = [{key: value for key, value in dot.items() if key != "at"} for dot in TWO]
    assert issues({"dots": without}) == [
        "got no length that is known, must be [scale], [sheet], or `at` of two dots on one body"
    ]
    both = {"between": ["a", "b"], "line": [[0, 0], [1, 0]], "length": 3}
    assert issues({"dots": TWO, "scale": both})[0].startswith("scale: got both between and line")
    assert issues({"dots": TWO, "level": {"line": [[3, 3], [3, 3]]}}) == [
        "level.line: got the same point twice, must be two points"
    ]
    assert issues({"dots": TWO, "level": {"slope": 3}})[0].startswith(
        "level.slope: got a slope without a line"
    )
    assert issues({"dots": TWO[:1]})[0].startswith("dots: got a list of 1, must be a list of at least 2")


@pytest.mark.parametrize(
    "corners",
    [
        [[0, 0], [0, 100], [100, 100], [100, 0]],  # the other way round
        [[0, 0], [100, 100], [100, 0], [0, 100]],  # crossed
        [[0, 0], [50, 0], [100, 0], [0, 100]],  # three in line
    ],
)
def test_corners_that_are_no_sheet(corners: list[list[float]]) -> None:
    (found,) = issues({"dots": TWO, "sheet": {"corners": corners}})
    assert found.startswith("sheet.corners: got corners that do not go round it clockwise")


@given(st.lists(st.floats(0, 359), min_size=4, max_size=4, unique=True))
def test_dots_look_alike_exactly_where_they_share_hues(ends: list[float]) -> None:
    a, b = (check(Dot, {"name": "x", "on": "rear", "hue": pair}, "dots") for pair in (ends[:2], ends[2:]))

    def has(dot: Dot, hue: float) -> bool:
        low, high = dot.span
        return low <= hue <= high if low < high else hue >= low or hue <= high

    hues = [k * 0.25 for k in range(1440)]
    shared = [hue for hue in hues if has(a, hue) and has(b, hue)]
    if len(shared) > 2:
        assert a.looks_like(b) and b.looks_like(a)
    if not a.looks_like(b):
        assert len(shared) <= 2  # an end in common at most
