"""What lines of a worksheet and values of a rig are called in a sentence or picture."""

from simcore.files.worksheet import Worksheet
from simcore.rig.masses import SIDES

AXES = (" fore-aft", " height")
"""The two numbers of a place."""
BOX = (" length", " height")

_AXLE = {
    "tyre.diameter": "tyre diameter",
    "tyre.wheel_mass": "wheel weight",
    "tyre.inertia_share": "wheel inertia per weight",
    "tyre.spin_inertia": "wheel inertia",
    "tyre.peak_grip": "tyre grip",
    "tyre.sliding_share": "tyre grip once sliding",
    "tyre.sliding_grip": "tyre grip once sliding",
    "tyre.rolling_resistance": "rolling drag",
    "tyre.slides_at": "tilt at which its tyres slide",
    "tyre.slides_on_at": "tilt at which its tyres slide on",
    "tyre.rolls_at": "tilt at which it rolls",
    "tyre.squash": "tyre squash",
    "tyre.hub_height": "axle height",
    "housing.mass": "axle weight",
    "housing.gyration": "axle inertia",
    "housing.pitch_inertia": "axle inertia",
    "housing.size": "axle's box",
    "housing.size taken as a box": "axle inertia taken as a box's",
    "shock.stroke": "shock stroke",
    **{f"shock.sink.{key}": f"{key} of the timed push" for key in ("weight", "distance", "time")},
    **{f"shock.pull.{key}": f"{key} of the timed pull" for key in ("weight", "distance", "time")},
    **{f"shock.decay.{key}": f"swing on the shock, {key}" for key in ("weight", "first", "last", "time")},
    "shock.loading let down gently": "how gently weights were let down on its shock",
    "shock.decay of half a swing": "half a swing on the shock, taken for a whole one",
    "shock.sag_share": "sag",
    "shock.sag": "sag",
    "shock.mass": "shock weight",
    "shock.extended_length": "shock length",
    "shock.fraction": "lower shock mount's place on its link",
    "shock.rate": "spring rate (as stated)",
    "shock.springs.0.rate": "spring rate",
    "shock.damper.compression": "oil (compression)",
    "shock.damper.rebound": "oil (rebound)",
    "shock.damper.rebound_share": "oil (rebound per compression)",
    "shock.friction.sliding": "shock friction",
    "shock.friction.breakaway": "shock breakaway friction",
    "shock.friction.breakaway_share": "shock breakaway per friction",
    "shock.breakaway": "shock breakaway friction",
    "shock.chassis": "upper shock mount",
    "shock.axle": "lower shock mount",
    "shock.chassis_inboard_share": "upper shock mount inboard",
    "shock.chassis_height": "upper shock mount height",
    "shock.axle_inboard": "lower shock mount inboard",
    "shock.axle_above_hub": "lower shock mount above hub",
    "lower_link.chassis": "lower link, chassis pin",
    "lower_link.axle": "lower link, axle pin",
    "lower_link.inboard_share": "lower link, chassis pin inboard",
    "lower_link.chassis_height": "lower link, chassis pin height",
    "lower_link.axle_inboard": "lower link, axle pin inboard",
    "lower_link.axle_below_hub": "lower link, axle pin below hub",
    "lower_link.mass": "lower links' weight",
    "upper_link.chassis": "upper link, chassis pin",
    "upper_link.axle": "upper link, axle pin",
    "upper_link.inboard_share": "upper link, chassis pin inboard",
    "upper_link.chassis_height": "upper link, chassis pin height",
    "upper_link.axle_inboard": "upper link, axle pin inboard",
    "upper_link.axle_above_hub": "upper link, axle pin above hub",
    "upper_link.mass": "upper links' weight",
    "arm.chassis": "arm's pin",
    "arm.mass": "arm's weight",
    "shaft.chassis": "drive shaft's chassis joint",
    "shaft.axle": "drive shaft's axle joint",
    "shaft.friction": "friction of the splines",
}
_WHOLE = {
    "scales.whole": "weight of the rig",
    "scales.rear": "weight on the rear tyres",
    "scales.front": "weight on the front tyres",
    "scales.front_share": "share of the weight in front",
    "scales.cg_height": "height of the rig's centre",
    "chassis.mass": "bare chassis' weight",
    "chassis.forward_share": "bare chassis' centre fore-aft",
    "chassis.above_hub": "bare chassis' centre above hubs",
    "chassis.cg": "bare chassis' centre",
    "chassis.gyration_share": "bare chassis' inertia per weight",
    "chassis.pitch_inertia": "bare chassis' inertia",
    "chassis.size": "bare chassis' box",
    "chassis.size taken as a box": "bare chassis' inertia taken as a box's",
    "driveline.ratio": "gear ratio",
    "driveline.overdrive": "overdrive",
    "driveline.efficiency": "efficiency of the gears",
    "driveline.rear_stiffness": "wind-up of the rear drive",
    "driveline.front_stiffness": "wind-up of the front drive",
    "driveline.shaft_mass": "drive shaft's weight",
    "gears.shaft_mass": "drive shaft's weight",
    "gears.efficiency": "efficiency of the gears",
    "gears.ratio": "gear ratio",
    "motor.voltage": "battery voltage",
    "motor.brake_torque": "drag brake's torque",
}
_ITEM = {"mass": "weight", "at": "place", "size": "box"}
_ROWS = {"shock.loading": "weights on the shock", "tyre.squash": "squash on the scale"}
"""Lists of readings that are one measurement, by their first line."""


def name_of(key: str, worksheet: Worksheet | None = None) -> str:
    """Name of a line of a worksheet, a guess or a value of a rig by its dotted key: "rear spring rate".

    Parameters
    ----------
    key : its numbers of lists count from 0; the last one of a place says which of its two numbers
    worksheet : for the names of its parts
    """
    if key.startswith("photo.points."):
        line, _, axis = key.removeprefix("photo.points.").rpartition(".")
        return f"{name_of(line)} on the photograph, {('across', 'up')[int(axis)]}"
    *steps, last = key.split(".")
    if steps and last in ("0", "1"):
        whole = ".".join(steps)
        return name_of(whole, worksheet) + (BOX if steps[-1] == "size" else AXES)[int(last)]
    side, _, rest = key.partition(".")
    if side in SIDES:
        return f"{side} {_AXLE.get(rest, _plain(rest))}"
    if side in ("parts", "skids", "photo") and len(steps) > 1:
        return f"{_item(steps, worksheet)}, {_ITEM.get(last, _plain(last))}"
    return _WHOLE.get(key, _plain(key))


def rows_name(line: str) -> str:
    """Name of a list of readings: "weights on the shock"."""
    return _ROWS.get(line.partition(".")[2], _plain(line))


def _item(steps: list[str], worksheet: Worksheet | None) -> str:
    """One of a list: a part by its name, others by number."""
    kind, number, *_ = (*steps, "0") if len(steps) < 2 else steps
    if kind == "parts" and worksheet is not None and int(number) < len(worksheet.parts):
        return worksheet.parts[int(number)].name
    if kind == "photo":
        return f"known point {int(steps[2]) + 1} of the photograph" if len(steps) > 2 else "photograph"
    return f"{kind.removesuffix('s')} {int(number) + 1}"


def _plain(key: str) -> str:
    return key.replace(".", " ").replace("_", " ")
