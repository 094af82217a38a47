"""The `kernel` decorator: a law compiled by numba, kept in the folder that belongs to these sources."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar, cast

import numba

from simcore.compiled.cache import cache_folder, keep_code

Function = TypeVar("Function", bound=Callable[..., Any])


@contextmanager
def _kept_in(folder: str) -> Iterator[None]:
    """Let numba keep what is decorated inside in a folder; whoever else uses numba here keeps theirs."""
    config: Any = numba.config  # its settings have no declared names
    before, config.CACHE_DIR = config.CACHE_DIR, folder
    try:
        yield
    finally:
        config.CACHE_DIR = before


def within(function: Function) -> Function:
    """A part of one kernel: it becomes a part of its only caller, and is not compiled by itself."""
    return cast(Function, numba.njit(error_model="numpy", nogil=True, inline="always")(function))


def kernel(function: Function) -> Function:
    """Compile a law with numba: cached on disk, IEEE arithmetic in the order written, division by zero gives
    inf, other threads may run meanwhile.
    """
    folder = cache_folder()
    with _kept_in(str(folder or "")):
        compiled = numba.njit(error_model="numpy", nogil=True)(function)
        if folder is not None:
            keep_code(compiled)
    return cast(Function, compiled)
