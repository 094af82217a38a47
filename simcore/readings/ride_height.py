"""Sag as weights on a shock foretell it, against the sag at which the rig was measured."""

from collections.abc import Iterator
from math import hypot

from simcore.errors import InputError
from simcore.files.scenario import Scenario
from simcore.readings.derive import Derived
from simcore.readings.uncertain import error_of, value_of
from simcore.readings.workings import Disagreement
from simcore.rig.masses import SIDES
from simcore.rig.model import build
from simcore.units import GRAMS

ROUGH_LOAD = 0.1
"""Share by which the load of a shock is taken to be known; masses and places have errors too."""


def sag_disagreements(derived: Derived, scenario: Scenario) -> Iterator[Disagreement]:
    """Axles whose sag, foretold by the weights on their shocks, is not the one that they stand at.

    At rest a shock carries the force F that holds the rig at its ride height; weights said ``F = F0 + k s``.
    Friction f may hold it f/k to either side.

    Parameters
    ----------
    derived : the rig's values
    scenario : the rig, standing on the level
    """
    try:
        springs = [axle.shock.spring[0] for axle in build(scenario).rig.axle]
    except InputError:  # whoever runs it says why it cannot stand
        return
    for name, spring in zip(SIDES, springs, strict=True):
        weighed, stands = derived.shocks[name]
        if weighed is None:
            continue
        carries = float(spring.rate) * (value_of(stands) - float(spring.loose_at))
        foretold, rate = (carries - weighed.preload) / weighed.rate, value_of(weighed.rate)
        friction = value_of(derived.entries[f"{name}.shock.friction.breakaway"].number)
        error = hypot(error_of(foretold - stands), ROUGH_LOAD * carries / rate) + friction / rate
        if abs(value_of(foretold - stands)) > error:
            text = (
                f"weights on the shock foretell {1e3 * value_of(foretold):.1f} ± {1e3 * error:.1f} mm under "
                f"the {carries * GRAMS:.0f} g that it carries, but the rig stands at "
                f"{1e3 * value_of(stands):.1f} mm"
            )
            yield Disagreement(f"{name}.shock.sag", text)
