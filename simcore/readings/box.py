"""Inertia of a body that was not swung: as that of its box, or by a guessed radius of gyration."""

from simcore.readings.uncertain import Number
from simcore.readings.weighing import box_inertia
from simcore.readings.workings import Way, Workings

ROUGH_BOX = 0.3
"""Share by which the inertia of a real thing may differ from that of its box (common practice, no source)."""


def by_box(workings: Workings, line: str, mass: Number) -> Way | None:
    """Way by the box of a body; None where its size was not read.

    Parameters
    ----------
    workings : readings
    line : of its length and height
    mass : kg
    """
    length, height = workings.read(f"{line}.0"), workings.read(f"{line}.1")
    if length is None or height is None:
        return None
    rough = workings.assumed(f"{line} taken as a box", ROUGH_BOX)
    return Way("box: mass * (l^2 + h^2) / 12, good to 30 %", rough * box_inertia(mass, length, height))


def by_gyration(mass: Number, arm: Number) -> Way:
    """Way by a guessed radius of gyration, m."""
    return Way("mass * guessed radius of gyration^2", mass * arm**2)
