"""Worksheets of known rigs: every value that can be measured is, by one of two ways in each."""

import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
from bench_readings import ENDS, G, Known, Raw, Shown, camera, degrees, grams, mm, of_load, spot

RIGS = Path(__file__).parents[2] / "scenarios" / "rigs"
Chance = np.random.Generator | None
OIL = 0.5  # N s/m, of shocks that swing
PINS = [(link, end) for link in ("lower_link", "upper_link") for end in ("chassis", "axle")]


def rig_file(name: str) -> Raw:
    """A shipped rig, its grip alike at any load, so that a tilted board shows it as the file says it."""
    rig = tomllib.loads((RIGS / f"{name}.toml").read_text(encoding="utf-8"))
    for end in ENDS:
        for key in ("grip_load_exponent", "grip_load"):
            rig[end]["tyre"].pop(key, None)
    return rig


def light_oil(rig: Raw) -> Raw:
    """The same rig with shocks that swing before they stop: little oil, alike both ways, slippery seals."""
    for end in ENDS:
        rig[end]["shock"]["damper"] = {"compression": OIL, "rebound": OIL}
        rig[end]["shock"]["friction"] = {"breakaway": 0.02, "sliding": 0.015}
    return rig


def box(mass: float, inertia: float, height: float, rng: Chance) -> list[Shown]:
    """Sides (mm) of the box of a body of this mass (g) and pitch inertia (kg mm^2).

    No body is a block: by chance it has up to 30 % more or less inertia than the block (19 of 20 times),
    which is what the program says of boxes.
    """
    error, inertia = 1, inertia / (rng.normal(1.0, 0.15) if rng else 1.0)
    return [Shown(math.sqrt(12e3 * inertia / mass - height**2), error, "mm"), Shown(height, error, "mm")]


def loose(rig: Known) -> list[Raw]:
    """Loose parts and where they sit."""
    found = []
    for part in rig.raw["parts"]:
        sides = [Shown(one, 1, "mm") for one in part["size"]]
        at = spot(one * 1e-3 for one in part["at"])
        found.append({"name": part["name"], "mass": Shown(part["mass"], 1, "g"), "at": at, "size": sides})
        found[-1]["on"] = part.get("on", "chassis")
    return found


def weighed(rig: Known, i: int, rng: Chance) -> Raw:
    """Masses of one axle, and where its shock and its shaft sit, by ruler."""
    end, wheel = rig.raw[ENDS[i]], rig.wheels[i]
    shock, shaft = end["shock"], end["shaft"]
    found: Raw = {
        "tyre": {"wheel_mass": grams(wheel.mass)},
        "housing": {"mass": Shown(end["housing"]["mass"], 1, "g")},
        "shock": {
            "chassis": [Shown(one, 1, "mm") for one in shock["chassis"]],
            "extended_length": Shown(shock["extended_length"], 0.3, "mm"),
            "stroke": Shown(shock["stroke"], 0.3, "mm"),
            "mass": Shown(shock["mass"], 0.5, "g"),
        },
        "shaft": {key: [Shown(one, 1, "mm") for one in shaft[key]] for key in ("chassis", "axle")},
    }
    if "link" in shock:
        found["shock"] |= {"link": shock["link"], "fraction": Shown(shock["fraction"], 0.01, "1")}
    else:
        found["shock"]["axle"] = [Shown(one, 1, "mm") for one in shock["axle"]]
    found["shaft"]["ratio"] = Shown(shaft["ratio"], 0.02, "1")
    for link in ("lower_link", "upper_link"):
        found[link] = {"mass": Shown(end[link]["mass"], 1, "g")}
    found["housing"]["size"] = box(end["housing"]["mass"], end["housing"]["pitch_inertia"], 30, rng)
    return found


def by_ruler(rig: Known, rng: Chance) -> Raw:
    """Ruler for the pins, rear axle raised, two cords, teeth, weights on shocks, shocks without springs."""
    sheet: Raw = {"worksheet": 1, "name": "by ruler", "wheelbase": mm(rig.span), "track": Shown(190, 1, "mm")}
    raised, cords = 0.12, (0.30, 0.26, 1.1)
    sheet["scales"] = {
        "rear": of_load(rig.loads[0]),
        "front": of_load(rig.loads[1]),
        "whole": grams(rig.mass),
        "raised": {"axle": "rear", "height": mm(raised), "load": of_load(rig.raised("rear", raised))},
    }
    period = rig.on_cords(*cords)
    sheet["swing"] = {"cords": dict(zip(("top", "bottom", "length"), map(mm, cords), strict=True))}
    sheet["swing"]["cords"] |= {"swings": 50, "time": Shown(50 * period, 0.2, "s")}
    for i, end in enumerate(ENDS):
        axle, wheel, strut = weighed(rig, i, rng), rig.wheels[i], rig.struts[i]
        for link, pin in PINS:
            axle[link][pin] = [Shown(one, 1, "mm") for one in rig.raw[end][link][pin]]
        axle["tyre"] |= {
            "diameter": mm(2 * wheel.radius),
            "squash": wheel.pressed((2.0, 3.5, 5.0, 6.5, 8.0)),
            "slides_at": degrees(math.atan(wheel.grips[0]), 1),
            "slides_on_at": degrees(math.atan(wheel.grips[1]), 1),
            "rolls_at": degrees(wheel.rolls_from(0.5 * rig.loads[i]), 0.2),
        }
        slope, way = math.radians(8.0), 1.2
        axle["tyre"]["roll"] = {
            "slope": degrees(slope, 0.1),
            "distance": mm(way),
            "time": Shown(wheel.down_the_board(slope, way), 0.02, "s"),
        }
        axle["shock"] |= {
            **strut.weighed(rng),
            "breakaway": of_load(strut.breakaway, 1),
            "sink": strut.moved((strut.friction + 0.25) / G, 0.02),
            "pull": strut.moved((strut.friction + 0.25) / G, 0.02, rebound=True),
        }
        sheet[end] = axle
    drive, motor = rig.raw["driveline"], rig.raw["motor"]
    sheet["gears"] = {
        "rear_teeth": [[10, 60], [8, 56]],
        "front_teeth": [[10, 60], [8, 56], [53, 50]],
        "efficiency": Shown(drive["efficiency"], 5, "%"),
        "shaft_mass": Shown(drive["shaft_mass"], 1, "g"),
    }
    low = 2.0
    sheet["motor"] = {
        "kv": Shown(motor["kv"], 30, "rpm/V"),
        "voltage": Shown(motor["voltage"], 0.2, "V"),
        "no_load_current": Shown(motor["no_load_current"], 0.1, "A"),
        "stall": {
            "voltage": Shown(low, 0.03, "V"),
            "current": Shown(low / motor["resistance"] * 1e3, 0.3, "A"),
        },
        "current_limit": Shown(motor["current_limit"], 2, "A"),
        "rotor_mass": Shown(50, 1, "g"),
        "rotor_diameter": Shown(20 * math.sqrt(2 * motor["rotor_inertia"] / 50), 0.2, "mm"),
        "brake_torque": Shown(motor["brake_torque"], 5, "N*mm"),
    }
    sheet["parts"] = loose(rig)
    sheet["skids"] = [{"at": [Shown(x, 1, "mm") for x in skid["at"]]} for skid in rig.raw["skids"]]
    return sheet


def by_camera(rig: Known, rng: Chance) -> Raw:
    """A photograph for some pins, tipped sideways, tyres rolled, turns counted, weights swinging on shocks.

    Every fourth camera does not look square at the rig: there four points are of known place.
    """
    eye = rng or np.random.default_rng(2)
    roll, askew = eye.uniform(-0.06, 0.06), eye.random() < 0.25
    yaw, tilt = eye.uniform(-0.08, 0.08, 2) if askew else (0.0, 0.0)
    span, centres = rig.span, rig.centres
    sheet: Raw = {"worksheet": 1, "name": "by camera", "wheelbase": mm(span)}
    wide = 0.235
    sheet["scales"] = {
        "rear": of_load(rig.loads[0]),
        "front": of_load(rig.loads[1]),
        "tipped": {"angle": degrees(rig.tips_at(wide), 0.5), "width": mm(wide)},
    }
    own = rig.raw["chassis"]
    sheet["chassis"] = {"mass": Shown(own["mass"], 1, "g")}
    sheet["chassis"]["size"] = box(own["mass"], own["pitch_inertia"], 40, rng)
    sees = camera((0.5 * span, 0.08), 3.5, 23000.0, roll, yaw, tilt)

    def pixel(place: Any) -> list[Shown]:
        return [Shown(one, 2, "1") for one in sees((place[0], place[1]))]

    known = [*centres, *([(0.02, 0.21), (0.28, 0.20)] if askew else [])]
    sheet["photo"] = {"known": [{"pixel": pixel(one), "at": spot(one, 0.5)} for one in known], "points": {}}
    for i, end in enumerate(ENDS):
        axle, wheel, strut = weighed(rig, i, rng), rig.wheels[i], rig.struts[i]
        for link, pin in PINS:
            axle[link][pin] = [Shown(one, 1, "mm") for one in rig.raw[end][link][pin]]
        if i == 0:  # one axle on the photograph, the other by ruler
            wanted = {f"{link}.{pin}": axle[link].pop(pin) for link, pin in PINS}
            wanted |= {f"shock.{pin}": axle["shock"].pop(pin) for pin in ("chassis", "axle")}
            for name, place in wanted.items():
                sheet["photo"]["points"][f"{end}.{name}"] = pixel([1e-3 * one.value for one in place])
        turned = 10
        load = 0.5 * rig.loads[i]
        axle["tyre"] |= {
            "squash": wheel.pressed((2.0, 3.5, 5.0, 6.5, 8.0)),
            "spin_inertia": Shown(wheel.inertia * 1e6, 10, "kg*mm^2"),
            "slides_at": degrees(math.atan(wheel.grips[0]), 1),
        }
        if i == 0:
            axle["tyre"]["rolled"] = {
                "turns": turned,
                "distance": mm(turned * 2 * math.pi * wheel.rolling(load), 5),
            }
        else:
            axle["tyre"]["hub_height"] = mm(centres[i][1], 0.5)
        axle["shock"] |= {
            **strut.weighed(rng),
            "sink": strut.moved((strut.friction + 0.05) / G, 0.02),
            "decay": swinging(rig, i, eye.uniform(0.008, 0.011)),
        }
        sheet[end] = axle
    drive, motor = rig.raw["driveline"], rig.raw["motor"]
    turns = 10.0
    sheet["gears"] = {
        "rear_turns": Shown(turns, 0.02, "1"),
        "front_turns": Shown(turns * (1 + drive["overdrive"] / 100), 0.02, "1"),
        "motor_turns": Shown(turns * drive["ratio"], 0.5, "1"),
        "shaft_mass": Shown(drive["shaft_mass"], 1, "g"),
    }
    volts, ohms = motor["voltage"], motor["resistance"] * 1e-3
    free = motor["kv"] * (volts - motor["no_load_current"] * ohms)  # what the coil drops makes no speed
    sheet["motor"] = {
        "no_load": {"voltage": Shown(volts, 0.1, "V"), "speed": Shown(free, 150, "rpm")},
        "no_load_current": Shown(motor["no_load_current"], 0.1, "A"),
        "resistance": Shown(motor["resistance"], 10, "mohm"),
        "rotor_inertia": Shown(motor["rotor_inertia"], 2, "g*cm^2"),
    }
    sheet["parts"] = loose(rig)
    return sheet


def swinging(rig: Known, i: int, released: float, half: bool = False) -> Raw:
    """A weight that swings on one shock with its spring, let go `released` (m) further in: its way to where
    it turns, and the next way out, or back. Where it comes to rest does not matter.
    """
    strut = rig.struts[i]
    weight = (strut.preload + strut.rate * 0.5 * strut.stroke) / G
    assert released < 0.5 * strut.stroke - 0.0015, "clear of the rubber stops"
    places, times = strut.swung(weight, released)
    turn = 1 if half else 2
    assert len(places) > turn + 1, "it swings once more"
    return {
        "weight": grams(weight, 0.5),
        "first": mm(places[0] - places[1], 0.2),
        "last": mm(abs(places[turn + 1] - places[turn]), 0.2),
        "swings": 0.5 * turn,
        "time": Shown(sum(times[:turn]), 0.005, "s"),
    }


def by_pendulum(rig: Known, rng: Chance) -> Raw:
    """The rig swings on a rod; front axle raised; sag instead of the shock's length; tyres rolled and
    measured; springs weighed and labelled; shocks on links.
    """
    wide = 0.05 * rig.span
    sheet: Raw = {"worksheet": 1, "name": "by pendulum", "wheelbase": mm(rig.span)}
    raised = 0.12
    sheet["scales"] = {
        "front": of_load(rig.loads[1]),
        "whole": grams(rig.mass),
        "raised": {"axle": "front", "height": mm(raised), "load": of_load(rig.raised("front", raised))},
    }
    rod = (rig.cg[0] + wide, 0.22)
    sheet["swing"] = {
        "pendulum": {"at": spot(rod), "swings": 50, "time": Shown(50 * rig.on_a_rod(rod), 0.2, "s")}
    }
    for i, end in enumerate(ENDS):
        axle, wheel, strut = weighed(rig, i, rng), rig.wheels[i], rig.struts[i]
        for link, pin in PINS:
            axle[link][pin] = [Shown(one, 1, "mm") for one in rig.raw[end][link][pin]]
        del axle["shock"]["extended_length"]
        turned = 10
        axle["tyre"] |= {
            "diameter": mm(2 * wheel.radius),
            "hub_height": mm(rig.centres[i][1]),
            "rolled": {
                "turns": turned,
                "distance": mm(turned * 2 * math.pi * wheel.rolling(0.5 * rig.loads[i]), 10),
            },
            "squash": wheel.pressed((3.0, 5.0, 7.0, 9.0)),
            "spin_inertia": Shown(wheel.inertia * 1e6, 10, "kg*mm^2"),
        }
        axle["shock"] |= {
            "sag": mm(rig.travel(i), 0.5),
            **strut.weighed(rng),
            "rate": Shown(rig.raw[end]["shock"]["springs"][0]["rate"], 0.01, "N/mm"),
            "sink": strut.moved((strut.friction + 0.5) / G, 0.02),
            "pull": strut.moved((strut.friction + 0.5) / G, 0.02, rebound=True),
        }
        sheet[end] = axle
    sheet["gears"] = {"ratio": rig.raw["driveline"]["ratio"], "rear_turns": 10, "front_turns": 10}
    sheet["gears"]["shaft_mass"] = Shown(rig.raw["driveline"]["shaft_mass"], 1, "g")
    sheet["parts"] = loose(rig)
    return sheet
