"""Worksheets of known rigs give the rigs back, and their errors are the errors that they have.

Witness: free bodies of each bench test, written in bench_readings.py from the rig file alone: axle loads, a
raised axle with round tyres, tipping over two tyres' edges, swinging on cords and on a rod with the wheels
carried along, overlap tyres, friction and oil of a shock, a pin-hole camera. Every reading is then off by
chance, normally, with half its error as standard deviation, as an error with k = 2 says (JCGM 100:2008,
6.3.3: level of confidence 95.45 %). 200 worksheets of each of three rigs, fixed seeds.

Bounds are such that right values and right errors break one of them by chance in fewer than one of a
thousand choices of seeds: exact binomial and chi-squared limits, parted among all values of all rigs.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from bench_readings import G, Known, Raw, Shown, degrees, written
from bench_sheets import OIL, by_camera, by_pendulum, by_ruler, light_oil, rig_file, swinging
from scipy import stats
from sparing import few

from simcore.files.worksheet import worksheet_of
from simcore.readings.derive import derive

DRAWS = 200
INSIDE = float(stats.chi2.cdf(4.0, 1))  # a normal variable within two standard deviations
VALUES = 500  # more than all sheets give together
CHANCE = 1e-3 / (3 * VALUES)  # of one bound of one value: three bounds each, one in a thousand in all
CURVED = 0.15  # of the error: what formulas that are not straight lines may shift the middle
SHEETS = {
    "by ruler": (rig_file("gully"), by_ruler, 11),
    "by camera": (light_oil(rig_file("scree")), by_camera, 12),
    "by pendulum": (rig_file("fell"), by_pendulum, 13),
}


@dataclass(frozen=True)
class Drawn:
    """What 200 worksheets gave of every value that follows from readings: the truth, values and errors."""

    truth: dict[str, float]
    value: dict[str, np.ndarray]
    error: dict[str, np.ndarray]
    formulas: dict[str, str]
    disagreed: int


def numbers(table: Any, key: str = "") -> Iterator[tuple[str, float]]:
    """Every number of a rig file by its dotted key."""
    items = table.items() if isinstance(table, dict) else enumerate(table) if isinstance(table, list) else ()
    for name, one in items:
        yield from numbers(one, f"{key}.{name}" if key else str(name))
    if isinstance(table, int | float) and not isinstance(table, bool):
        yield key, float(table)


def measured(key: str, entry: Any) -> bool:
    """Whether a value follows from readings; a grip that does not fall with load was measured at any load."""
    return "GUESS" not in entry.origin.name and not key.endswith("grip_load")


@pytest.fixture(scope="module", params=few(SHEETS))
def drawn(request: pytest.FixtureRequest) -> Drawn:
    raw, sheet, seed = SHEETS[request.param]
    rig, rng = Known(raw), np.random.default_rng(seed)
    found: list[dict[str, Any]] = []
    disagreed = 0
    for _ in range(DRAWS):
        derived = derive(worksheet_of(written(sheet(rig, rng), rng), Path("w.toml")))
        derived.rig()
        found.append({key: one for key, one in derived.entries.items() if measured(key, one)})
        disagreed += bool(derived.disagreements)
    assert all(one.keys() == found[0].keys() for one in found), "chance decides how a value is found"
    value = {key: np.array([one[key].value for one in found]) for key in found[0]}
    error = {key: np.array([one[key].error for one in found]) for key in found[0]}
    shown = {end: load / G * 1e3 for end, load in zip(("rear", "front"), rig.loads, strict=True)}
    truth = dict(numbers(raw | {"track": raw["track"], "weighed": shown}))
    return Drawn(truth, value, error, {key: one.formula for key, one in found[0].items()}, disagreed)


def loose_ends(drawn: Drawn) -> list[str]:
    """Keys with an error; the others are counted teeth and turns."""
    return [key for key in drawn.value if drawn.error[key].max() > 0.0]


def test_every_value_that_was_measured_is_there(drawn: Drawn) -> None:
    assert set(drawn.value) <= set(drawn.truth)
    wanted = {"chassis.mass", "chassis.cg.0", "chassis.cg.1", "chassis.pitch_inertia", "driveline.ratio"}
    for end in ("rear", "front"):
        wanted |= {f"{end}.tyre.{key}" for key in ("radius", "stiffness", "wheel_mass", "spin_inertia")}
        wanted |= {f"{end}.shock.damper.compression", f"{end}.shock.damper.rebound"}
        wanted |= {f"{end}.shock.springs.0.rate", f"{end}.shock.friction.sliding", f"{end}.housing.mass"}
        wanted |= {f"{end}.shock.extended_length", f"{end}.shock.stroke", f"{end}.housing.pitch_inertia"}
        for link in ("lower_link", "upper_link"):
            wanted |= {f"{end}.{link}.{pin}.{i}" for pin in ("chassis", "axle") for i in (0, 1)}
    assert wanted <= set(drawn.value)


def test_counted_values_are_exact(drawn: Drawn) -> None:
    """To the six digits that are written."""
    for key in drawn.value.keys() - set(loose_ends(drawn)):
        assert drawn.value[key] == pytest.approx(drawn.truth[key], rel=1e-6), key


def test_nineteen_of_twenty_keep_within_the_error(drawn: Drawn) -> None:
    least = int(stats.binom.ppf(CHANCE, DRAWS, INSIDE))
    short = {}
    for key in loose_ends(drawn):
        inside = int((abs(drawn.value[key] - drawn.truth[key]) <= drawn.error[key]).sum())
        if inside < least:
            short[key] = f"{inside} of {DRAWS}, at least {least}"
    assert not short


def test_all_values_together_keep_within_the_error(drawn: Drawn) -> None:
    """The share of all worked-out values of a sheet that lie within their errors, over 200 sheets."""
    worked = [key for key in loose_ends(drawn) if drawn.formulas[key] != "read"]
    inside = [abs(drawn.value[key] - drawn.truth[key]) <= drawn.error[key] for key in worked]
    share = np.mean(inside, axis=0)
    allowed = 4.0 * share.std(ddof=1) / np.sqrt(DRAWS)
    assert share.mean() == pytest.approx(INSIDE, abs=allowed)


def test_errors_are_as_large_as_the_scatter(drawn: Drawn) -> None:
    """The standard deviation of 200 values against half the stated error: neither boasting nor timid."""
    least, most = np.sqrt(stats.chi2.ppf([0.5 * CHANCE, 1.0 - 0.5 * CHANCE], DRAWS - 1) / (DRAWS - 1))
    wrong = {}
    for key in loose_ends(drawn):
        ratio = drawn.value[key].std(ddof=1) / np.sqrt(np.mean((0.5 * drawn.error[key]) ** 2))
        if not least < ratio < most:
            wrong[key] = f"{ratio:.2f} of the stated error, {least:.2f} to {most:.2f}"
    assert not wrong


def test_the_middle_of_many_worksheets_is_the_truth(drawn: Drawn) -> None:
    """A law that is wrong by more than its curvature explains shows here first."""
    allowed = 0.5 * stats.norm.isf(0.5 * CHANCE) / np.sqrt(DRAWS) + CURVED
    off = {}
    for key in loose_ends(drawn):
        bias = float(np.mean(drawn.value[key] - drawn.truth[key]) / np.mean(drawn.error[key]))
        if abs(bias) > allowed:
            off[key] = f"{bias:+.2f} of the error, at most {allowed:.2f}"
    assert not off


def test_a_fair_worksheet_contradicts_itself_seldom(drawn: Drawn) -> None:
    assert drawn.disagreed <= 0.1 * DRAWS


def test_a_list_of_five_readings_keeps_within_its_error() -> None:
    """Tilted five times, off by 1 deg of standard deviation each: Student's t makes 95 % of five readings
    (JCGM 100:2008, G.3); twice their deviation over sqrt(5) would make 88 %.
    """
    rng, inside = np.random.default_rng(14), 0
    for _ in range(DRAWS):
        read = [float(one) for one in rng.normal(45.0, 1.0, 5).round(3)]
        table = {"worksheet": 1, "name": "board", "rear": {"tyre": {"slides_at": read}}}
        one = derive(worksheet_of(table, Path("w.toml"))).entries["rear.tyre.peak_grip"]
        inside += abs(one.value - 1.0) <= one.error
    least, most = stats.binom.ppf([5e-4, 1.0 - 5e-4], DRAWS, 0.95)
    assert least <= inside <= most
    assert stats.binom.cdf(inside, DRAWS, 0.88) > 0.9


def fine(table: Any, share: float = 0.05) -> Any:
    """The same readings of finer instruments, their errors smaller by this share."""
    if isinstance(table, Shown):
        return table._replace(error=table.error * share)
    if isinstance(table, dict):
        return {key: fine(one, share) for key, one in table.items()}
    return [fine(one, share) for one in table] if isinstance(table, list) else table


def perfect(name: str) -> dict[str, tuple[float, float]]:
    """Value and truth of what is worked out from readings that are not off, of bodies that are boxes."""
    raw, sheet, _ = SHEETS[name]
    truth = dict(numbers(raw))
    table = written(fine(sheet(Known(raw), None)))
    entries = derive(worksheet_of(table, Path("w.toml"))).entries
    worked = {key: one for key, one in entries.items() if measured(key, one) and one.formula != "read"}
    return {key: (one.value, truth[key]) for key, one in worked.items()}


ROLLING = "tyre.rolling_resistance"


@pytest.mark.parametrize("name", SHEETS)
def test_perfect_readings_give_the_truth(name: str) -> None:
    """Within 1 %, far below what a bench shows: laws, not errors, are compared."""
    found = {key: both for key, both in perfect(name).items() if not key.endswith(ROLLING)}
    assert len(found) >= 15
    for key, (value, true) in found.items():
        assert value == pytest.approx(true, rel=0.01), key


def test_the_slope_on_which_wheels_roll_gives_their_drag() -> None:
    """Moments of a wheel: drag moment c N R against F R_e, so tan(slope) = c R/R_e, 2 to 3 % more than c."""
    for end in ("rear", "front"):
        value, true = perfect("by ruler")[f"{end}.{ROLLING}"]
        assert value == pytest.approx(true, rel=0.01)


@pytest.mark.parametrize("name", ["gully", "fell"])
def test_grip_is_stated_at_the_load_at_which_it_was_measured(name: str) -> None:
    """On the slope a tyre carries on average W cos(slope)/4. Where grip falls with load, as (N/N0)^-0.15, the
    grip and the load of the worksheet must be one point of that curve.
    """
    rig = Known(rig_file(name))
    grip, exponent, load = rig.wheels[0].grips[0], 0.15, 0.25 * rig.mass * G
    slope = rig.slides_at(grip, exponent, load)
    table = fine(by_ruler(rig, None))
    for end in ("rear", "front"):
        table[end]["tyre"]["slides_at"] = degrees(slope, 0.1)
    found = derive(worksheet_of(written(table), Path("w.toml"))).entries
    for end in ("rear", "front"):
        stated = found[f"{end}.tyre.grip_load"].value * 1e-3 * G
        true = grip * (stated / load) ** -exponent
        assert found[f"{end}.tyre.peak_grip"].value == pytest.approx(true, rel=0.02)


@pytest.mark.parametrize("released", [0.008, 0.009, 0.010, 0.011])
@pytest.mark.parametrize("end", ["rear", "front"])
def test_a_swing_does_not_ask_where_it_comes_to_rest(end: str, released: float) -> None:
    """Friction stops it up to F/k beside its middle, 0.3 mm and 0.5 mm here, which ways from turn to turn do
    not see: the mean of both ways comes out within a tenth of its error, however it is let go.
    """
    rig = Known(SHEETS["by camera"][0])
    table = by_ruler_and_swing(rig, end, released)
    entries = derive(worksheet_of(written(table), Path("w.toml"))).entries
    both = [entries[f"{end}.shock.damper.{way}"] for way in ("compression", "rebound")]
    assert 0.5 * sum(one.value for one in both) == pytest.approx(OIL, abs=0.1 * both[0].error)


@pytest.mark.parametrize("half", [False, True])
@pytest.mark.parametrize("end", ["rear", "front"])
def test_a_swing_parts_the_oil_of_both_ways_by_a_guess(end: str, half: bool) -> None:
    """Rebound half as much again as compression, within what the program guesses of shocks: the errors reach
    that far, and with one way timed the other follows.
    """
    raw = light_oil(rig_file("scree"))
    for name in ("rear", "front"):
        raw[name]["shock"]["damper"] = {"compression": 0.8 * OIL, "rebound": 1.2 * OIL}
    rig = Known(raw)
    table = by_ruler_and_swing(rig, end, 0.010, half)
    one, other = (f"{end}.shock.damper.{way}" for way in ("compression", "rebound"))
    entries = derive(worksheet_of(written(table), Path("w.toml"))).entries
    assert abs(entries[one].value - 0.8 * OIL) <= entries[one].error
    assert abs(entries[other].value - 1.2 * OIL) <= entries[other].error
    assert "GUESS" in entries[one].origin.name
    strut = rig.struts[("rear", "front").index(end)]
    table[end]["shock"]["sink"] = strut.moved((strut.friction + 0.05) / G, 0.02)
    entries = derive(worksheet_of(written(fine(table)), Path("w.toml"))).entries
    assert entries[one].value == pytest.approx(0.8 * OIL, rel=0.02)
    assert entries[other].value == pytest.approx(1.2 * OIL, rel=0.15 if half else 0.05)


def by_ruler_and_swing(rig: Known, end: str, released: float, half: bool = False) -> Raw:
    """A worksheet of one swing and what it needs."""
    i = ("rear", "front").index(end)
    shock: Raw = rig.struts[i].weighed()
    shock |= {"stroke": Shown(26, 0.3, "mm"), "decay": swinging(rig, i, released, half)}
    return {"worksheet": 1, "name": "one swing", end: {"shock": shock}}


class FreeWheels(Known):
    """A rig whose wheels do not turn with it as it swings."""

    def inertia(self) -> float:
        spins = (2e-6 * self.raw[end]["tyre"]["spin_inertia"] for end in ("rear", "front"))
        return super().inertia() - sum(spins)


def test_wheels_are_carried_along_by_the_rig_that_swings() -> None:
    """Were they not, the chassis would come out beyond its error: the comparison sees such a difference."""
    raw, sheet, _ = SHEETS["by pendulum"]
    off = []
    for kind in (Known, FreeWheels):
        one = derive(worksheet_of(written(sheet(kind(raw), None)), Path("w.toml"))).entries[
            "chassis.pitch_inertia"
        ]
        off.append(abs(one.value - raw["chassis"]["pitch_inertia"]) / one.error)
    assert off[0] < 0.1
    assert off[1] > 1.0
