"""What rows and columns are called on the screen: in words, and where all is shown as in files too."""

from collections.abc import Sequence

from simcore.results.catalogue import CATALOGUE, label_of
from simcore.results.formatting import said_unit
from simcore.views.console.layout import Block, Hint, Line

IN_FILES = ("name in files",)
"""Head of the column that says where a number is found in files."""
LONGEST = 24  # letters of a word in a case's name; longer ones stand in a key


def with_unit(label: str, name: str) -> str:
    """A label with the unit in which a result is said."""
    unit = said_unit(name)
    return f"{label}, {unit}" if unit else label


def named(metric: str) -> str:
    """A metric's name in words, with its unit."""
    label = label_of(metric)
    return label if CATALOGUE[metric].text else with_unit(label, metric)


def keyed_names(names: list[str]) -> tuple[list[str], list[str]]:
    """Names as heads, or letters for them with what they stand for, where a name has a word without end."""
    if all(len(word) <= LONGEST for name in names for word in name.split()):
        return names, []
    letters = [_letters(k) for k in range(len(names))]
    return letters, [f"{letter} = {name}" for letter, name in zip(letters, names, strict=True)]


def key_lines(texts: Sequence[str]) -> list[Block]:
    """What letters stand for."""
    return [*map(Line, texts), Line("")] if texts else []


def _letters(k: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    return (_letters(k // 26 - 1) if k >= 26 else "") + chr(ord("A") + k % 26)


def how_many_more(left: int) -> list[Block]:
    """How much is not shown."""
    return [Hint(f"{left} more metrics: --all shows them")] if left > 0 else []
