"""Writes the files of a result so that they appear whole or not at all."""

import shutil
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from simcore.faults import BadInput, Fault

Writer = Callable[[Path], object]


def write_all(folder: Path, writers: Mapping[str, Writer]) -> list[Path]:
    """Write several files into a folder.

    Everything is written beside the folder first; only when all is there do the files take their names.

    Parameters
    ----------
    folder : made when missing
    writers : file name to a function that writes a file at the path it is given

    Returns
    -------
    The files, in order.

    Raises
    ------
    BadInput
        when the folder cannot be made or written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(prefix=".draft-", dir=folder))
    except OSError as error:
        reason = error.strerror or str(error)
        raise BadInput([Fault(str(folder), "--out", reason, "a folder that can be written")]) from error
    try:
        for name, write in writers.items():
            write(draft / name)
        for name in writers:
            (draft / name).replace(folder / name)
    except OSError as error:
        reason = error.strerror or str(error)
        raise BadInput(
            [Fault(str(folder), "--out", reason, "a folder with room that can be written")]
        ) from error
    finally:
        shutil.rmtree(draft, ignore_errors=True)
    return [folder / name for name in writers]
