"""Text in columns that loses no letter: a table takes the room there is, turns round, or goes on below."""

import dataclasses
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import zip_longest
from typing import NamedTuple

from rich.cells import cell_len

from simcore.results.formatting import MINUS

Names = tuple[str, ...]
GAP = 2  # blanks between columns
TEXT = 24  # letters; anything longer is a sentence, which may be broken between words
EASY = (40, 28, 20, 12)  # letters that a head may take although its numbers are shorter; the most that fits
INDENT = "  "  # of a name's second line


class Line(NamedTuple):
    """One line on the screen, or a sentence, and how it is set off: "bold", "dim" or plainly."""

    text: str
    style: str = ""


class Hint(NamedTuple):
    """How a reader of the screen gets at more; no part of what is said of a result."""

    text: str


def wrapped(text: str, width: int | None, indent: str = "") -> list[str]:
    """Lines of a text, broken between words where it is too wide; a word that is too wide stays whole.

    Parameters
    ----------
    width : most letters in a line; None: as many as there are
    indent : before every line but the first
    """
    if width is None or cell_len(text) <= width:
        return [text]
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line.strip() else line + word
        if line.strip() and cell_len(longer) > width:
            lines.append(line)
            longer = indent + word
        line = longer
    return [*lines, line]


def sentence(text: str, width: int | None, style: str = "") -> list[Line]:
    """A sentence in lines."""
    return [Line(line, style) for line in wrapped(text, width)]


def in_lines(blocks: "Iterable[Block]", width: int | None) -> list[Line]:
    """Sentences, hints and tables in lines no wider than the room."""
    found: list[Line] = []
    for block in blocks:
        match block:
            case Grid():
                found += block.lines(width)
            case Hint(text):
                found += sentence(text, width, "dim")
            case Line(text, style):
                found += sentence(text, width, style)
    return found


def _longest_word(texts: Sequence[str]) -> int:
    return max((cell_len(word) for text in texts for word in text.split()), default=0)


@dataclasses.dataclass(frozen=True)
class _Column:
    """A column with the lines of its head."""

    head: Names
    cells: Sequence[str]

    @cached_property
    def of_cells(self) -> int:
        """Width of the widest cell."""
        return max(map(cell_len, self.cells), default=0)

    @property
    def flows(self) -> bool:
        """Whether its cells are sentences, which may be broken."""
        return self.of_cells > TEXT

    @cached_property
    def whole(self) -> int:
        """Width without a break in head or cells."""
        return max(self.of_cells, *map(cell_len, self.head))

    def with_head(self, most: int) -> int:
        """Width without a break in its cells, the head broken between words beyond so many letters."""
        return min(self.whole, max(self.of_cells, _longest_word(self.head), most))

    @property
    def snug(self) -> int:
        """The narrowest of these."""
        return self.with_head(EASY[-1])

    @cached_property
    def least(self) -> int:
        """Narrowest width that breaks no word, and no cell but a sentence."""
        cells = max(TEXT, _longest_word(self.cells)) if self.flows else self.of_cells
        return max(cells, _longest_word(self.head))

    @property
    def narrowest_name(self) -> int:
        """Narrowest width of names, which may be broken between any words."""
        return max(_longest_word(self.cells) + len(INDENT), _longest_word(self.head))

    @cached_property
    def right(self) -> bool:
        """Whether it stands flush right: numbers, with short words among them at most."""
        numbers = [cell for cell in self.cells if is_number(cell)]
        return bool(numbers) and not self.flows


def is_number(cell: str) -> bool:
    """Whether a cell begins as a number does, so that it stands flush right."""
    return cell[:1].isdigit() or (cell[:1] in (MINUS, "-", "+") and len(cell) > 1)


Placed = tuple[_Column, int]  # a column and its width
Part = tuple[list[Placed], list[Placed]]  # names, and the columns that stand beside them


@dataclasses.dataclass(frozen=True)
class Grid:
    """Cells with names for their rows and their columns, all of them text.

    Attributes
    ----------
    corner : heads over the names of the rows, which may have several parts
    rows, columns : names of each; the parts of a column's name stand one below the other
    cells : one row after the other
    turned_corner : heads over the names of the columns once they stand as rows; empty: it is never turned
    """

    corner: Names
    rows: Sequence[Names]
    columns: Sequence[Names]
    cells: Sequence[Sequence[str]]
    turned_corner: Names = ()

    @property
    def turned(self) -> "Grid":
        """The same with rows for columns."""
        cells = list(zip(*self.cells, strict=True))
        return Grid(self.turned_corner, self.columns, self.rows, cells, self.corner)

    def lines(self, width: int | None) -> list[Line]:
        """The table in lines no wider than the room, unless a single word is.

        Too wide, it is turned if that takes fewer blocks; what still has no room stands in blocks one below
        the other, each with the names again.

        Parameters
        ----------
        width : of the screen; None: any
        """
        blocks = self._blocks(width)
        if len(blocks) > 1 and self.turned_corner and self.rows:
            blocks = min(blocks, self.turned._blocks(width), key=len)
        found: list[Line] = []
        for block in blocks:
            found += [*([Line("")] if found else []), *_drawn(block)]
        return found

    def _blocks(self, width: int | None) -> list[Part]:
        names = [_Column((head,), [row[k] for row in self.rows]) for k, head in enumerate(self.corner)]
        columns = [_Column(head, [row[k] for row in self.cells]) for k, head in enumerate(self.columns)]
        if width is None:
            return [([(one, one.whole) for one in names], [(one, one.whole) for one in columns])]
        for most in EASY:
            widths = [one.with_head(most) for one in columns]
            if _breadth([one.whole for one in names] + widths) <= width:
                placed = list(zip(columns, widths, strict=True))
                return [([(one, one.whole) for one in names], placed)]
        room = width - _breadth([taken for _, taken in _narrowed(names, width // 2)])
        blocks = _parted(columns, room)
        left = [width - sum(GAP + taken for _, taken in block) for block in blocks]
        return [
            (_narrowed(names, min(rest, width // 2)), block) for rest, block in zip(left, blocks, strict=True)
        ]


Block = Grid | Line | Hint
"""What is said of a result is a list of these."""


def _breadth(widths: Sequence[int]) -> int:
    return sum(widths) + GAP * (len(widths) - 1)


def _narrowed(names: Sequence[_Column], most: int) -> list[Placed]:
    """Names with so much room at most, as far as their words allow."""
    widths = [one.whole for one in names]
    while _breadth(widths) > most:
        can = [k for k, one in enumerate(names) if widths[k] > one.narrowest_name]
        if not can:
            break
        widest = max(can, key=lambda k: widths[k])
        widths[widest] -= 1
    return list(zip(names, widths, strict=True))


def _parted(columns: Sequence[_Column], room: int) -> list[list[Placed]]:
    """Columns in as many blocks as it takes; sentences take what is left of a line."""
    blocks: list[list[Placed]] = [[]]
    left = room
    for column in columns:
        fits = column.snug + GAP <= left
        if not fits and column.least + GAP > left and blocks[-1]:
            blocks.append([])
            left = room
            fits = column.snug + GAP <= left
        taken = column.snug if fits else max(column.least, left - GAP if column.flows else 0)
        blocks[-1].append((column, taken))
        left -= taken + GAP
    return blocks


def _drawn(block: Part) -> Iterator[Line]:
    """Heads, then rows, of one block."""
    names, beside = block
    placed = [*names, *beside]
    heads = [
        [line for part in column.head for line in wrapped(part, max(width, _longest_word([part])))]
        for column, width in placed
    ]
    tallest = max(map(len, heads))
    if any(line for head in heads for line in head):
        level = [[""] * (tallest - len(head)) + head for head in heads]
        yield from (Line(line, "bold") for line in _rows(level, placed))
    for k in range(len(placed[0][0].cells)):
        row = [
            wrapped(column.cells[k], width, INDENT if j < len(names) else "")
            for j, (column, width) in enumerate(placed)
        ]
        yield from map(Line, _rows(row, placed))


def _rows(cells: Sequence[Sequence[str]], placed: Sequence[Placed]) -> Iterator[str]:
    """Cells of several lines side by side."""
    for texts in zip_longest(*cells, fillvalue=""):
        parts = []
        for text, (column, width) in zip(texts, placed, strict=True):
            blanks = " " * (width - cell_len(text))
            parts.append(blanks + text if column.right else text + blanks)
        yield (" " * GAP).join(parts).rstrip()
