"""Shapes of a drawing to scale, as SVG: in millimetres, upward drawn up.

Their kinds are names of our own, as the style sheets have them.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from markupsafe import Markup

Points = npt.NDArray[np.float64]


def line(kind: str, points: Iterable[Iterable[float]], closed: bool = False) -> Markup:
    """A line through points, or the outline that they are the corners of."""
    corners = " ".join(",".join(map(_digits, point)) for point in points)
    return Markup(f'<{"polygon" if closed else "polyline"} class="{kind}" points="{corners}"/>')


def lines(kind: str, several: Iterable[Iterable[Points]]) -> Markup:
    """Several lines of a kind as one shape; none: nothing."""
    way = "".join("M" + "L".join(" ".join(map(_digits, point)) for point in one) for one in several)
    return Markup(f'<path class="{kind}" d="{way}"/>' if way else "")


def circle(kind: str, place: Sequence[float] | Points, radius: float) -> Markup:
    """A circle."""
    x, y, r = map(_digits, (*place, radius))
    return Markup(f'<circle class="{kind}" cx="{x}" cy="{y}" r="{r}"/>')


def arrow(kind: str, start: Points, end: Points, head: float) -> Markup:
    """A line with a head of some length at its end."""
    way = (end - start) / np.hypot(*(end - start))
    aside, back = np.array([-way[1], way[0]]), end - head * way
    tip = [end, back + 0.4 * head * aside, back - 0.4 * head * aside]
    return line(kind, [start, back]) + line(f"{kind} head", tip, closed=True)


class Window(NamedTuple):
    """Lower left and upper right corner of a drawing, (2,) each, mm."""

    low: Points
    high: Points

    @property
    def box(self) -> str:
        """The same as a view box; what is drawn in it is turned over."""
        wide, tall = self.high - self.low
        return f"{_digits(self.low[0])} {_digits(-self.high[1])} {_digits(wide)} {_digits(tall)}"

    def place(self, point: Points) -> tuple[float, float]:
        """Where a point is, % from the left and from above."""
        right, down = (point[0] - self.low[0], self.high[1] - point[1])
        wide, tall = self.high - self.low
        return 100.0 * float(right / wide), 100.0 * float(down / tall)

    def beside(self, place: Points, taken: Sequence[Points], size: float) -> Points:
        """Middle of a tag of some size, near a place, inside, and clear of others, (2,)."""
        turns = np.linspace(0.0, 2.0 * np.pi, 12, endpoint=False) + 0.25 * np.pi
        for away in (1.0, 1.6, 2.3, 3.2):
            for turn in turns:
                spot = place + away * size * np.array([np.cos(turn), np.sin(turn)])
                inside = np.all(spot > self.low + 0.6 * size) and np.all(spot < self.high - 0.6 * size)
                if inside and all(np.hypot(*(spot - one)) > 1.15 * size for one in taken):
                    return np.asarray(spot)
        return place


def _digits(value: float) -> str:
    """A length to a tenth of a millimetre."""
    return f"{round(float(value), 1) + 0.0:g}"
