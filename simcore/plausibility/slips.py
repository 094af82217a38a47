"""Slips at one key of a rig, undone: the number was a diameter, in lb/in, measured from the other axle.

`UNITS` says in what a number is often given instead of its bench unit, the sets of keys where others happen.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from simcore.errors import RejectedValue
from simcore.files.check import key_path
from simcore.files.rig import Rig
from simcore.files.schema import follow, plain
from simcore.files.steps import Steps
from simcore.plausibility.codes import SlipCode
from simcore.slips import CELL_NOMINAL
from simcore.units import Q, to_bench, with_unit

UNITS = {
    "N/mm": ("lb/in", "g/mm", "N/cm", "N/m", "kg/cm", "kg/mm"),
    "N": ("g", "oz", "lb", "kg"),
    "g": ("kg", "oz", "lb"),
    "mm": ("cm", "in", "m"),
    "kg*mm^2": ("kg*cm^2", "g*cm^2", "kg*m^2", "g*mm^2"),
    "g*cm^2": ("kg*mm^2", "g*mm^2", "kg*m^2", "kg*cm^2"),
    "N*s/m": ("N*s/mm", "g*s/mm", "kg*s/m", "g*s/cm"),
    "N*mm": ("N*cm", "N*m", "g*cm", "kg*cm", "oz*in"),
    "N*m/rad": ("N*mm/rad", "N*m/deg", "N*mm/deg"),
    "mohm": ("ohm",),
    "A": ("mA",),
    "V": ("mV",),
    "%": ("1",),
    "m/s": ("mm/s", "cm/s", "km/h"),
}
"""Bench unit to what is often typed bare instead of it, the likelier ones first."""

PIECES = {
    *("wheel_mass", "spin_inertia", "stiffness", "damping", "grip_load", "rate", "preload", "breakaway"),
    *("sliding", "compression", "rebound"),
}
"""Keys that state one of two; also the mass of a shock."""

TOGETHER = {"breakaway": "sliding", "compression": "rebound", "rebound": "compression"}
"""Keys that are typed in one go: a slip of unit or of number is in both."""


@dataclass(frozen=True)
class Undo:
    """A rig with one slip undone.

    Attributes
    ----------
    code : which slip
    key : where
    values : key to the number that stands there then, in its bench unit
    words : as in `record.Slip`, without the key
    """

    code: SlipCode
    key: Steps
    values: Mapping[Steps, float]
    words: str

    def said(self, key: Steps) -> str:
        """Words of it for a value at a key: the slip's own key is named where it is another."""
        return self.words if key == self.key else f"{key_path(self.key)} {self.words}"


def value_at(rig: Rig, key: Steps) -> float | None:
    """SI value at a key of a rig, None where there is none."""
    value: Any = rig
    for step in key:
        if value is None:
            return None
        value = value[step] if isinstance(step, int) else getattr(value, step)
    return value if isinstance(value, float) else None


def stated(rig: Rig, key: Steps) -> bool:
    """Whether the file states that key itself."""
    value: Any = rig
    for step in key:
        if value is None or (isinstance(step, str) and step not in value.model_fields_set):
            return False
        value = value[step] if isinstance(step, int) else getattr(value, step)
    return True


def with_values(raw: Mapping[str, Any], values: Mapping[Steps, float]) -> Rig | None:
    """The rig of a raw table with other numbers, in bench units; None where no file may say so."""
    changed: Any = raw
    for key, value in values.items():
        changed = _put(changed, key, value)
    try:
        return Rig.model_validate(changed)
    except ValidationError:
        return None


def _put(table: Any, key: Steps, value: float) -> Any:
    """A copy with one value put in; what the key does not lead through is shared."""
    step, *rest = key
    copied = table.copy()
    copied[step] = _put(table[step], tuple(rest), value) if rest else value
    return copied


def undone(rig: Rig, key: Steps) -> Iterator[Undo]:
    """Every slip that may have happened at a key, undone; those out of the key's own range left out."""
    quantity, value = plain(follow(Rig, key))[1], value_at(rig, key)
    if quantity is None or not value or not stated(rig, key):
        return
    number = float(f"{to_bench(value, quantity.unit):.12g}")
    for code, meant, words in _numbers(rig, key, number, quantity):
        if _allowed(quantity, meant):
            shown = with_unit(f"{meant:.4g}", quantity.unit)
            values = {key: meant}
            partner = (*key[:-1], TOGETHER.get(str(key[-1]), ""))
            if partner[-1] and stated(rig, partner):
                values[partner] = to_bench(value_at(rig, partner) or 0.0, quantity.unit) * meant / number
            yield Undo(code, key, values, words.format(shown))
    yield from _swapped(rig, key, number)


def _allowed(quantity: Q, number: float) -> bool:
    try:
        quantity.read(number)
    except RejectedValue:
        return False
    return True


def _numbers(rig: Rig, key: Steps, number: float, quantity: Q) -> Iterator[tuple[SlipCode, float, str]]:
    """Code, number meant and words with a blank for it."""
    last, unit = key[-1], quantity.unit
    if last in ("radius", "spline_radius"):
        yield SlipCode.DIAMETER, number / 2.0, "a diameter? The radius is then {}"
    if (last in PIECES and "housing" not in key) or key[1:] == ("shock", "mass"):
        yield SlipCode.BOTH_FOR_ONE, number / 2.0, "of both together? One has then {}"
        yield SlipCode.ONE_FOR_BOTH, number * 2.0, "half of one? One has then {}"
    if key[1:] in (("lower_link", "mass"), ("upper_link", "mass")):
        yield SlipCode.ONE_FOR_BOTH, number * 2.0, "of one link? Both have then {}"
    yield from _of_drive(rig, key, number)
    if unit == "mm" and isinstance(last, int):
        yield from _of_place(rig, key, number)
    for other in UNITS.get(unit, ()):
        yield from _of_unit(number, quantity, other)
    if number < 0.0:
        yield SlipCode.WRONG_SIGN, -number, "wrong sign? Without it {}"
    elif isinstance(last, int):
        yield SlipCode.WRONG_SIGN, -number, "wrong sign? With a minus {}"
    yield SlipCode.TEN_TIMES, number / 10.0, "ten times too large? A decimal place less is {}"
    yield SlipCode.TEN_TIMES, number * 10.0, "ten times too small? A decimal place more is {}"


def _of_unit(number: float, quantity: Q, other: str) -> Iterator[tuple[SlipCode, float, str]]:
    try:
        meant = quantity.bench(f"{number!r}" if other == "1" else f"{number!r} {other}")
    except RejectedValue:
        return
    if other == "1" and quantity.unit == "%":
        yield SlipCode.FACTOR, 100.0 * number, f"a share? {number:g} is {{}}"
    else:
        yield SlipCode.WRONG_UNIT, meant, f"typed in {other}? {number:.6g} {other} is {{}}"


def _of_drive(rig: Rig, key: Steps, number: float) -> Iterator[tuple[SlipCode, float, str]]:
    if key == ("driveline", "overdrive"):
        yield SlipCode.FACTOR, float(f"{100.0 * (number - 1.0):.9g}"), f"a factor? {number:g} is {{}}"
    if key == ("motor", "voltage") and number == int(number):
        yield SlipCode.CELLS, CELL_NOMINAL * number, f"cells? {number:g} LiPo cells have {{}}"
    if key == ("motor", "kv"):
        volts = to_bench(rig.motor.voltage, "V")
        yield SlipCode.AT_VOLTAGE, number / volts, f"the speed at {volts:g} V? Per volt it is {{}}"


def _of_place(rig: Rig, key: Steps, number: float) -> Iterator[tuple[SlipCode, float, str]]:
    if key[-1] == 0:
        other = to_bench(rig.wheelbase, "mm") - number
        yield SlipCode.OTHER_AXLE, other, "measured from the other axle? From the rear one x is {}"
    else:
        hub = to_bench((rig.front if key[0] == "front" else rig.rear).tyre.radius, "mm")
        yield (
            SlipCode.FROM_HUB,
            number + hub,
            "measured from the height of the axle? Above the table it is {}",
        )


def _swapped(rig: Rig, key: Steps, number: float) -> Iterator[Undo]:
    """Both coordinates of a place, the other way round."""
    if not isinstance(key[-1], int) or len(key) < 2 or isinstance(key[-2], int):
        return
    partner = (*key[:-1], 1 - key[-1])
    other = value_at(rig, partner)
    if other is not None:
        meant = float(f"{to_bench(other, 'mm'):.12g}")
        pair = (meant, number) if key[-1] == 0 else (number, meant)
        words = f"x and z in the wrong order? Then it is [{pair[0]:g}, {pair[1]:g}]"
        yield Undo(SlipCode.SWAPPED, key, {key: meant, partner: number}, words)
