"""Values of gears, motor and supply."""

from simcore.readings.drive_tests import (
    overdrive_of_ratios,
    overdrive_of_turns,
    ratio_of_teeth,
    resistance_at_stall,
    speed_per_volt,
)
from simcore.readings.uncertain import Number, value_of
from simcore.readings.weighing import drum_inertia
from simcore.readings.workings import Way, Workings, way


def put_drive(workings: Workings) -> None:
    """Note gearing and motor."""
    _put_gears(workings)
    _put_motor(workings)


def _put_gears(workings: Workings) -> None:
    gears = workings.worksheet.gears
    rear, front = (
        ratio_of_teeth(teeth) if teeth else None for teeth in (gears.rear_teeth, gears.front_teeth)
    )
    turns = {key: workings.read(f"gears.{key}_turns") for key in ("motor", "rear", "front")}
    counted = _ratio_of(turns["motor"], turns["rear"])
    ways = [
        way("read", workings.read("gears.ratio")),
        way("product of driven / driving teeth", rear),
        way("motor_turns / rear_turns", counted),
    ]
    workings.put_best("driveline.ratio", "1", ways)
    by_turns = None
    if turns["rear"] is not None and turns["front"] is not None:
        by_turns = overdrive_of_turns(turns["rear"], turns["front"])
    by_teeth = None if rear is None or front is None else overdrive_of_ratios(rear, front)
    ways = [
        way("ratio to the rear / ratio to the front - 1", by_teeth),
        way("front_turns / rear_turns - 1", by_turns),
    ]
    workings.put_best("driveline.overdrive", "%", ways)
    workings.put_best("driveline.efficiency", "%", [way("read", workings.read("gears.efficiency"))])
    for key in ("rear_stiffness", "front_stiffness"):
        workings.put_best(f"driveline.{key}", "N*m/rad", [])
    workings.put_best("driveline.shaft_mass", "g", [way("read", workings.read("gears.shaft_mass"))])


def _ratio_of(one: Number | None, other: Number | None) -> Number | None:
    return None if one is None or other is None else one / other


def _put_motor(workings: Workings) -> None:
    read = {
        key: way("read", workings.read(f"motor.{key}"))
        for key in (
            "kv",
            "voltage",
            "resistance",
            "no_load_current",
            "current_limit",
            "rotor_inertia",
            "brake_torque",
        )
    }
    workings.put_best("motor.voltage", "V", [read["voltage"]])
    stall = workings.all_read("motor.stall", "voltage", "current")
    held = Way("voltage / current at stall", resistance_at_stall(stall[0], stall[1])) if stall else None
    resistance = workings.put_best("motor.resistance", "mohm", [read["resistance"], held])
    idle = workings.put_best("motor.no_load_current", "A", [read["no_load_current"]])
    free = workings.all_read("motor.no_load", "speed", "voltage")
    if free and value_of(free[1] - idle * resistance) <= 0.0:
        lost = f"{value_of(idle * resistance):.3g} V, what no_load_current loses in the resistance"
        raise workings.refuse("motor.no_load.voltage", f"{value_of(free[1]):.3g} V", f"more than {lost}")
    spun = speed_per_volt(free[0], free[1], idle, resistance) if free else None
    by_speed = way("speed / (voltage - no_load_current * resistance)", spun)
    workings.put_best("motor.kv", "rpm/V", [read["kv"], by_speed])
    workings.put_best("motor.current_limit", "A", [read["current_limit"]])
    drum = workings.all_read("motor", "rotor_mass", "rotor_diameter")
    rotor = Way("drum: mass * diameter^2 / 8", drum_inertia(drum[0], drum[1])) if drum else None
    workings.put_best("motor.rotor_inertia", "g*cm^2", [read["rotor_inertia"], rotor])
    workings.put_best("motor.brake_torque", "N*mm", [read["brake_torque"]])
