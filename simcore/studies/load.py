"""Reads what any study has saved."""

from importlib import import_module
from pathlib import Path

from simcore.results.result import Result, load_result

HOMES = {
    "comparison": "simcore.studies.compare",
    "field_trial": "simcore.outdoors.field_trial",
    "fit": "simcore.studies.fitted",
    "inspection": "simcore.studies.inspect",
    "limits": "simcore.studies.limit",
    "measurement": "simcore.studies.measure",
    "ranges": "simcore.studies.ranges",
    "ranking": "simcore.studies.ranking",
    "run": "simcore.results.run",
    "sensitivity": "simcore.studies.sensitivity",
    "spread": "simcore.studies.scattered",
    "sweep": "simcore.studies.sweep",
}
"""Every kind of result, and its module; it is loaded when there is something of its kind."""


def kind_named(name: str) -> type[Result]:
    """The kind of result of a name that is in `HOMES`."""
    import_module(HOMES[name])
    return Result.kinds[name]


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
    for name in HOMES:
        kind_named(name)
    return load_result(path)
