"""Where compiled code is kept between runs: a folder that belongs to exactly these sources.

numba checks only the file a function stands in, not the laws it calls, so a shared folder would go on serving
code compiled from an older law; and it keeps code apart for every place of that file, so that each copy of
the program would be compiled anew. Both are answered by the folder's name, a digest of all the sources.

Kept code costs nobody a run: what is damaged or has no room is compiled anew.
"""

import functools
import getpass
import hashlib
import os
import pickle
import sys
import tempfile
import warnings
import zlib
from pathlib import Path
from typing import Any

import numba
import numpy as np
from numba.core.caching import CompileResultCacheImpl, FunctionCache
from numba.core.serialize import dumps
from numba.core.sigutils import normalize_signature

ANEW = "it is compiled anew in every run"
SOURCES = Path(__file__).parents[1]


class CacheMoved(UserWarning):
    """Compiled code is not kept where it is wanted."""


@functools.cache
def source_digest() -> str:
    """Digest of all sources that define or name compiled code, and of what compiles them."""
    digest = hashlib.sha256(f"{numba.__version__} {np.__version__} {sys.version}".encode())
    for path in sorted(SOURCES.glob("**/*.py")):
        text = path.read_bytes()
        if path.parent == Path(__file__).parent or b"kernel" in text:
            digest.update(text)
    return digest.hexdigest()[:16]


def _wanted() -> Path:
    base = os.environ.get("XDG_CACHE_HOME")
    return (Path(base) if base else Path.home() / ".cache") / "simcore" / source_digest()


def _spare() -> Path:
    """Folder for this user among the temporary files."""
    try:
        user = getpass.getuser()
    except (KeyError, OSError):  # one that the system has no name for
        user = str(os.getuid())
    return Path(tempfile.gettempdir()) / f"simcore-{user}" / source_digest()


def _why_not(folder: Path) -> str:
    """Why a folder cannot keep compiled code; empty when it can."""
    try:
        for place in (folder.parent, folder):
            place.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return ""
    except OSError as error:
        return error.strerror or str(error)


def _shared(folder: Path) -> str:
    """Why code in a folder among everybody's files must not be run; empty when it may."""
    if not hasattr(os, "getuid"):
        return ""
    places = [place.stat() for place in (folder, folder.parent)]
    ours = all(place.st_uid == os.getuid() and not place.st_mode & 0o022 for place in places)
    return "" if ours else "others may write there"


@functools.cache
def cache_folder() -> Path | None:
    """Folder of the compiled code that belongs to exactly these sources; None where there is none.

    Where the usual place (`$XDG_CACHE_HOME` or `~/.cache`) cannot be used, a folder among the
    temporary files is, and a warning says so.
    """
    try:
        wanted = _wanted()
    except RuntimeError:  # a user without a home
        trouble = "there is no home folder to keep compiled code in"
    else:
        why = _why_not(wanted)
        if not why:
            return wanted
        trouble = f"compiled code cannot be kept in {wanted} ({why})"
    try:
        spare = _spare()
        why = _why_not(spare) or _shared(spare)
    except OSError as error:  # no folder for temporary files
        why = str(error)
    instead = f"it is kept in {spare}" if not why else ANEW
    warnings.warn(f"{trouble}; {instead}", CacheMoved, stacklevel=2)
    return None if why else spare


def is_compiled() -> bool:
    """Whether an earlier run left compiled code for these sources."""
    folder = cache_folder()
    return folder is not None and any(folder.glob("**/*.nbi"))


class _Place:
    """What numba asks about the place of a function's code."""

    def __init__(self, folder: Path, function: Any) -> None:
        self.folder, self.function = folder, function

    def get_cache_path(self) -> str:
        """Folder of the function's module."""
        return str(self.folder / self.function.__module__)

    def ensure_cache_path(self) -> None:
        """Make that folder."""
        Path(self.get_cache_path()).mkdir(parents=True, exist_ok=True)

    def get_source_stamp(self) -> str:
        """What the code belongs to: the folder's name says it."""
        return self.folder.name

    def get_disambiguator(self) -> str:
        """Line of the function: a name may stand twice in a module."""
        return str(self.function.__code__.co_firstlineno)


class _Checked(CompileResultCacheImpl):
    """Compiled code as bytes with a checksum: altered code might run, and give anything."""

    def __init__(self, folder: Path, function: Any) -> None:
        self.folder = folder
        self._locator_classes: Any = [self]
        super().__init__(function)

    def from_function(self, function: Any, _: str) -> _Place:
        """Place of a function's code, wherever its source stands."""
        return _Place(self.folder, function)

    def reduce(self, code: Any) -> tuple[int, bytes]:
        """Code as it is kept."""
        text = dumps(super().reduce(code))
        return zlib.crc32(text), text

    def rebuild(self, context: Any, kept: tuple[int, bytes]) -> Any:
        """Code from what was kept."""
        checksum, text = kept
        if zlib.crc32(text) != checksum:
            raise ValueError("altered code")
        return super().rebuild(context, pickle.loads(text))


class KeptCode(FunctionCache):
    """Code of one function on the disk; whatever is wrong there, the function is compiled anew."""

    def __init__(self, folder: Path, function: Any) -> None:
        self._impl_class: Any = functools.partial(_Checked, folder)
        super().__init__(function)

    def load_overload(self, signature: Any, context: Any) -> Any:
        """Code that was kept, or None."""
        try:
            found = super().load_overload(signature, context)
            # two processes that keep code for different arguments at once may take each other's file
            wanted = found is None or tuple(found.signature.args) == normalize_signature(signature)[0]
            return found if wanted else None
        except Exception:  # a damaged file may raise anything
            return None

    def save_overload(self, signature: Any, code: Any) -> None:
        """Keep code, if there is room."""
        try:
            try:
                super().save_overload(signature, code)
            except (OSError, MemoryError):
                raise
            except Exception:  # its index is damaged
                self.flush()
                super().save_overload(signature, code)
        except OSError as error:
            _warn_once(f"compiled code cannot be kept in {self.cache_path} ({error.strerror}); {ANEW}")


@functools.cache
def _warn_once(text: str) -> None:
    warnings.warn(text, CacheMoved, stacklevel=2)


def keep_code(compiled: Any, folder: Path) -> None:
    """Keep the code of a function that numba compiles in a folder of these sources."""
    if hasattr(compiled, "enable_caching"):  # else nothing is compiled
        compiled._cache = KeptCode(folder, compiled.py_func)
