"""Pictures as files: each is drawn once, in the look asked for, and written in every format asked for."""

import dataclasses
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from simcore.outbox import Writer, write_all

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FORMATS = ("png", "svg", "pdf")
LOOKS = ("screen", "print")
Draw = Callable[[], "Figure"]


@dataclasses.dataclass(frozen=True)
class Prints:
    """How pictures are written.

    Attributes
    ----------
    formats : some of FORMATS
    look : one of LOOKS
    """

    formats: tuple[str, ...] = ("png",)
    look: str = "screen"

    def names(self, pictures: Iterable[str]) -> list[str]:
        """File names of pictures."""
        return [f"{picture}.{kind}" for picture in pictures for kind in self.formats]

    def writers(self, pictures: Mapping[str, Draw]) -> dict[str, Writer]:
        """File name to what writes it, for pictures by name."""
        found: dict[str, Writer] = {}
        for name, draw in pictures.items():
            found |= dict.fromkeys(self.names([name]), self._writer(draw))
        return found

    def _writer(self, draw: Draw) -> Writer:
        """What draws a picture when it is first written, and writes it in the format of the file's name."""
        from simcore.pictures.style import drawn_for, save

        @cache
        def drawn() -> "Figure":
            with drawn_for(self.look):
                return draw()

        return lambda path: save(drawn(), path)


AS_USUAL = Prints()


def save_result(
    folder: str | Path, tables: Mapping[str, Writer], pictures: Mapping[str, Draw], prints: Prints
) -> list[Path]:
    """Write tables and pictures of a result, all or none.

    Parameters
    ----------
    folder : made when missing
    tables : file name to what writes it
    pictures : name without ending to what draws it
    prints : in which formats and look

    Returns
    -------
    The files, in order.
    """
    return write_all(Path(folder), dict(tables) | prints.writers(pictures))
