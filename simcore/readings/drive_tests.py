"""Gearing and motor, from teeth, counted turns, the label and a supply with a meter."""

from collections.abc import Sequence
from math import prod

from simcore.readings.uncertain import Number


def ratio_of_teeth(pairs: Sequence[tuple[int, int]]) -> float:
    """Turns of the first gear per turn of the last: product of driven over driving teeth.

    Source: any machine design text.
    """
    return prod(driven / driving for driving, driven in pairs)


def overdrive_of_ratios(rear: Number, front: Number) -> Number:
    """How much faster the front wheels are driven: ratio to the rear over that to the front, less 1."""
    return rear / front - 1.0


def overdrive_of_turns(rear: Number, front: Number) -> Number:
    """How much faster the front wheels are driven, from turns counted at the same time: ``n_f/n_r - 1``."""
    return front / rear - 1.0


def resistance_at_stall(voltage: Number, current: Number) -> Number:
    """Resistance of everything in the loop from voltage and current of a motor held still: ``U/I``, ohm.

    Source: permanent-magnet motor, ``U = I R + w/k_v`` with w = 0; see `simcore.laws.driveline`.
    """
    return voltage / current


def speed_per_volt(speed: Number, voltage: Number, current: Number, resistance: Number) -> Number:
    """Speed per volt from a free-running motor: ``k_v = w/(U - I_0 R)``, rad/(s*V).

    Source: permanent-magnet motor, ``U = I R + w/k_v``.
    """
    return speed / (voltage - current * resistance)
