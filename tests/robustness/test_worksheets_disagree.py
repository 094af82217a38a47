"""Worksheets whose readings contradict each other say so; any worksheet gives a rig or says what is wrong.

Readings that agree within their errors are taken in silence. Where two are off by several errors the
disagreement names what is doubtful and gives both figures.
"""

import copy
import math
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tries import tries

from simcore.errors import InputError
from simcore.files.worksheet import worksheet_of
from simcore.readings.derive import derive

sys.path.insert(0, str(Path(__file__).parents[1] / "external"))  # pytest puts only a test's own folder there
from bench_readings import Known, Raw, written
from bench_sheets import by_camera, by_pendulum, by_ruler, light_oil, rig_file

Keys = tuple[str | int, ...]
SLOW = [HealthCheck.too_slow]


def sheet(**lines: Any) -> Raw:
    return {"worksheet": 1, "name": "readings", **lines}


def said(table: Raw) -> list[tuple[str, str]]:
    derived = derive(worksheet_of(table, Path("w.toml")))
    derived.rig()
    return [(one.what, one.text) for one in derived.disagreements]


# --- two readings of one thing -------------------------------------------------------------------------


def whole(grams: float) -> Raw:
    """Axles of 862 g and 1138 g."""
    return sheet(scales={"rear": "862 +- 2 g", "front": "1138 +- 2 g", "whole": f"{grams} +- 2 g"})


def chassis_mass(grams: float) -> Raw:
    """A rig of which 335 g are left when all parts are taken from the whole."""
    table = written(by_ruler(Known(rig_file("gully")), None))
    return table | {"chassis": {"mass": f"{grams} +- 1 g"}}


def sag(mm: float) -> Raw:
    """A shock of 106 mm whose mounts are 36 mm and 77 mm apart: 85 mm."""
    shock = {"chassis": [39, 147], "axle": [3, 70], "extended_length": 95, "stroke": 28}
    return sheet(rear={"shock": shock | {"sag": f"{mm} +- 0.3 mm"}})


def rolled(diameter: float) -> Raw:
    """Ten turns over 3600 mm: rolling radius 57.3 mm, and a tyre that 5 N squeeze by 5 mm (1 N/mm).

    Each rear tyre carries 3.92 N (400 g), is 3.9 mm flatter and rolls on 1.3 mm less than its free radius.
    """
    rows = [[g, g * 9.80665e-3] for g in (200, 400, 600, 800)]
    tyre = {"diameter": f"{diameter} +- 1 mm", "squash": rows}
    tyre["rolled"] = {"turns": 10, "distance": "3600 +- 5 mm"}
    return sheet(scales={"rear": 800, "front": 1100}, rear={"tyre": tyre})


def hub(mm: float) -> Raw:
    """The same tyre of 117 mm: its axle stands 58.5 - 3.9 mm high."""
    rows = [[g, g * 9.80665e-3] for g in (200, 400, 600, 800)]
    tyre = {"diameter": "117 +- 1 mm", "squash": rows, "hub_height": f"{mm} +- 1 mm"}
    return sheet(scales={"rear": 800, "front": 1100}, rear={"tyre": tyre})


def label(rate: float) -> Raw:
    """40 g push a shock in by 4 mm: 0.0981 N/mm."""
    rows = [[100, 3], [140, 7], [180, 11], [220, 15]]
    return sheet(rear={"shock": {"loading": rows, "rate": f"{rate} +- 0.01 N/mm"}})


def overdrive(front_turns: float) -> Raw:
    """Teeth: 42 to the rear, 40 to the front, 5 % of overdrive."""
    gears = {"rear_teeth": [[10, 60], [8, 56]], "front_teeth": [[10, 60], [8, 56], [42, 40]]}
    turns = {"rear_turns": "10 +- 0.02", "front_turns": f"{front_turns} +- 0.02"}
    return sheet(gears=gears | turns)


def motor_turns(turns: float) -> Raw:
    """The same teeth."""
    gears = {"rear_teeth": [[10, 60], [8, 56]], "rear_turns": "10 +- 0.02", "motor_turns": f"{turns} +- 1"}
    return sheet(gears=gears)


def kv(rpm: float) -> Raw:
    """Free running at 10 V: 2 A over 100 mohm leave 9.8 V to make speed."""
    motor = {"kv": "1500 +- 30 rpm/V", "no_load_current": "2 +- 0.1 A", "resistance": "100 +- 5 mohm"}
    return sheet(motor=motor | {"no_load": {"voltage": "10 +- 0.1 V", "speed": f"{rpm} +- 100 rpm"}})


def stall(ampere: float) -> Raw:
    """2 V over 100 mohm."""
    read = {"voltage": "2 +- 0.02 V", "current": f"{ampere} +- 0.3 A"}
    return sheet(motor={"resistance": "100 +- 5 mohm", "stall": read})


def tipped(degrees: float) -> Raw:
    """Centre of mass 80 mm high, tyres 230 mm wide: tan = 115 / 80."""
    scales = {"rear": 900, "front": 1100, "cg_height": "80 +- 1 mm"}
    return sheet(scales=scales | {"tipped": {"angle": f"{degrees} +- 1 deg", "width": 230}})


def rotor(grams: float) -> Raw:
    """A drum of 50 g and 20 mm: 25 g cm^2."""
    motor = {"rotor_inertia": "25 +- 1 g*cm^2", "rotor_diameter": "20 +- 0.2 mm"}
    return sheet(motor=motor | {"rotor_mass": f"{grams} +- 1 g"})


# what is read, a reading that agrees, one that does not, the line that is named, both figures
PAIRS: dict[str, tuple[Callable[[float], Raw], float, float, str, tuple[str, str]]] = {
    "axle loads and the whole": (whole, 2002, 2060, "scales.whole", ("2060", "2000")),
    "bare chassis and all the rest": (chassis_mass, 338, 400, "chassis.mass", ("400", "335")),
    "sag, length and mounts": (sag, 10.3, 18, "rear.shock.sag", ("18.0", "10.0")),
    "diameter and rolled way": (rolled, 117.6, 110, "rear.tyre.radius", ("55.0", "58.")),
    "diameter and axle height": (hub, 54.6, 46, "rear.tyre.radius", ("58.5", "49.9")),
    "label and weights": (label, 0.102, 0.15, "rear.shock.springs.0.rate", ("0.15", "0.098")),
    "overdrive by teeth and by turns": (overdrive, 10.51, 11, "driveline.overdrive", ("5 %", "10.0")),
    "ratio by teeth and by turns": (motor_turns, 420.5, 450, "driveline.ratio", ("42", "45.0")),
    "label and free speed": (kv, 14650, 18000, "motor.kv", ("1500", "1837")),
    "resistance and stall": (stall, 19.9, 15, "motor.resistance", ("100", "133")),
    "known height and tipping angle": (tipped, 55.2, 45, "scales.cg_height", ("80", "115")),
    "known rotor and its drum": (rotor, 50, 90, "motor.rotor_inertia", ("25.0", "45.0")),
}


@pytest.mark.parametrize("pair", PAIRS)
def test_readings_that_agree_are_taken_in_silence(pair: str) -> None:
    build, agrees, *_ = PAIRS[pair]
    assert said(build(agrees)) == []


@pytest.mark.parametrize("pair", PAIRS)
def test_readings_that_disagree_are_named_with_both_figures(pair: str) -> None:
    build, _, off, what, figures = PAIRS[pair]
    (one,) = said(build(off))
    assert one[0] == what
    assert all(figure in one[1] for figure in figures)


def axle(housing: float) -> Raw:
    links = {"lower_link": {"mass": 12}, "upper_link": {"mass": 12}, "shock": {"mass": 15}}
    return {"tyre": {"wheel_mass": 150}, "housing": {"mass": housing}} | links


@pytest.mark.parametrize("read", ["rear and front", "whole"])
def test_parts_heavier_than_the_whole_rig_are_named(read: str) -> None:
    """Two axles of 200 g + 354 g each leave 592 g of 1700 g to the chassis; with housings of 900 g they
    weigh 2508 g.
    """
    scales = {"rear": 800, "front": 900} if read == "rear and front" else {"whole": 1700}
    gears = {"shaft_mass": 0}
    assert said(sheet(scales=scales, rear=axle(200), front=axle(200), gears=gears)) == []
    (one,) = said(sheet(scales=scales, rear=axle(900), front=axle(900), gears=gears))
    assert "scales" in one[0]
    assert "1700" in one[1]
    assert "2508" in one[1]


def test_the_whole_rig_alone_tells_the_mass_of_the_chassis() -> None:
    """1700 g less 2 (200 + 2 150 + 12 + 12 + 2 15) g."""
    table = sheet(scales={"whole": 1700}, rear=axle(200), front=axle(200), gears={"shaft_mass": 0})
    found = derive(worksheet_of(table, Path("w.toml"))).entries["chassis.mass"]
    assert found.value == pytest.approx(1700 - 2 * 554)


def test_a_swing_that_leaves_the_chassis_no_inertia_is_named() -> None:
    """Swinging twice as fast the rig would have a quarter of its inertia, less than its axles alone."""
    rig = Known(rig_file("gully"))
    table = written(by_ruler(rig, None))
    table["swing"]["cords"]["time"] = f"{25 * rig.on_cords(0.30, 0.26, 1.1):.6g} +- 0.2 s"
    assert any("inertia" in what or "swing" in what for what, _ in said(table))


@pytest.mark.parametrize("side", ["right", "left"])
def test_a_photograph_shows_either_side_of_the_rig(side: str) -> None:
    """The camera upright: of two known points its picture may be mirrored, but never upside down."""
    sense = 1 if side == "right" else -1
    known = [{"pixel": [2000 + sense * 1000 * i, 1500], "at": [315 * i, 55]} for i in (0, 1)]
    points = {"rear.lower_link.chassis": [2000 + sense * 400, 1450]}  # higher than the axles
    found = derive(worksheet_of(sheet(photo={"known": known, "points": points}), Path("w.toml"))).entries
    assert found["rear.lower_link.chassis.0"].value == pytest.approx(0.4 * 315)
    assert found["rear.lower_link.chassis.1"].value == pytest.approx(55 + 0.05 * 315)


def test_a_misspelt_point_of_a_photograph_is_refused() -> None:
    known = [{"pixel": [1000 * i, 1500], "at": [315 * i, 55]} for i in (0, 1)]
    photo = {"known": known, "points": {"rear.lower_lnk.chassis": [400, 1450]}}
    with pytest.raises(InputError, match=r"rear\.lower_lnk\.chassis"):
        derive(worksheet_of(sheet(photo=photo), Path("w.toml")))


def test_ruler_and_photograph_of_one_pin_are_compared() -> None:
    known = [{"pixel": [1000 * i, 1500], "at": [315 * i, 55]} for i in (0, 1)]
    photo = {"known": known, "points": {"rear.lower_link.chassis": [400, 1450]}}  # [126, 70.75]
    assert said(sheet(rear={"lower_link": {"chassis": [126, 71]}}, photo=photo)) == []
    ((what, text),) = said(sheet(rear={"lower_link": {"chassis": [145, 71]}}, photo=photo))
    assert "rear.lower_link.chassis" in what
    assert "145" in text
    assert "126" in text


# --- near a limit --------------------------------------------------------------------------------------

NEAR = {
    "sliding grip a hair above the peak": {
        "tyre": {"slides_at": "45 +- 1 deg", "slides_on_at": "45.5 +- 1 deg"}
    },
    "no friction, the gap a hair below nought": {
        "shock": {"loading": [[100, 3.1], [150, 8], [200, 13]], "unloading": [[100, 3], [150, 8], [200, 13]]}
    },
    "breakaway a hair below sliding": {
        "shock": {
            "loading": [[100, 3], [150, 8], [200, 13]],
            "unloading": [[100, 5], [150, 10], [200, 15]],  # 0.098 N/mm, 1 mm: 10 g
            "breakaway": "9.5 +- 1 g",
        }
    },
    "mounts a hair farther apart than the shock is long": {
        "shock": {"chassis": [39, 147], "axle": [3, 70], "extended_length": "84.8 +- 0.3 mm", "stroke": 28}
    },
}


@pytest.mark.parametrize("case", NEAR)
def test_readings_past_a_limit_by_less_than_their_errors_give_a_rig(case: str) -> None:
    """Two readings of things that are equal fall either way; neither is wrong."""
    derived = derive(worksheet_of(sheet(rear=NEAR[case]), Path("w.toml")))
    derived.rig()
    assert derived.disagreements == []


def test_a_swing_that_friction_explains_tells_no_exact_oil() -> None:
    """Weights tell 0.098 N/mm and friction of 10 g, 1 mm: the way back is 4 mm shorter by that alone."""
    weights = {"loading": [[100, 3], [150, 8], [200, 13]], "unloading": [[100, 5], [150, 10], [200, 15]]}
    decay = {"weight": 150, "first": 8, "last": 3.9, "swings": 0.5, "time": 0.12}
    shock = weights | {"decay": decay, "stroke": 28}
    found = derive(worksheet_of(sheet(rear={"shock": shock}), Path("w.toml"))).entries
    assert found["rear.shock.damper.compression"].error > 0.0
    assert found["rear.shock.damper.rebound"].error > 0.0


def test_rows_that_turn_friction_round_are_refused() -> None:
    """Pushed in further while weights are put on than while they are taken off, by more than a hair."""
    weights = {"loading": [[100, 3], [150, 8], [200, 13]], "unloading": [[100, 1], [150, 6], [200, 11]]}
    decay = {"weight": 150, "first": 8, "last": 3, "swings": 0.5, "time": 0.12}
    for shock in (weights, weights | {"decay": decay}):
        with pytest.raises(InputError, match=r"rear\.shock"):
            derive(worksheet_of(sheet(rear={"shock": shock}), Path("w.toml")))


def test_an_axle_heavier_than_the_whole_rig_is_named() -> None:
    with pytest.raises(InputError, match="scales"):
        derive(worksheet_of(sheet(scales={"front": 3200, "whole": 3000}), Path("w.toml")))


# --- any worksheet -------------------------------------------------------------------------------------

FULL = {
    "by ruler": written(by_ruler(Known(rig_file("gully")), None)),
    "by camera": written(by_camera(Known(light_oil(rig_file("scree"))), None)),
    "by pendulum": written(by_pendulum(Known(rig_file("fell")), None)),
}


def lines(table: Any, keys: Keys = ()) -> Iterator[Keys]:
    """Where the lines of a worksheet stand: readings, places, rows; parts and skids by their own lines."""
    if isinstance(table, dict):
        for key, one in table.items():
            yield from lines(one, (*keys, key))
    elif isinstance(table, list) and table and isinstance(table[0], dict):
        for i, one in enumerate(table):
            yield from lines(one, (*keys, i))
    elif keys not in (("worksheet",), ("name",)):
        yield keys


def leave_out(table: Raw, keys: Keys) -> None:
    for key in keys[:-1]:
        table = table[key]  # type: ignore[index]
    del table[keys[-1]]  # type: ignore[arg-type]


def optional(keys: Keys) -> bool:
    """Whether a worksheet may be read without this line."""
    within = keys[0] in ("parts", "skids") or keys[:2] == ("photo", "known")
    return not within or keys[-1] in ("size", "on", "radius")


def gives_a_rig_or_says_why(table: Raw) -> None:
    try:
        derived = derive(worksheet_of(table, Path("w.toml")))
        rig = derived.rig()
    except InputError as error:
        assert error.issues
        for issue in error.issues:
            assert issue.file == "w.toml"
            assert issue.key
            assert issue.got
            assert issue.must_be
            assert "nan" not in str(issue)
        return
    assert rig.wheelbase > 0.0
    for one in derived.entries.values():
        assert math.isfinite(one.value)
        assert math.isfinite(one.error)
        assert one.error >= 0.0


@pytest.mark.parametrize("name", FULL)
@tries(12, 40)
def test_any_lines_may_be_left_out(name: str, count: int) -> None:
    @settings(max_examples=count, suppress_health_check=SLOW)
    @given(data=st.data())
    def look(data: st.DataObject) -> None:
        table = copy.deepcopy(FULL[name])
        left = [keys for keys in lines(table) if optional(keys)]
        share = data.draw(st.sampled_from([0.1, 0.5, 0.9]))
        keep = data.draw(st.lists(st.floats(0, 1), min_size=len(left), max_size=len(left)))
        for keys, chance in zip(left, keep, strict=True):
            if chance < share:
                leave_out(table, keys)
        gives_a_rig_or_says_why(table)

    look()


def test_any_one_line_may_be_left_out() -> None:
    """The guess that stands in for it agrees with what was read."""
    refused = {}
    for keys in filter(optional, lines(FULL["by ruler"])):
        table = copy.deepcopy(FULL["by ruler"])
        leave_out(table, keys)
        try:
            assert said(table) == []
        except InputError as error:
            refused[keys] = str(error)
    assert not refused


def readings(table: Any, keys: Keys = ()) -> Iterator[Keys]:
    """Where the single readings of a worksheet stand."""
    if isinstance(table, dict | list):
        for key, one in table.items() if isinstance(table, dict) else enumerate(table):
            yield from readings(one, (*keys, key))
    elif isinstance(table, str) and "+-" in table:
        yield keys


@pytest.mark.parametrize("name", FULL)
@tries(25, 100)
def test_slips_of_the_pen_give_a_rig_or_are_named(name: str, count: int) -> None:
    """A few readings are nought, ten times too large or small, or of another sign."""

    @settings(max_examples=count, suppress_health_check=SLOW)
    @given(data=st.data())
    def look(data: st.DataObject) -> None:
        table = copy.deepcopy(FULL[name])
        for keys in data.draw(st.lists(st.sampled_from(list(readings(table))), min_size=1, max_size=3)):
            place: Any = table
            for key in keys[:-1]:
                place = place[key]
            value, behind = place[keys[-1]].split("+-")
            slip = data.draw(st.sampled_from([0.0, 0.01, 0.1, 0.5, 2.0, 10.0, 100.0, -1.0]))
            place[keys[-1]] = f"{float(value) * slip:.9g} +-{behind}"
        gives_a_rig_or_says_why(table)

    look()


def test_an_empty_worksheet_is_a_rig_of_guesses() -> None:
    derived = derive(worksheet_of(sheet(), Path("w.toml")))
    rig = derived.rig()
    assert rig.name == "readings"
    assert derived.disagreements == []
    assert derived.guesses
    assert all("GUESS" in one.origin.name for one in derived.entries.values())
    assert all(one.error > 0.0 for one in derived.entries.values())
