"""Writes the files of a result so that they appear whole or not at all.

They are written in a draft, a folder inside the result's folder. Once all are there it is renamed, and they
take their names. A process that is killed leaves one of the two, and the next one that comes to the folder
clears a draft away, and gives the files of the other their names.
"""

import os
import shutil
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from simcore.errors import InputError, InputIssue
from simcore.results.lock import folder_locked, hold

Writer = Callable[[Path], object]
DRAFT, READY = ".draft-", ".ready-"
GONE = ".gone"  # in a draft: names of files that the result has no more


def check_folder(folder: Path, names: Iterable[str]) -> None:
    """Refuse a folder that cannot take the files, before any work is done.

    Raises
    ------
    InputError
        when the folder cannot be made or written, or something that is no file bears one of the names.
    """
    with _refusing(folder, OSError, ValueError):
        if "\0" in str(folder):
            raise ValueError("a name with a zero byte")
        home = next(place for place in (folder, *folder.absolute().parents) if os.path.lexists(place))
        folder.is_dir()  # raises where a name is too long
        if not home.is_dir() or not os.access(home, os.W_OK | os.X_OK):
            what = "no folder" if not home.is_dir() else "closed to writing"
            reason = f"{home}, which is {what}"
            raise InputError([InputIssue(str(folder), "--out", reason, "a folder that can be written")])
        taken = [name for name in names if (folder / name).is_dir()]
    if taken:
        got = f"a folder named {', '.join(taken)} in it"
        raise InputError(
            [InputIssue(str(folder), "--out", got, "a place where these names are free for files")]
        )


def write_all(folder: Path, writers: Mapping[str, Writer], gone: Iterable[str] = ()) -> list[Path]:
    """Write several files into a folder.

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
        with _refusing(folder, OSError):
            folder.mkdir(parents=True, exist_ok=True)
            clear_up(folder)
            with _draft_in(folder) as draft:
                for name, write in writers.items():
                    write(draft / name)
                (draft / GONE).write_text("\n".join(set(gone) - set(writers)), encoding="utf-8")
                ready = draft.with_name(READY + draft.name.removeprefix(DRAFT))
                with folder_locked(folder):
                    draft.rename(ready)
                    try:
                        _move_in(ready)
                    except KeyboardInterrupt:
                        _move_in(ready)
                        raise
    finally:
        if fresh:
            with suppress(OSError):
                folder.rmdir()  # unless something is in it
    return [folder / name for name in writers]


def clear_up(folder: Path) -> None:
    """Finish what killed processes have begun in a folder; what living ones do there is left alone."""
    if not any(_left_in(folder)):
        return
    with suppress(OSError), folder_locked(folder):
        for left in _left_in(folder):
            held = hold(left)
            if held is None:
                continue
            try:
                if left.name.startswith(READY):
                    _move_in(left)
                else:
                    shutil.rmtree(left, ignore_errors=True)
            finally:
                os.close(held)


def _left_in(folder: Path) -> Iterator[Path]:
    with suppress(OSError):
        for prefix in (READY, DRAFT):
            yield from sorted(folder.glob(f"{prefix}*/"))


@contextmanager
def _draft_in(folder: Path) -> Iterator[Path]:
    """A draft that is known to be this process's, and taken away in the end."""
    with folder_locked(folder):
        draft = Path(tempfile.mkdtemp(prefix=DRAFT, dir=folder))
        held = hold(draft)
    try:
        yield draft
    finally:
        shutil.rmtree(draft, ignore_errors=True)
        if held is not None:
            os.close(held)


def _move_in(ready: Path) -> None:
    """Give files that are all there their names, as far as that is still to be done."""
    folder, gone = ready.parent, ready / GONE
    for name in gone.read_text(encoding="utf-8").splitlines() if gone.exists() else ():
        (folder / name).unlink(missing_ok=True)
    for path in sorted(ready.iterdir()):
        if path != gone:
            path.replace(folder / path.name)
    gone.unlink(missing_ok=True)
    ready.rmdir()


@contextmanager
def _refusing(folder: Path, *errors: type[Exception]) -> Iterator[None]:
    """Turn what the system refuses into a message that names the folder."""
    try:
        yield
    except InputError:
        raise
    except errors as error:
        reason = getattr(error, "strerror", None) or str(error)
        must_be = "a folder with room that can be written"
        raise InputError([InputIssue(str(folder), "--out", reason, must_be)]) from error
