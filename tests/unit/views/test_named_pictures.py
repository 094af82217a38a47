"""Names of lines: beside their ends, never over anything drawn, one name for lines that hide one another;
colours that everybody tells apart.
"""

from itertools import combinations, pairwise
from typing import Any

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.text import Text

from simcore.views.pictures.layout import panels, room
from simcore.views.pictures.names import Named, name_lines
from simcore.views.pictures.style import COLOURS, case_look, ink, styled

X = np.linspace(0.0, 2.0, 201)


def named(curves: dict[str, tuple[Any, Any]], more: str = "") -> Axes:
    """A panel with these curves, x and y by name."""

    @styled
    def drawn() -> Any:
        figure, (axis,) = panels((2.4,), "answer", "question")
        lines = []
        for k, (name, (x, y)) in enumerate(curves.items()):
            colour, dash = case_look(k)
            axis.plot(x, y, color=colour, ls=dash)
            lines.append(Named(name, colour, np.asarray(x), np.asarray(y), more if k == 0 else ""))
        room(axis, 0.1)
        name_lines(axis, lines)
        return figure

    return drawn().axes[0]


def written(axis: Axes) -> list[str]:
    return [text.get_text().replace("\n", " ") for text in axis.texts if text.get_text()]


def test_lines_that_hide_one_another_get_one_name() -> None:
    """In a panel of 2.4 inches a line of 2.2 points is 1.3 % of the scale wide."""
    wave, other = (X, np.sin(X)), (X, np.cos(X))
    hidden = (X, np.sin(X) + 0.004)
    assert written(named({"a": wave, "b": other, "c": hidden})) == ["a", "= c", "b"]
    apart = (X, np.sin(X) + 0.1)
    assert written(named({"a": wave, "b": other, "c": apart})) == ["a", "b", "c"]
    once = (X, np.sin(X) + np.where(np.abs(X - 1.0) < 0.05, 0.2, 0.0))  # apart for a moment alone
    assert "= c" not in written(named({"a": wave, "b": other, "c": once}))
    assert written(named({"a": wave, "b": wave, "c": hidden})) == ["all 3 alike"]
    assert written(named({"a": wave, "b": wave})) == ["a", "= b"]
    short = (X[:150], np.sin(X)[:150])  # ends elsewhere: has an end of its own to be named at
    assert "= b" not in written(named({"a": wave, "b": short}))
    assert written(named({"a": wave}, more="(still swinging)")) == ["a (still swinging)"]


def points(axis: Axes) -> np.ndarray:
    """Dots along everything drawn in a panel."""
    found = []
    for line in axis.lines:
        corners = line.get_transform().transform(line.get_xydata())
        for start, end in pairwise(corners):
            found.append(np.linspace(start, end, 20))
    return np.concatenate(found)


@pytest.mark.parametrize("seed", range(8))
def test_no_name_stands_on_a_line_or_on_another_name(seed: int) -> None:
    """Curves of several lengths that wind through the panel."""
    random = np.random.default_rng(seed)
    curves = {}
    for k in range(6):
        x = np.linspace(0.0, random.uniform(0.5, 2.0) if k else 2.0, 300)
        curves[f"case {k}"] = (x, np.sin(random.uniform(1.0, 6.0) * x + random.uniform(0.0, 6.0)) + 0.3 * k)
    axis = named(curves)
    axis.figure.canvas.draw()
    boxes = [Text.get_window_extent(text) for text in axis.texts if text.get_text()]
    assert len(boxes) == 6
    assert not any(one.overlaps(other) for one, other in combinations(boxes, 2))
    drawn = points(axis)
    for box in boxes:
        inside = (drawn > [box.x0, box.y0]) & (drawn < [box.x1, box.y1])
        assert not np.any(np.all(inside, axis=1))
        assert box.x1 <= axis.figure.bbox.x1 and box.y0 >= 0.0


# Machado, Oliveira, Fernandes, IEEE Trans. Visualization and Computer Graphics 15, 2009, full severity (from
# memory; their rows sum to one, as they must to keep white white)
SIGHTS = {
    "usual": [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
}
XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)


def linear(colour: str) -> np.ndarray:
    parts = np.array(to_rgb(colour))
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def lab(light: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b* of linear light, white D65."""
    share = XYZ @ np.clip(light, 0.0, 1.0) / np.array([0.95047, 1.0, 1.08883])
    f = np.where(share > (6 / 29) ** 3, np.cbrt(share), share / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize("sight", SIGHTS)
def test_nine_colours_differ_for_everybody(sight: str) -> None:
    """A difference of 2.3 is just seen; 15 is common practice for small marks, no source."""
    matrix = np.array(SIGHTS[sight])
    np.testing.assert_allclose(matrix.sum(axis=1), 1.0, atol=1e-5)
    seen = [lab(matrix @ linear(colour)) for colour in COLOURS]
    assert len(set(COLOURS)) == 9
    assert min(np.linalg.norm(one - other) for one, other in combinations(seen, 2)) > 15.0


def test_nine_cases_have_nine_colours_and_neighbours_another_dash() -> None:
    looks = [case_look(k) for k in range(9)]
    assert len({colour for colour, _ in looks}) == 9
    assert all(str(looks[k][1]) != str(looks[k + 1][1]) for k in range(8))
    assert len({(colour, str(dash)) for colour, dash in map(case_look, range(36))}) == 36


@pytest.mark.parametrize("colour", COLOURS)
def test_words_are_dark_enough_on_white(colour: str) -> None:
    """Contrast as WCAG 2.1 defines it; a colour that is dark enough stays as it is."""
    light = float(np.array([0.2126, 0.7152, 0.0722]) @ linear(ink(colour)))
    assert 1.05 / (light + 0.05) >= 3.4
    if 1.05 / (float(np.array([0.2126, 0.7152, 0.0722]) @ linear(colour)) + 0.05) >= 3.6:
        assert ink(colour).upper() == colour
