"""The usual ranges, as one table of data, each beside its source.

Trade: ranges that builders go by, for rigs of a tenth scale, from memory, widened so that a deliberate
experiment passes and a slip does not. Own: an estimate of ours. Mechanics: what no body can pass. For smaller
and larger rigs lengths are taken to grow with the wheelbase, masses with its power 2.5: a cube, less the
brass that small rigs carry (own estimate).
"""

import enum
from dataclasses import dataclass

from simcore.plausibility.codes import Code
from simcore.units import factor

TENTH = 0.315  # m, wheelbase for which the ranges are stated
TRADE = "common practice, no source; from memory"
OWN = "own estimate"
RING = "mechanics: a ring has mass * radius^2, a disc half of it; less: own estimate, brass in the hub"


class Per(enum.Enum):
    """What the bounds of a range are counted in; a value is shown in its unit all the same."""

    UNIT = "its unit"
    WHEELBASE = "wheelbases"
    RADIUS = "tyre radii of that axle"
    LENGTH = "lengths of the shock at full extension"
    STROKE = "strokes"
    RING = "inertias of a ring of the wheel's mass and radius"
    WEIGHED = "loads as weighed"


@dataclass(frozen=True)
class Usual:
    """A usual range.

    Attributes
    ----------
    low, high : its ends, both in it
    unit : bench unit in which it is shown
    source : where it is from
    per : what the ends are counted in
    growth : power of the wheelbase with which they grow, 1 at `TENTH`
    """

    low: float
    high: float
    unit: str
    source: str
    per: Per = Per.UNIT
    growth: float = 0.0

    def ends(self, wheelbase: float, size: float = 1.0) -> tuple[float, float]:
        """Both ends in SI for a rig of that wheelbase, m, where one of `per` is `size`."""
        one = factor(self.unit) if self.per is Per.UNIT else size
        scale = one * (wheelbase / TENTH) ** self.growth
        return self.low * scale, self.high * scale


USUAL = {
    Code.WHEELBASE: Usual(110, 700, "mm", OWN),
    Code.TRACK: Usual(0.42, 0.95, "mm", TRADE, Per.WHEELBASE),
    # masses: whole 1600-3500 g, wheel with tyre 90-250 g, axle 150-350 g, unsprung share 35-60 %
    Code.WHOLE_MASS: Usual(1400, 4500, "g", TRADE, growth=2.5),
    Code.CHASSIS_MASS: Usual(25, 2800, "g", OWN, growth=2.5),
    Code.WHEEL_MASS: Usual(45, 330, "g", TRADE, growth=2.5),
    Code.AXLE_MASS: Usual(35, 800, "g", TRADE, growth=2.5),
    Code.LINK_MASS: Usual(1.5, 100, "g", OWN, growth=2.5),
    Code.SHOCK_MASS: Usual(3, 90, "g", OWN, growth=2.5),
    Code.SHAFT_MASS: Usual(2, 100, "g", OWN, growth=2.5),
    Code.PART_MASS: Usual(1.5, 800, "g", OWN, growth=2.5),
    Code.CHASSIS_GYRATION: Usual(0.08, 0.5, "mm", OWN, Per.WHEELBASE),
    Code.HOUSING_GYRATION: Usual(0.12, 0.9, "mm", OWN, Per.RADIUS),
    Code.WHEEL_INERTIA: Usual(0.3, 1.0, "kg*mm^2", RING, Per.RING),
    Code.UNSPRUNG_SHARE: Usual(25, 90, "%", TRADE),
    # front share 50-65 %, height of the centre of mass 70-120 mm
    Code.FRONT_SHARE: Usual(40, 72, "%", TRADE),
    Code.CG_HEIGHT: Usual(0.85, 2.4, "mm", TRADE, Per.RADIUS),
    Code.AXLE_LOAD: Usual(
        0.97, 1.03, "g", "own estimate: a kitchen scale, and a rig not quite level", Per.WEIGHED
    ),
    # places: along the rig from the axle's own centre towards the other one, and above the table
    Code.CHASSIS_PIN_X: Usual(0.12, 0.55, "mm", OWN, Per.WHEELBASE),
    Code.CHASSIS_PIN_Z: Usual(0.4, 2.6, "mm", OWN, Per.RADIUS),
    Code.AXLE_PIN_X: Usual(-0.15, 0.17, "mm", OWN, Per.WHEELBASE),
    Code.AXLE_PIN_Z: Usual(0.3, 2.3, "mm", OWN, Per.RADIUS),
    Code.UPPER_MOUNT_X: Usual(-0.15, 0.42, "mm", OWN, Per.WHEELBASE),
    Code.UPPER_MOUNT_Z: Usual(1.3, 4.2, "mm", OWN, Per.RADIUS),
    Code.LOWER_MOUNT_X: Usual(-0.15, 0.3, "mm", OWN, Per.WHEELBASE),
    Code.LOWER_MOUNT_Z: Usual(0.4, 2.5, "mm", OWN, Per.RADIUS),
    Code.SHAFT_CHASSIS_X: Usual(0.2, 0.57, "mm", OWN, Per.WHEELBASE),
    Code.SHAFT_CHASSIS_Z: Usual(0.4, 2.6, "mm", OWN, Per.RADIUS),
    Code.SHAFT_AXLE_X: Usual(0.0, 0.25, "mm", OWN, Per.WHEELBASE),
    Code.SHAFT_AXLE_Z: Usual(0.4, 2.3, "mm", OWN, Per.RADIUS),
    Code.CHASSIS_CG_X: Usual(0.1, 0.9, "mm", OWN, Per.WHEELBASE),
    Code.CHASSIS_CG_Z: Usual(0.7, 2.8, "mm", OWN, Per.RADIUS),
    Code.HOUSING_CG_X: Usual(-0.15, 0.17, "mm", OWN, Per.WHEELBASE),
    Code.HOUSING_CG_Z: Usual(0.5, 1.8, "mm", OWN, Per.RADIUS),
    Code.PART_X: Usual(-0.25, 1.25, "mm", OWN, Per.WHEELBASE),
    Code.PART_Z: Usual(0.3, 4.5, "mm", OWN, Per.RADIUS),
    Code.AXLE_PART_X: Usual(-0.2, 0.25, "mm", OWN, Per.WHEELBASE),
    Code.AXLE_PART_Z: Usual(0.3, 3.0, "mm", OWN, Per.RADIUS),
    Code.SKID_X: Usual(0.1, 0.9, "mm", OWN, Per.WHEELBASE),
    Code.SKID_Z: Usual(0.2, 2.6, "mm", OWN, Per.RADIUS),
    Code.LINK_RATIO: Usual(0.5, 1.6, "1", OWN),
    Code.AXLE_PIN_GAP: Usual(0.12, 1.3, "mm", OWN, Per.RADIUS),
    # links that cross at the chassis end are built on purpose, too
    Code.CHASSIS_PIN_GAP: Usual(-0.6, 1.3, "mm", OWN, Per.RADIUS),
    Code.ANTI_SQUAT: Usual(-150, 600, "%", OWN),
    Code.ANTI_LIFT: Usual(-150, 600, "%", OWN),
    Code.MOTION_RATIO: Usual(0.4, 1.4, "1", OWN),
    # shocks: 80-110 mm long, 20-35 mm of stroke, 0.05-0.35 N/mm each, sag 30-50 % of the stroke
    Code.SHOCK_LENGTH: Usual(62, 145, "mm", TRADE, growth=1.0),
    Code.STROKE: Usual(0.1, 0.5, "mm", TRADE, Per.LENGTH),
    Code.SAG: Usual(0.08, 0.9, "mm", TRADE, Per.STROKE),
    Code.RATE: Usual(0.008, 0.8, "N/mm", TRADE, growth=1.5),
    Code.PRELOAD: Usual(
        -4, 50, "mm", "own estimate: half the length of a shock is all the room a spring has", growth=1.0
    ),
    Code.RIDE_HEIGHT: Usual(-0.12, 0.12, "mm", OWN, Per.STROKE),
    Code.FRICTION_BAND: Usual(0, 45, "%", OWN),
    Code.SEAL_GIVE: Usual(0.02, 0.6, "mm", OWN, growth=1.0),
    Code.DAMPING: Usual(2, 200, "%", OWN),
    # tyres: 105-125 mm across (1.9 in), 130-150 mm (2.2 in)
    Code.RADIUS: Usual(44, 84, "mm", TRADE, growth=1.0),
    Code.TYRE_SQUASH: Usual(0.015, 0.2, "mm", OWN, Per.RADIUS),
    Code.TYRE_DAMPING: Usual(0.4, 40, "N*s/m", "foam gives 3 to 10 (common practice, no source)", growth=1.5),
    Code.GRIP: Usual(0.3, 2.4, "1", TRADE),
    Code.GRIP_LOAD: Usual(25, 400, "%", OWN),
    Code.SLIP_AT_FULL_GRIP: Usual(4, 80, "%", OWN),
    Code.TYRE_GIVE: Usual(0.3, 12, "mm", OWN, growth=1.0),
    Code.ROLLING_RESISTANCE: Usual(0.3, 15, "%", OWN),
    # driveline: 25-60 (low range), 12-25 (high); overdrive 0-35 %, usually 5-20 %
    Code.RATIO: Usual(9, 130, "1", TRADE),
    Code.OVERDRIVE: Usual(2, 40, "%", TRADE),
    Code.WIND_UP: Usual(0.2, 45, "deg", OWN),
    Code.SHAFT_RATIO: Usual(1.2, 9, "1", OWN),
    Code.SPLINE_RADIUS: Usual(1, 9, "mm", OWN, growth=1.0),
    Code.SPLINE_FRICTION: Usual(
        0.02, 0.5, "1", "dry plastic or steel 0.1 to 0.3 (common practice, no source)"
    ),
    # about 3 m/s on a tenth-scale rig
    Code.TOP_SPEED: Usual(0.4, 12, "m/s", TRADE, growth=0.5),
    # brushed 27-55 turns, brushless 1200-3500 rpm/V; two to four cells
    Code.KV: Usual(300, 6000, "rpm/V", TRADE, growth=-1.0),
    Code.VOLTAGE: Usual(3.3, 26, "V", TRADE),
    Code.STALL_CURRENT: Usual(8, 700, "A", OWN, growth=1.5),
    Code.NO_LOAD_CURRENT: Usual(0.05, 10, "A", OWN),
    Code.CURRENT_LIMIT: Usual(3, 300, "A", OWN),
    Code.ROTOR_INERTIA: Usual(3, 150, "g*cm^2", OWN, growth=3.0),
    Code.BRAKE: Usual(0.3, 15, "1", OWN),
}
"""Every usual range by what it is of."""
