"""The `kernel` decorator: a law compiled by numba, kept in the folder that belongs to these sources."""

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba

from simcore.compiled.cache import cache_folder, keep_code

Function = TypeVar("Function", bound=Callable[..., Any])


def within(function: Function) -> Function:
    """A part of one kernel: it becomes a part of its only caller, and is not compiled by itself."""
    return cast(Function, numba.njit(error_model="numpy", nogil=True, inline="always")(function))


def kernel(function: Function) -> Function:
    """Compile a law with numba: cached on disk, IEEE arithmetic in the order written, division by zero gives
    inf, other threads may run meanwhile.
    """
    folder = cache_folder()
    compiled = numba.njit(error_model="numpy", nogil=True)(function)
    if folder is not None:
        keep_code(compiled, folder)
    return cast(Function, compiled)
