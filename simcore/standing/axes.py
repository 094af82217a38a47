"""Places of a standing rig as on a bench: along its ground from below the rear wheel centre, and above it."""

import dataclasses

from simcore.compiled import REAR, LedgerRecord

Point = tuple[float, float]


@dataclasses.dataclass(frozen=True)
class GroundAxes:
    """Axes along and across the plane that a rig stands on.

    Attributes
    ----------
    origin : the ground below the rear wheel centre, world axes, m
    along, up : unit vectors
    """

    origin: Point
    along: Point
    up: Point

    def turn(self, x: float, z: float) -> Point:
        """A world vector in these axes."""
        return x * self.along[0] + z * self.along[1], x * self.up[0] + z * self.up[1]

    def place(self, point: Point) -> Point:
        """A world place in these axes, m."""
        return self.turn(point[0] - self.origin[0], point[1] - self.origin[1])


def ground_axes(led: LedgerRecord) -> GroundAxes:
    """Axes of the plane under a rig, from its ledger."""
    contact = led.axle[REAR].tyre.contact
    pairs = ((float(v.x), float(v.z)) for v in (contact.foot, contact.along, contact.normal))
    return GroundAxes(*pairs)
