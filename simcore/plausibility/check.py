"""Checks a rig against what is usual."""

from simcore.files.check import key_path
from simcore.files.scenario import Scenario
from simcore.plausibility.explain import explained
from simcore.plausibility.look import look
from simcore.plausibility.reading import Reading
from simcore.plausibility.record import Implausible, Slip
from simcore.plausibility.usual import USUAL
from simcore.units import to_bench, with_unit


def check_rig(scenario: Scenario) -> list[Implausible]:
    """Values of a scenario's rig that are out of all custom, each with the slip that would explain it.

    What is out only because of another value is left out, where undoing that one's slip puts it right.
    Variants and axes of sweeps are not looked at. It raises nothing: a rig that cannot stand gets what its
    file alone shows, and is refused where it is built.

    Parameters
    ----------
    scenario : whose rig to look at, as its file, settings and defaults have it
    """
    return [_implausible(scenario, one, slip) for one, slip in explained(look(scenario))]


def _implausible(scenario: Scenario, reading: Reading, slip: Slip | None) -> Implausible:
    unit = USUAL[reading.code].unit
    low, high, value = (_short(to_bench(end, unit)) for end in (reading.low, reading.high, reading.value))
    return Implausible(
        file=scenario.rig_file,
        key=key_path(reading.key),
        code=reading.code,
        got=with_unit(value, unit),
        usual=with_unit(f"{low} to {high}", unit),
        slip=slip,
    )


def _short(number: float) -> str:
    """Three digits, whole from 100 on."""
    return f"{number:.0f}" if 100.0 <= abs(number) < 1e9 else f"{number:.3g}"
