"""What stands in for a line that was left empty: a range of the trade, marked as a guess wherever it goes."""

from dataclasses import dataclass

from simcore.units import factor, with_unit

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Guess:
    """A range in which a value of most rigs lies.

    Attributes
    ----------
    low, high : ends of the range, in the unit
    unit : bench unit
    """

    low: float
    high: float
    unit: str

    @property
    def middle(self) -> float:
        """Middle of the range, SI."""
        return 0.5 * (self.low + self.high) * factor(self.unit)

    @property
    def half(self) -> float:
        """Half of the range, SI: the error that a guess is given."""
        return 0.5 * (self.high - self.low) * factor(self.unit)

    def __str__(self) -> str:
        """Give the range in words."""
        return f"{self.low:g} to {with_unit(f'{self.high:g}', self.unit)}"


WHOLE = {
    "wheelbase": Guess(280, 330, "mm"),
    "scales.whole": Guess(1600, 3500, "g"),
    "scales.front_share": Guess(50, 65, "%"),
    "chassis.mass": Guess(200, 1000, "g"),
    "chassis.forward_share": Guess(40, 60, "%"),
    "chassis.above_hub": Guess(10, 50, "mm"),
    "chassis.gyration_share": Guess(20, 34, "%"),
    "driveline.ratio": Guess(25, 60, "1"),
    "driveline.overdrive": Guess(0, 20, "%"),
    "driveline.efficiency": Guess(60, 85, "%"),
    "driveline.rear_stiffness": Guess(5, 12, "N*m/rad"),
    "driveline.front_stiffness": Guess(5, 12, "N*m/rad"),
    "driveline.shaft_mass": Guess(8, 20, "g"),
    "motor.kv": Guess(1200, 3500, "rpm/V"),
    "motor.voltage": Guess(7.4, 14.8, "V"),
    "motor.resistance": Guess(60, 200, "mohm"),
    "motor.no_load_current": Guess(0.6, 2.4, "A"),
    "motor.current_limit": Guess(40, 80, "A"),
    "motor.rotor_inertia": Guess(10, 40, "g*cm^2"),
    "motor.brake_torque": Guess(40, 80, "N*mm"),
}
"""Guesses for what a rig has once; key of the rig file or of what it follows from."""

AXLE = {
    "tyre.diameter": Guess(105, 125, "mm"),
    "tyre.stiffness": Guess(0.6, 2.0, "N/mm"),
    "tyre.damping": Guess(3, 10, "N*s/m"),
    "tyre.wheel_mass": Guess(90, 250, "g"),
    "tyre.inertia_share": Guess(50, 100, "%"),
    "tyre.peak_grip": Guess(0.8, 1.2, "1"),
    "tyre.sliding_share": Guess(83, 100, "%"),
    "tyre.grip_load_exponent": Guess(0, 0.2, "1"),
    "tyre.slip_stiffness": Guess(8, 14, "1"),
    "tyre.relaxation_length": Guess(10, 30, "mm"),
    "tyre.rolling_resistance": Guess(1, 4, "%"),
    "housing.mass": Guess(150, 350, "g"),
    "housing.gyration": Guess(15, 30, "mm"),
    "lower_link.inboard_share": Guess(30, 42, "%"),
    "lower_link.chassis_height": Guess(45, 70, "mm"),
    "lower_link.axle_inboard": Guess(0, 20, "mm"),
    "lower_link.axle_below_hub": Guess(5, 17, "mm"),
    "upper_link.inboard_share": Guess(24, 36, "%"),
    "upper_link.chassis_height": Guess(72, 95, "mm"),
    "upper_link.axle_inboard": Guess(-10, 5, "mm"),
    "upper_link.axle_above_hub": Guess(18, 34, "mm"),
    "lower_link.mass": Guess(6, 20, "g"),
    "upper_link.mass": Guess(6, 20, "g"),
    "arm.mass": Guess(20, 60, "g"),
    "shock.chassis_inboard_share": Guess(8, 18, "%"),
    "shock.chassis_height": Guess(125, 150, "mm"),
    "shock.axle_inboard": Guess(0, 15, "mm"),
    "shock.axle_above_hub": Guess(0, 15, "mm"),
    "shock.stroke": Guess(20, 35, "mm"),
    "shock.sag_share": Guess(30, 50, "%"),
    "shock.mass": Guess(10, 25, "g"),
    "shock.springs.0.rate": Guess(0.05, 0.2, "N/mm"),
    "shock.damper.compression": Guess(1, 6, "N*s/m"),
    "shock.damper.rebound_share": Guess(100, 160, "%"),
    "shock.friction.sliding": Guess(0.05, 0.4, "N"),
    "shock.friction.breakaway_share": Guess(100, 150, "%"),
    "shaft.friction": Guess(0.1, 0.3, "1"),
    "shaft.ratio": Guess(2, 4, "1"),
}
"""Guesses for what each axle has, likewise; "inboard" is from the axle's centre towards the other axle, its
share that of the wheelbase."""

SOURCES = (
    "Ranges of mass, wheelbase, tyres, springs, sag, gearing, motors, overdrive and grip: trade knowledge, "
    f"from memory, unverified; all others: {PRACTICE}. The exponent by which grip falls with "
    f"load: the literature disagrees, from 0 to 1/3. A wheel's inertia lies between a disc's and a ring's."
)

_LINES = {
    "gears.ratio": "driveline.ratio",
    "gears.efficiency": "driveline.efficiency",
    "gears.shaft_mass": "driveline.shaft_mass",
    "gears.front_turns": "driveline.overdrive",
    "scales.cg_height": "chassis.above_hub",
    "tyre.slides_at": "tyre.peak_grip",
    "tyre.slides_on_at": "tyre.sliding_share",
    "tyre.rolls_at": "tyre.rolling_resistance",
    "tyre.spin_inertia": "tyre.inertia_share",
    "shock.rate": "shock.springs.0.rate",
    "shock.sag": "shock.sag_share",
    "shock.breakaway": "shock.friction.breakaway_share",
}
_WORDS = {
    "tyre.peak_grip": "a grip of {}",
    "tyre.rolling_resistance": "a drag of {}",
    "tyre.sliding_share": "{} of that grip",
    "tyre.inertia_share": "{} of mass * radius^2",
    "shock.sag_share": "{} of the stroke",
    "shock.friction.breakaway_share": "{} of the sliding friction",
    "driveline.overdrive": "an overdrive of {}",
    "chassis.above_hub": "the bare chassis' centre {} above the axles",
}
"""What a range is of, where it is not the line's own quantity."""


def guess_for_line(line: str) -> str:
    """Range that stands in for an empty line of a worksheet, in words; "" where there is none.

    Parameters
    ----------
    line : dotted key of the worksheet
    """
    short = line.partition(".")[2] if line.startswith(("rear.", "front.")) else line
    key = _LINES.get(short, short)
    guess = WHOLE.get(key) or AXLE.get(key)
    if guess is None:
        return ""
    return _WORDS.get(key, "{}").format(guess)
