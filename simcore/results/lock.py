"""Keeps processes of this program out of one another's way, where the system has locks.

A lock goes with the process that holds it, however that ends.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

fcntl: Any
try:
    import fcntl
except ImportError:  # another system: nobody is kept out, and nobody is known to be dead
    fcntl = None


@contextmanager
def locked(number: int) -> Iterator[None]:
    """Wait until no other process holds an open file, and hold it; without locks nobody waits.

    Parameters
    ----------
    number : of the open file
    """
    with suppress(OSError):
        if fcntl is not None:
            fcntl.flock(number, fcntl.LOCK_EX)
    try:
        yield
    finally:
        with suppress(OSError):
            if fcntl is not None:
                fcntl.flock(number, fcntl.LOCK_UN)


@contextmanager
def folder_locked(folder: Path) -> Iterator[None]:
    """Hold a folder, as `locked` does a file.

    Raises
    ------
    OSError
        when there is none that can be read.
    """
    if fcntl is None:
        yield
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        with locked(number):
            yield
    finally:
        os.close(number)


def hold(folder: Path) -> int | None:
    """Hold a folder unless another process does.

    Returns
    -------
    The open file that holds it until it is closed; None where another may hold it.
    """
    if fcntl is None:
        return None
    number = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(number)
        return None
    return number
