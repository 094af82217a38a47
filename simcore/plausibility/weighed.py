"""Readings of the axle loads that were measured; the one mass, or place, by which they would be right."""

from collections.abc import Iterator

from simcore.files.rig import Rig
from simcore.plausibility.bench import Bench
from simcore.plausibility.codes import Code
from simcore.plausibility.masses import mass_keys
from simcore.plausibility.reading import Reading, reading
from simcore.rig.masses import SIDES
from simcore.units import GRAVITY


def weighed_readings(bench: Bench) -> Iterator[Reading]:
    """Load of each axle that was weighed, by the masses of the file."""
    rig = bench.rig
    suspects = [*(key for key, _ in mass_keys(rig)), *place_keys(rig)]
    for name, load in zip(SIDES, bench.pose.loads, strict=True):
        measured = getattr(rig.weighed, name)
        if measured is not None:
            yield reading(rig, Code.AXLE_LOAD, ("weighed", name), load / GRAVITY, *suspects, size=measured)


def place_keys(rig: Rig) -> Iterator[tuple[str | int, ...]]:
    """Keys of how far forward the masses are that stand anywhere."""
    yield ("chassis", "cg", 0)
    yield from (("parts", k, "at", 0) for k in range(len(rig.parts)))
