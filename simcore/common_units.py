"""SI values of the units that files, columns and builders use, so that these need no library of units.

They are what pint says of them; a unit that is not among them is asked of pint itself (`simcore.units`).
"""

from functools import cache

Kind = frozenset[tuple[str, float]]
"""What a unit measures: powers of the dimensions and of the angle, those that are not nought."""

ANGLE = "angle"
DIMENSIONS = {"m": "[length]", "kg": "[mass]", "s": "[time]", "A": "[current]", "rad": ANGLE}
"""What the units of SI measure, as pint calls it; to pint an angle has no dimension."""

COMMON = {
    "%": (0.01, ""),
    "m": (1.0, "m"),
    "mm": (0.001, "m"),
    "cm": (0.01, "m"),
    "in": (0.0254, "m"),
    "ft": (0.30479999999999996, "m"),
    "kg": (1.0, "kg"),
    "g": (0.001, "kg"),
    "mg": (1e-06, "kg"),
    "lb": (0.4535923700000001, "kg"),
    "lbs": (0.4535923700000001, "kg"),
    "oz": (0.028349523125000005, "kg"),
    "s": (1.0, "s"),
    "ms": (0.001, "s"),
    "min": (60.0, "s"),
    "rad": (1.0, "rad"),
    "deg": (0.017453292519943295, "rad"),
    "°": (0.017453292519943295, "rad"),
    "turn": (6.283185307179586, "rad"),
    "rpm": (0.10471975511965977, "rad/s"),
    "Hz": (1.0, "1/s"),
    "A": (1.0, "A"),
    "mA": (0.001, "A"),
    "V": (1.0, "kg*m**2/A/s**3"),
    "mV": (0.001, "kg*m**2/A/s**3"),
    "ohm": (1.0, "kg*m**2/A**2/s**3"),
    "mohm": (0.001, "kg*m**2/A**2/s**3"),
    "W": (1.0, "kg*m**2/s**3"),
    "J": (1.0, "kg*m**2/s**2"),
    "N": (1.0, "kg*m/s**2"),
    "kN": (1000.0, "kg*m/s**2"),
    "kgf": (9.80665, "kg*m/s**2"),
    "gf": (0.00980665, "kg*m/s**2"),
    "lbf": (4.4482216152605005, "kg*m/s**2"),
    "m/s": (1.0, "m/s"),
    "mm/s": (0.001, "m/s"),
    "cm/s": (0.01, "m/s"),
    "km/h": (0.2777777777777778, "m/s"),
    "m/s^2": (1.0, "m/s**2"),
    "s/m": (1.0, "s/m"),
    "1/s": (1.0, "1/s"),
    "rad/s": (1.0, "rad/s"),
    "deg/s": (0.017453292519943295, "rad/s"),
    "rpm/V": (0.10471975511965977, "A*rad*s**2/kg/m**2"),
    "N/mm": (1000.0, "kg/s**2"),
    "N/m": (1.0, "kg/s**2"),
    "N/cm": (100.0, "kg/s**2"),
    "lbf/in": (175.12683524647645, "kg/s**2"),
    "lb/in": (17.85796732283465, "kg/m"),
    "kg/mm": (1000.0, "kg/m"),
    "kg/cm": (100.0, "kg/m"),
    "g/mm": (1.0, "kg/m"),
    "N*s/m": (1.0, "kg/s"),
    "N*s/mm": (1000.0, "kg/s"),
    "kg*s/m": (1.0, "kg*s/m"),
    "g*s/mm": (1.0, "kg*s/m"),
    "g*s/cm": (0.1, "kg*s/m"),
    "N*m": (1.0, "kg*m**2/s**2"),
    "N*mm": (0.001, "kg*m**2/s**2"),
    "N*cm": (0.01, "kg*m**2/s**2"),
    "N-mm": (0.001, "kg*m**2/s**2"),
    "kg*cm": (0.01, "kg*m"),
    "kg-cm": (0.01, "kg*m"),
    "g*cm": (1e-05, "kg*m"),
    "oz*in": (0.0007200778873750002, "kg*m"),
    "oz-in": (0.0007200778873750002, "kg*m"),
    "N*m/rad": (1.0, "kg*m**2/rad/s**2"),
    "N*m/deg": (57.29577951308232, "kg*m**2/rad/s**2"),
    "N*mm/rad": (0.001, "kg*m**2/rad/s**2"),
    "N*mm/deg": (0.057295779513082325, "kg*m**2/rad/s**2"),
    "N*m*s/rad": (1.0, "kg*m**2/rad/s"),
    "kg*m^2": (1.0, "kg*m**2"),
    "kg*mm^2": (1e-06, "kg*m**2"),
    "kg*cm^2": (0.0001, "kg*m**2"),
    "g*mm^2": (1e-09, "kg*m**2"),
    "g*cm^2": (1.0000000000000001e-07, "kg*m**2"),
}
"""A unit as it is typed: how much it is in SI, and the unit of SI as pint writes it."""


@cache
def kind_of(si_unit: str) -> Kind:
    """Give what a unit of SI measures, written as in `COMMON`."""
    powers: dict[str, float] = {}
    for sign, part in _parts(si_unit):
        name, _, power = part.partition("^")
        powers[DIMENSIONS[name]] = sign * float(power or 1)
    return frozenset(powers.items())


def _parts(si_unit: str) -> list[tuple[int, str]]:
    """Give the units that are multiplied (1) and divided by (-1), each with its power behind a ^."""
    above, *below = si_unit.replace("**", "^").split("/")
    return [(1, part) for part in above.split("*") if part not in ("", "1")] + [(-1, part) for part in below]
