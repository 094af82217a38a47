"""Reads what any study has saved."""

import importlib
import pkgutil
from collections.abc import Mapping
from pathlib import Path

from simcore import studies
from simcore.results.result import Result, load_result


def every_kind() -> Mapping[str, type[Result]]:
    """Every kind of result by its name."""
    for module in pkgutil.iter_modules(studies.__path__):  # each makes its kind of result known
        importlib.import_module(f"{studies.__name__}.{module.name}")
    return Result.kinds


def load(path: str | Path) -> Result:
    """Read a saved result.

    Parameters
    ----------
    path : the folder that it was saved in, or its JSON file where the folder holds several results

    Returns
    -------
    The result as its study returned it; a run comes without its raw trace.

    Raises
    ------
    InputError
        When there is none, or it is damaged or of another version.
    """
    every_kind()
    return load_result(path)
