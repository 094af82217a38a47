"""Reads rig and scenario files as `simcore.files` does, and warns of what is out of all custom."""

from pathlib import Path

from simcore import files
from simcore.files import Rig, Scenario
from simcore.plausibility.warn import warn_of_rig
from simcore.standing.at_rest import standing_scenario


def load_rig(path: str | Path) -> Rig:
    """Read a rig file, and warn (`ImplausibleRig`) of values in it that are out of all custom.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    Rig
        The checked rig, in SI.

    Raises
    ------
    InputError
        With every issue found.
    """
    scenario = standing_scenario(path)
    warn_of_rig(scenario, stacklevel=3)
    return scenario.rig


def load_scenario(path: str | Path) -> Scenario:
    """Read a scenario file and the rig file it names, check all its variants and the values of its axes, and
    warn (`ImplausibleRig`) of values in the rig, and in those of its variants, that are out of all custom.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    Scenario
        The checked scenario, in SI.

    Raises
    ------
    InputError
        With every issue found.
    """
    scenario = files.load_scenario(path)
    warn_of_rig(scenario, stacklevel=3)
    return scenario
