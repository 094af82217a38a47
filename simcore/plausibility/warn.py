"""Warns of what is out of all custom in a rig: the work is done all the same."""

import warnings

from simcore.errors import InputError
from simcore.files.scenario import Scenario
from simcore.plausibility.check import check_rig
from simcore.plausibility.codes import Code
from simcore.plausibility.record import Implausible

MEASURED = {Code.AXLE_LOAD, Code.RIDE_HEIGHT}
"""Of the rig as it was measured, not of a variant that changes it."""


class ImplausibleRig(UserWarning):
    """A value in a rig file is out of all custom; the text says where, and what slip would explain it."""


def warn_of_rig(scenario: Scenario, variants: bool = True, stacklevel: int = 2) -> None:
    """Warn of every implausible value of a scenario's rig, and of what its variants add to them.

    Axes of sweeps are not looked at. Axle loads and ride height were measured: no variant is held to them.

    Parameters
    ----------
    scenario : whose rig to look at
    variants : whether to look at its variants too
    stacklevel : as for `warnings.warn`
    """
    own = check_rig(scenario)
    lines = [str(one) for one in own]
    known = {_what(one) for one in own}
    for name in scenario.variants if variants else ():
        try:
            case = scenario.variant(name)
        except InputError:
            continue  # refused where the variant is run
        if case.rig == scenario.rig:
            continue
        more = [one for one in check_rig(case) if one.code not in MEASURED and _what(one) not in known]
        lines += [f'{one} (variant "{name}")' for one in more]
    for line in lines:
        warnings.warn(line, ImplausibleRig, stacklevel=stacklevel + 1)


def _what(one: Implausible) -> tuple[str, Code, str]:
    return one.key, one.code, one.got
