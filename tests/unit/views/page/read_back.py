"""Reads charts of a page back: numbers from places, by the numbers that stand on their scales."""

from collections.abc import Iterator
from xml.etree import ElementTree

import numpy as np
import numpy.typing as npt

from simcore.results.formatting import MINUS
from simcore.views.page.part import Part

Element = ElementTree.Element


def figure_of(part: Part) -> Element:
    """The chart as a tree; that it is one shows that it is nested and escaped."""
    return ElementTree.fromstring(str(part.html))


def number(text: str) -> float:
    return float(text.replace(MINUS, "-").rstrip("%"))


def all_of(element: Element, tag: str, name: str = "") -> Iterator[Element]:
    """Elements of a tag, of a class where one is named."""
    for one in element.iter(tag):
        if not name or name in one.get("class", "").split():
            yield one


def words(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


def texts(element: Element, tag: str, name: str = "") -> list[str]:
    return [words(one) for one in all_of(element, tag, name)]


def place(element: Element, side: str) -> float:
    """A place in the style of an element, %."""
    styles = dict(one.split(":") for one in element.get("style", "").split(";") if one)
    return number(styles[side])


def points(one: Element) -> npt.NDArray[np.float64]:
    """Corners of a line or outline, (n, 2)."""
    return np.array([[float(k) for k in pair.split(",")] for pair in one.get("points", "").split()])


class Scale:
    """Numbers by their places, %, as the scale of a chart has them."""

    def __init__(self, figure: Element, strip: str = "along", side: str = "left") -> None:
        marks = [one for group in all_of(figure, "div", strip) for one in group.iter("span")]
        places, values = (
            [f(one) for one in marks] for f in (lambda one: place(one, side), lambda one: number(words(one)))
        )
        (self.step, self.start), left, *_ = np.polyfit(places, values, 1, full=True)
        assert len(places) > 1 and (len(left) == 0 or left[0] < 1e-3 * (max(values) - min(values)) ** 2)

    def at(self, percent: float) -> float:
        return float(self.start + self.step * percent)


def bars(row: Element, scale: Scale) -> list[tuple[str, float, float]]:
    """Fill, low and high end of each bar of a row."""
    found = []
    for one in all_of(row, "rect"):
        if one.get("class") != "seen":
            left, width = (number(one.get(key, "")) for key in ("x", "width"))
            found.append((one.get("class", "").split()[-1], scale.at(left), scale.at(left + width)))
    return found


def marks(row: Element, scale: Scale) -> list[float]:
    """Where lines cross a row."""
    return [scale.at(number(one.get("x1", ""))) for one in all_of(row, "line", "tick")]


def rows(figure: Element) -> dict[str, Element]:
    """Rows of bars by their names."""
    found = {}
    for row in all_of(figure, "div", "row"):
        for name in all_of(row, "p", "name"):
            found[
                words(name).removesuffix(
                    "".join(name.find("small").itertext()) if name.find("small") is not None else ""
                )
            ] = row
    return found
