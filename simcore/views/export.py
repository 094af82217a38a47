"""Pictures as files: each is drawn once, in the look asked for, and written in every format asked for."""

import dataclasses
import shutil
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from simcore.files import Scenario
from simcore.results.atomic_write import Writer, check_folder, write_all
from simcore.results.result import Result
from simcore.views.catalogue import Draw, pictures_for, pictures_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FORMATS = ("png", "svg", "pdf")


@dataclasses.dataclass(frozen=True)
class Export:
    """How pictures are written.

    Attributes
    ----------
    formats : some of FORMATS; none: no pictures are written
    look : one of `simcore.views.catalogue.LOOKS`
    """

    formats: tuple[str, ...] = ("png",)
    look: str = "screen"

    def names(self, pictures: Iterable[str]) -> list[str]:
        """File names of pictures that are written, or taken away where none are."""
        return [f"{picture}.{kind}" for picture in pictures for kind in self.formats or FORMATS]

    def writers(self, pictures: Mapping[str, Draw], standing: Path | None = None) -> dict[str, Writer]:
        """File name to what writes it, for pictures by name.

        Parameters
        ----------
        pictures : name to what draws it
        standing : folder whose PNG files stay as they are where they show the same; new ones note what they
            show
        """
        found: dict[str, Writer] = {}
        for name, draw in pictures.items() if self.formats else ():
            found |= dict.fromkeys(self.names([name]), self._writer(draw, standing))
        return found

    def _writer(self, draw: Draw, standing: Path | None) -> Writer:
        """What draws a picture when it is first written, and writes it in the format of the file's name."""

        @cache
        def drawn() -> "Figure":
            from simcore.views.pictures.style import drawn_for

            with drawn_for(self.look):
                return draw()

        def write(path: Path) -> None:
            from simcore.views.digest import digest_in
            from simcore.views.pictures.style import save, shown

            before = None if standing is None or path.suffix != ".png" else standing / path.name
            if before is not None and digest_in(before) == shown(drawn()):
                shutil.copyfile(before, path)
            else:
                save(drawn(), path, noted=before is not None)

        return write


AS_USUAL = Export()


def check_place(folder: Path, kind: type[Result], scenario: Scenario, how: Export = AS_USUAL) -> None:
    """Refuse a folder that cannot take the files of a result, before any work is done.

    Raises
    ------
    InputError
        as `check_folder`.
    """
    pictures = [one.name for one in pictures_for(kind, scenario)]
    check_folder(folder, [*kind.names(), *how.names(pictures)])


def export(
    result: Result,
    folder: str | Path,
    how: Export = AS_USUAL,
    beside: Mapping[str, Writer] | None = None,
) -> list[Path]:
    """Write a result with all its pictures, all or none; pictures of an earlier one in the folder go.

    Parameters
    ----------
    result : from a study, or read from a folder
    folder : made when missing
    how : in which formats and look the pictures are written
    beside : further files, which appear with the others

    Returns
    -------
    The files, in order.
    """
    drawn, every = pictures_of(result) if how.formats else {}, pictures_for(type(result))
    gone = how.names(one.name for one in every if one.name not in drawn)
    files = result.saved() | how.writers(drawn) | dict(beside or {})
    return write_all(Path(folder), files, gone=[*result.names(), *gone])
