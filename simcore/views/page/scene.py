"""A drawing to scale: shapes in SVG, numbered places and words in HTML over and below it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from markupsafe import Markup

from simcore.views.page.part import Part
from simcore.views.page.shapes import Points, Window, line
from simcore.views.page.shipped import template, text

BLACK = 6  # number of the colour
TAG = 0.062  # of the width, size of a tag on a phone


class Tag(NamedTuple):
    """A number in the drawing: (2,) the place that it belongs to, mm; what is there; number of its colour."""

    at: Points
    words: str
    look: int = BLACK


class Under(NamedTuple):
    """Rows of words in the ground, and their middle, (2,), mm."""

    at: Points
    rows: Sequence[str]


class Placed(NamedTuple):
    """Number or rows of words as the template takes them: place, % from the left and from above."""

    left: float
    top: float
    words: str
    rows: Sequence[str]
    look: int


@dataclass(frozen=True)
class Scene:
    """Something drawn to scale.

    Attributes
    ----------
    heading, note : what is drawn; how to read it, may be empty
    window : corners of the drawing
    shapes : from the back to the front
    tags : what is numbered
    under : words in the ground
    """

    heading: str
    note: str
    window: Window
    shapes: Sequence[Markup]
    tags: Sequence[Tag]
    under: Sequence[Under] = ()

    @property
    def part(self) -> Part:
        """The drawing as a piece of the page."""
        shapes = Markup("").join([*self.shapes, *self._leaders()])
        rows = [Placed(*self.window.place(one.at), "", one.rows, BLACK) for one in self.under]
        html = template("scene.html").render(one=self, shapes=shapes, tags=self._placed, under=rows)
        return Part(Markup(html), text("scene.css"))

    @property
    def words(self) -> str:
        """What the drawing shows, for those who do not see it."""
        said = [tag.words for tag in self.tags] + [" ".join(one.rows) for one in self.under]
        return f"{self.heading}: {'; '.join(said)}"

    @cached_property
    def _spots(self) -> list[Points]:
        """Where numbers stand, clear of one another."""
        size = TAG * float(self.window.high[0] - self.window.low[0])
        spots: list[Points] = []
        for tag in self.tags:
            spots.append(self.window.beside(tag.at, spots, size))
        return spots

    @property
    def _placed(self) -> list[Placed]:
        found = zip(self.tags, self._spots, strict=True)
        return [Placed(*self.window.place(spot), tag.words, (), tag.look) for tag, spot in found]

    def _leaders(self) -> Iterator[Markup]:
        """Lines from places to their numbers."""
        for tag, spot in zip(self.tags, self._spots, strict=True):
            yield line("leader", [tag.at, spot])
