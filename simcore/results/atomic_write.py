"""Writes the files of a result so that they appear whole or not at all."""

import os
import shutil
import tempfile
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from simcore.errors import InputError, InputIssue

Writer = Callable[[Path], object]


def check_folder(folder: Path, names: Iterable[str]) -> None:
    """Refuse a folder that cannot take the files, before any work is done.

    Raises
    ------
    InputError
        when the folder cannot be made or written, or something that is no file bears one of the names.
    """
    home = next(parent for parent in (folder, *folder.absolute().parents) if parent.exists())
    if not home.is_dir() or not os.access(home, os.W_OK | os.X_OK):
        reason = f"{home}, which is no folder" if not home.is_dir() else f"{home}, which is closed to writing"
        raise InputError([InputIssue(str(folder), "--out", reason, "a folder that can be written")])
    taken = [name for name in names if (folder / name).is_dir()]
    if taken:
        got = f"a folder named {', '.join(taken)} in it"
        raise InputError(
            [InputIssue(str(folder), "--out", got, "a place where these names are free for files")]
        )


def write_all(folder: Path, writers: Mapping[str, Writer], gone: Iterable[str] = ()) -> list[Path]:
    """Write several files into a folder.

    Everything is written beside the folder first; only when all is there do the files take their names.

    Parameters
    ----------
    folder : made when missing
    writers : file name to a function that writes a file at the path it is given
    gone : names of files of an earlier result that this one has no more

    Returns
    -------
    The files, in order.

    Raises
    ------
    InputError
        when the folder cannot be made or written.
    """
    check_folder(folder, writers)
    fresh = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(prefix=".draft-", dir=folder))
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(
            [InputIssue(str(folder), "--out", reason, "a folder that can be written")]
        ) from error
    try:
        for name, write in writers.items():
            write(draft / name)
        for name in writers:
            (draft / name).replace(folder / name)
        for name in set(gone) - set(writers):
            (folder / name).unlink(missing_ok=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(
            [InputIssue(str(folder), "--out", reason, "a folder with room that can be written")]
        ) from error
    finally:
        shutil.rmtree(draft, ignore_errors=True)
        if fresh and not any(folder.iterdir()):
            folder.rmdir()
    return [folder / name for name in writers]
