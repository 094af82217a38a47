"""Hypothesis rigs and scenarios, drawn from the ranges that the file models state themselves.

`raw_rigs` and `raw_scenarios` span everything a file may say and are raw tables in bench units; `rigs` and
`scenarios` are the same, checked. `crawlers` stay near one plausible rig and are meant to be driven.
"""

import copy
import math
from collections.abc import Callable
from typing import Any, Literal, get_args, get_origin

from hypothesis import HealthCheck, assume
from hypothesis import strategies as st
from pydantic import StrictBool

from simcore.files import Rig, Scenario, scenario_of
from simcore.files.axle import Axle, Link, Shaft, Tyre
from simcore.files.course import Ground, Piece
from simcore.files.goal import MOVES, Goal
from simcore.files.scenario import STUDIED, Driver
from simcore.files.schema import Model, fields, hints, items, plain, submodel
from simcore.files.shock import Damper, Friction, Shock, Spring
from simcore.units import Q

Raw = dict[str, Any]
SLOW = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
"""What Hypothesis may not complain of while it draws whole rigs."""
TEXT = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=12)
PLAIN_CONTROLS = ("torque", "throttle", "speed")


def number(quantity: Q) -> st.SearchStrategy[float]:
    """A number out of the whole range of a key."""
    low = quantity.gt if quantity.ge is None else quantity.ge
    assert low is not None and quantity.le is not None, "every key needs a range"
    drawn = st.floats(low, quantity.le, exclude_min=quantity.ge is None, allow_subnormal=False)
    # Far below any ruler numbers mean nothing but rounding.
    return drawn.map(lambda x: x if quantity.ge is not None or x > 1e-6 else 1e-6)


def value(hint: Any) -> st.SearchStrategy[Any]:
    """A raw value of a type."""
    inner, quantity = plain(hint)
    if quantity is not None:
        return number(quantity)
    if get_origin(inner) is Literal:
        return st.sampled_from(get_args(inner))
    table, kinds = submodel(hint), items(hint)
    if table is not None:
        return raw_table(table)
    if kinds is not None:
        return st.lists(value(kinds[0]), max_size=3) if kinds[-1] is Ellipsis else _row(kinds)
    return st.booleans() if inner is bool or inner is StrictBool else TEXT


def _row(kinds: tuple[Any, ...]) -> st.SearchStrategy[list[Any]]:
    return st.tuples(*(value(kind) for kind in kinds)).map(list)


@st.composite
def raw_table(draw: st.DrawFn, model: Model) -> Raw:
    """A raw table with every required key and some of the others, its values made to agree."""
    table = {
        key: draw(value(hints(model)[key]))
        for key, field in fields(model).items()
        if key not in STUDIED and (field.is_required() or draw(st.booleans()))
    }
    return AGREE.get(model, lambda draw, table: table)(draw, table)


def _spring(draw: st.DrawFn, spring: Raw) -> Raw:
    push = spring.get("push", True)
    starts = [key for key in ("preload", "loose_at", "hold_ride_height") if spring.get(key)]
    kept = draw(st.sampled_from(starts)) if starts else ""
    spring = {key: x for key, x in spring.items() if key in ("rate", "push", kept)}
    if not push and kept not in ("preload", "loose_at"):
        spring.pop("hold_ride_height", None)
        spring["loose_at"] = draw(st.floats(1, 500))
    if not push and kept == "loose_at":
        spring["loose_at"] = abs(spring["loose_at"])
    return spring


def _damper(draw: st.DrawFn, damper: Raw) -> Raw:
    rows = {round(speed, 6): round(force, 6) for speed, force in damper.get("table", [])}
    if len(rows) < 2:
        damper.pop("table", None)
        return damper
    # Forces in the order of the speeds, then the sign of each speed: never falling, never against it.
    ordered = zip(sorted(rows), sorted(rows.values()), strict=True)
    return {
        "table": [[speed, (max if speed > 0 else min)(force, 0.0) * bool(speed)] for speed, force in ordered]
    }


def _friction(draw: st.DrawFn, friction: Raw) -> Raw:
    if "sliding" in friction:
        friction["sliding"] = min(friction["sliding"], friction.get("breakaway", 0.0))
    return friction


def _tyre(draw: st.DrawFn, tyre: Raw) -> Raw:
    tyre["sliding_grip"] = min(tyre["sliding_grip"], tyre["peak_grip"])
    tyre["slip_stiffness"] = max(tyre["slip_stiffness"], 2.0 * tyre["peak_grip"])
    if tyre["sliding_grip"] < tyre["peak_grip"]:  # grip must be able to fall so far by `grip_speed`
        steepest = math.sqrt(math.log(2.0 * tyre["peak_grip"] / tyre["sliding_grip"] - 1.0))
        most = 0.999 * tyre.setdefault("grip_speed", 0.3) / steepest
        tyre["stribeck_speed"] = min(tyre.get("stribeck_speed", 0.15), most)
    return tyre


def _link(draw: st.DrawFn, link: Raw) -> Raw:
    if math.dist(link["chassis"], link["axle"]) < 0.01:
        link["chassis"][0] += math.copysign(draw(st.floats(1, 200)), -link["chassis"][0])
    return link


def _shaft(draw: st.DrawFn, shaft: Raw) -> Raw:
    if math.dist(shaft["chassis"], shaft["axle"]) < 0.01:
        shaft["chassis"][0] += math.copysign(draw(st.floats(1, 200)), -shaft["chassis"][0])
    return shaft


def _shock(draw: st.DrawFn, shock: Raw) -> Raw:
    holding = [spring for spring in shock.get("springs", []) if spring.get("hold_ride_height")]
    for spring in holding[1:]:
        spring["hold_ride_height"] = False
    return shock


def _axle(draw: st.DrawFn, axle: Raw) -> Raw:
    if draw(st.booleans()):
        axle.setdefault("arm", draw(raw_table(hints_model(Axle, "arm"))))
        axle.pop("lower_link", None), axle.pop("upper_link", None)
    else:
        axle.pop("arm", None)
        for key in ("lower_link", "upper_link"):
            axle.setdefault(key, draw(raw_table(Link)))
        if not _off_one_line(axle["lower_link"], axle["upper_link"]):
            pin = axle["upper_link"]["axle"]
            pin[1] += math.copysign(draw(st.floats(10, 200)), -pin[1])
            assume(_off_one_line(axle["lower_link"], axle["upper_link"]))
    _mount(draw, axle)
    return axle


def _off_one_line(lower: Raw, upper: Raw) -> bool:
    (x0, z0), (x1, z1) = lower["chassis"], lower["axle"]
    far = [abs((x1 - x0) * (z - z0) - (z1 - z0) * (x - x0)) for x, z in (upper["chassis"], upper["axle"])]
    return max(far) > math.dist(lower["chassis"], lower["axle"])


def _mount(draw: st.DrawFn, axle: Raw) -> None:
    """Choose the lower mount, then put the upper one where the drawn lengths can reach."""
    shock = axle["shock"]
    on_link = "arm" not in axle and ("axle" not in shock or draw(st.booleans()))
    if on_link:
        shock.pop("axle", None)
        shock.setdefault("link", draw(value(hints(Shock)["link"])))
        shock.setdefault("fraction", draw(value(hints(Shock)["fraction"])))
    else:
        shock.pop("link", None), shock.pop("fraction", None)
        shock.setdefault("axle", draw(value(hints(Shock)["axle"])))
    shock["extended_length"] = max(shock["extended_length"], 1.0)
    shock["stroke"] = min(shock["stroke"], 0.99 * shock["extended_length"])
    _set_length(shock, _lower_mount(axle), draw(st.floats(0.01, 0.99)), draw(st.floats(-3.0, 3.0)))


def _lower_mount(axle: Raw) -> list[float]:
    shock = axle["shock"]
    if "axle" in shock:
        return shock["axle"]
    link = axle[f"{shock['link']}_link"]
    pairs = zip(link["chassis"], link["axle"], strict=True)
    return [a + shock["fraction"] * (b - a) for a, b in pairs]


def _set_length(shock: Raw, lower: list[float], compressed: float, angle: float) -> None:
    length = shock["extended_length"] - compressed * shock["stroke"]
    reach = (length * math.cos(angle), length * math.sin(angle))
    steps = [-step if abs(mount + step) > 2000 else step for mount, step in zip(lower, reach, strict=True)]
    shock["chassis"] = [mount + step for mount, step in zip(lower, steps, strict=True)]


def _rig(draw: st.DrawFn, rig: Raw) -> Raw:
    room = 0.999 * rig["wheelbase"]
    rear, front = rig["rear"]["tyre"], rig["front"]["tyre"]
    rear["radius"] = min(rear["radius"], room - 10)
    front["radius"] = min(front["radius"], room - rear["radius"])
    for skid in rig.get("skids", []):
        above = 2 * max(rear["radius"], front["radius"]) + skid.get("radius", 5) + 1
        skid["at"][1] = max(skid["at"][1], above)
    return rig


def _piece(draw: st.DrawFn, piece: Raw) -> Raw:
    piece.setdefault("length", draw(value(hints(Piece)["length"])))
    piece.pop("ledge", None)
    return piece


def _ground(draw: st.DrawFn, ground: Raw) -> Raw:
    pieces = ground.pop("pieces", [])
    if draw(st.booleans()):
        ground = {"pieces": pieces or [draw(raw_table(Piece))]}
        if draw(st.booleans()):
            ledge = draw(value(hints(Piece)["ledge"]).filter(bool))
            between = {"ledge": ledge, "grip": draw(value(hints(Piece)["grip"]))}
            ground["pieces"] = [*ground["pieces"], between, draw(raw_table(Piece))]
    return ground


def _driver(draw: st.DrawFn, driver: Raw) -> Raw:
    control = driver["control"]
    if not driver.get(control):
        driver[control] = [draw(value(items(hints(Driver)[control])[0]))]
    for key in (*PLAIN_CONTROLS, "brake"):
        if key in driver:
            driver[key] = [list(row) for row in sorted(dict(driver[key]).items())]
    return driver


def _goal(draw: st.DrawFn, goal: Raw) -> Raw:
    moves = [key for key in MOVES if key in goal]
    kept = draw(st.sampled_from(moves)) if moves else ""
    goal = {key: x for key, x in goal.items() if key not in ("at_least", "at_most", *MOVES)}
    if not kept:
        goal.pop("within", None)
    if draw(st.booleans()):
        goal["at_most"] = {"pitch_rise_deg": draw(st.floats(-90, 90))}
    return goal | ({kept: 5 + draw(st.floats(0, 100))} if kept else {})


def _scenario(draw: st.DrawFn, scenario: Raw) -> Raw:
    if "past" in scenario.get("goal", {}):  # ahead of where the rig starts
        scenario["goal"]["past"] = scenario.get("start", {}).get("rear_axle", 0.0) + draw(st.floats(1, 99))
        scenario["goal"]["past"] = min(scenario["goal"]["past"], 100_000)
        if scenario.get("start", {}).get("rear_axle", 0.0) > 99_000:
            scenario["start"]["rear_axle"] = 99_000
    if "reach" in scenario.get("goal", {}) and "distance" in scenario.get("end", {}):
        scenario["goal"].pop("reach"), scenario["goal"].pop("within", None)
    rates = [scenario.get("output", {}).get("rate", 500.0)]
    if draw(st.booleans()):
        rates.append(draw(value(hints_of(Scenario, "output", "rate"))))
        one_or_other: Raw = {
            "variants": {draw(TEXT): {"output.rate": rates[-1]}},
            "vary": {"output.rate": rates[-1:]},
        }
        key = draw(st.sampled_from(list(one_or_other)))
        scenario[key] = one_or_other[key]
    if "duration" in scenario.get("end", {}):  # no more rows than a scenario may ask for
        scenario["end"]["duration"] = min(scenario["end"]["duration"], 199_000 / max(rates))
    left = scenario.get("end", {}).get("duration", 2.0) - scenario["driver"].get("release", 0.2)
    if "within" in scenario.get("goal", {}):  # and no time after its end
        if left > 1e-3:
            scenario["goal"]["within"] = min(scenario["goal"]["within"], 0.999 * left)
        else:
            del scenario["goal"]["within"]
    return scenario


def hints_model(model: Model, key: str) -> Model:
    """The model of a table within a model."""
    inside = submodel(hints(model)[key])
    assert inside is not None
    return inside


def hints_of(model: Model, *path: str) -> Any:
    """The type of a key within tables."""
    for key in path[:-1]:
        model = hints_model(model, key)
    return hints(model)[path[-1]]


AGREE: dict[Model, Callable[[st.DrawFn, Raw], Raw]] = {
    Spring: _spring,
    Damper: _damper,
    Friction: _friction,
    Tyre: _tyre,
    Link: _link,
    Shaft: _shaft,
    Shock: _shock,
    Axle: _axle,
    Rig: _rig,
    Piece: _piece,
    Ground: _ground,
    Driver: _driver,
    Goal: _goal,
    Scenario: _scenario,
}


def raw_rigs() -> st.SearchStrategy[Raw]:
    """Rig tables over everything a file may say."""
    return raw_table(Rig)


def raw_scenarios() -> st.SearchStrategy[Raw]:
    """Scenario tables, rig inside, over everything a file may say."""
    return raw_table(Scenario)


def rigs() -> st.SearchStrategy[Rig]:
    """Checked rigs over everything a file may say."""
    return raw_rigs().map(Rig.model_validate)


def scenarios() -> st.SearchStrategy[Scenario]:
    """Checked scenarios over everything a file may say."""
    return raw_scenarios().map(lambda raw: scenario_of(raw, "drawn.toml"))


def located_by_arm(axle: Raw) -> None:
    """Put one arm in the place of the links, from the chassis pin of the lower one; a shock on a link moves
    to the same place on the axle.
    """
    lower = axle.pop("lower_link")
    links = {"lower": lower, "upper": axle.pop("upper_link")}
    axle["arm"] = {"chassis": lower["chassis"], "mass": lower.get("mass", 0)}
    shock = axle["shock"]
    if "link" in shock:
        link, share = links[shock.pop("link")], shock.pop("fraction")
        pairs = zip(link["chassis"], link["axle"], strict=True)
        shock["axle"] = [top + share * (bottom - top) for top, bottom in pairs]


def _sliding_shaft(draw: st.DrawFn, x: float, towards: float) -> Raw:
    """A shaft from near the middle of the rig to an axle's pinion."""
    return {
        "chassis": [x + towards * draw(st.floats(110, 140)), draw(st.floats(60, 95))],
        "axle": [x + towards * draw(st.floats(20, 40)), draw(st.floats(45, 75))],
        "ratio": draw(st.floats(2.0, 5.0)),
        "friction": draw(st.floats(0.0, 0.4)),
        "spline_radius": draw(st.floats(2.0, 5.0)),
    }


@st.composite
def crawlers(draw: st.DrawFn, base: Raw, spread: float = 0.2, shift: float = 3.0) -> Raw:
    """Rig tables near one plausible rig: its numbers times 1 +- spread, its places moved by +- shift mm; some
    with drive shafts that resist sliding, and with grip that falls with load.
    """
    rig = _near(draw, Rig, copy.deepcopy(base), spread, shift)
    for axle in (rig["rear"], rig["front"]):
        shock, lower = axle["shock"], _lower_mount(axle)
        shock["extended_length"] = (
            math.dist(shock["chassis"], lower) + draw(st.floats(0.3, 0.7)) * shock["stroke"]
        )
    if draw(st.booleans()):
        rig["rear"]["shaft"], rig["front"]["shaft"] = (
            _sliding_shaft(draw, x, towards) for x, towards in ((0.0, 1.0), (rig["wheelbase"], -1.0))
        )
    if draw(st.booleans()):
        for axle in (rig["rear"], rig["front"]):
            axle["tyre"]["grip_load_exponent"] = draw(st.floats(0.0, 0.33))
    return rig


def _near(draw: st.DrawFn, hint: Any, raw: Any, spread: float, shift: float) -> Any:
    table, kinds, quantity = submodel(hint), items(hint), plain(hint)[1]
    if table is not None:
        near = {key: _near(draw, hints(table)[key], x, spread, shift) for key, x in raw.items()}
        return AGREE[table](draw, near) if table in (Friction, Tyre) else near
    if kinds is not None and kinds[-1] is not Ellipsis and all(plain(kind)[1] for kind in kinds):
        return [x + draw(st.floats(-shift, shift)) for x in raw]
    if kinds is not None:
        return [_near(draw, kinds[0], x, spread, shift) for x in raw]
    if quantity is None or isinstance(raw, str):
        return raw
    low = quantity.ge if quantity.ge is not None else quantity.gt
    return min(max(raw * draw(st.floats(1 - spread, 1 + spread)), low), quantity.le)
