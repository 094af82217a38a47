"""An axle cut free, from the saved parts of a run: forces by hand, sums by Newton's second law."""

import dataclasses
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from sparing import few

import simcore
from simcore.results.free_body import Force, FreeBody, Part, When, free_bodies, is_known, when_of
from simcore.results.headlines.links import axle_apart, does, links_of_cases, links_of_run
from simcore.results.run import Run
from simcore.rig.masses import static_pose

SCENARIOS = Path(__file__).parents[3] / "scenarios"
G = 9.80665e-3  # N a gram weighs


def saved(run: Run, folder: Path) -> Run:
    run.save(folder)
    again: Any = simcore.load(folder)
    assert again.trace is None
    return again  # type: ignore[no-any-return]


def cut(run: Run, when: When | None = None) -> dict[str, FreeBody]:
    tables = run.series, run.motion, run.outline, run.scenario
    return free_bodies(*tables, when or when_of(*tables, run.outcome))


@pytest.fixture(scope="module")
def creep(tmp_path_factory: pytest.TempPathFactory) -> Run:
    scenario = simcore.load_scenario(SCENARIOS / "link_layouts.toml").variant("crossed")
    return saved(simcore.simulate(scenario), tmp_path_factory.mktemp("creep"))


@pytest.fixture(scope="module")
def punch(tmp_path_factory: pytest.TempPathFactory) -> Run:
    scenario = simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed({"end.duration": 0.3})
    return saved(simcore.simulate(scenario), tmp_path_factory.mktemp("punch"))


def mounted(run: Run, kind: str) -> Run:
    """The same with a rear axle on an arm, or with its shocks on the lower link."""
    table = run.scenario.table
    rear = table["rig"]["rear"]
    if kind == "arm":
        rear = {key: value for key, value in rear.items() if not key.endswith("_link")}
        rear["arm"] = {"chassis": [118, 66], "mass": 40}
    else:
        shock = {key: value for key, value in rear["shock"].items() if key != "axle"}
        rear = rear | {"shock": shock | {"link": "lower", "fraction": 0.8, "extended_length": 118}}
    table["rig"]["rear"] = rear
    return simcore.simulate(type(run.scenario).model_validate(table))


def bodies_over_time(run: Run) -> list[dict[str, FreeBody]]:
    """Both axles at every instant but the first and the last two."""
    rows = np.arange(len(run.series))
    return [cut(run, When(rows == k, False, "")) for k in rows[2:-2]]


def impulse(run: Run, bodies: list[dict[str, FreeBody]], axle: str) -> tuple[Any, Any, float]:
    """Sum of all forces over time, change of momentum in the same time, and its largest gain on the way."""
    times = run.series["time_s"].to_numpy()
    pushed = np.trapezoid([body[axle].left for body in bodies], times[2:-2], axis=0)
    mass = static_pose(run.scenario.rig, "").axles[axle == "front"].mass
    speed = np.stack([np.gradient(run.motion[f"{axle}_axle_{k}_mm"].to_numpy(), times) for k in "xz"], axis=1)
    gained = 1e-3 * mass * (speed[-3] - speed[2])
    return pushed, gained, 1e-3 * mass * float(np.ptp(speed[2:-2], axis=0).max())


def test_in_a_steady_climb_the_arrows_close(creep: Run) -> None:
    # Newton's first law: constant speed, no sum left; within what is left of a swing in the mean
    for body in cut(creep).values():
        assert body.when.settled and body.when.words == "mean of the last 0.5 s"
        largest = max(force.size for force in body.forces)
        assert float(np.hypot(*body.left)) < 1e-4 * largest


def test_moments_about_the_wheel_centre_leave_the_rolling_resistance(creep: Run) -> None:
    # Free body of axle and wheels: rolling resistance is load * c_rr * R, by the file's 3 % of a load, the
    # thrust acts at R - d/3 below the centre (the tyre law's rolling radius) and not at the drawn foot
    for axle, body in cut(creep).items():
        own = getattr(creep.scenario.rig, axle)
        turning = sum(f.at[0] * f.vector[1] - f.at[1] * f.vector[0] for f in body.forces)
        load, thrust = body.of(Part.LOAD), body.of(Part.THRUST)
        assert load is not None and thrust is not None
        deflection = creep.series[f"{axle}_deflection_mm"].iloc[-1]
        wanted = -0.03 * load.size * 1e3 * own.tyre.radius
        turning += 2.0 / 3.0 * deflection * float(thrust.size)
        assert turning == pytest.approx(wanted, abs=0.05 * abs(wanted))


def test_in_a_punch_the_sum_is_what_the_axle_gains_in_momentum(punch: Run) -> None:
    # Newton's second law, integrated: impulse = m (v1 - v0); speeds from the saved places
    bodies = bodies_over_time(punch)
    for axle in ("rear", "front"):
        pushed, gained, most = impulse(punch, bodies, axle)
        np.testing.assert_allclose(pushed, gained, atol=0.01 * most)


@pytest.mark.parametrize("kind", few(["arm", "shock on the link"]))
def test_other_axles_close_too(creep: Run, kind: str) -> None:
    run = mounted(creep, kind)
    begins = dataclasses.replace(run, series=run.series[:200], motion=run.motion[:200])
    pushed, gained, most = impulse(begins, bodies_over_time(begins), "rear")
    np.testing.assert_allclose(pushed, gained, atol=0.01 * most)
    parts = {force.part for force in cut(run)["rear"].forces}
    links = {Part.ARM, Part.SHOCK} if kind == "arm" else {Part.LOWER, Part.UPPER}
    assert parts == links | {Part.SHAFT, Part.LOAD, Part.THRUST, Part.WEIGHT}


def test_forces_stand_where_and_as_the_rig_file_says(creep: Run) -> None:
    body = cut(creep)["rear"]
    rig, end = creep.scenario.rig, creep.series.iloc[-1]
    pins = []
    for part, link, name in (
        (Part.LOWER, rig.rear.lower_link, "rear_lower_link_N"),
        (Part.UPPER, rig.rear.upper_link, "rear_upper_link_N"),
    ):
        force = body.of(part)
        assert force is not None and link is not None
        pins.append((force.at, link.axle))
        assert force.push == pytest.approx(end[name], rel=1e-3)
        assert force.size == pytest.approx(abs(end[name]), rel=1e-3)
    (low, low_file), (high, high_file) = pins
    assert math.dist(low, high) == pytest.approx(1e3 * math.dist(low_file, high_file), abs=1e-3)
    weight = body.of(Part.WEIGHT)
    # housing, two wheels, half of two links, two shocks and both shafts, by the rig's file
    grams = 205 + 2 * 150 + 0.5 * (13 + 11 + 2 * 17 + 18)
    assert weight is not None and weight.size == pytest.approx(grams * G, rel=1e-6)
    assert weight.vector[0] == 0.0 and weight.vector[1] < 0.0


def test_a_run_that_does_not_settle_is_cut_at_its_decisive_instant(punch: Run) -> None:
    when = when_of(punch.series, punch.motion, punch.outline, punch.scenario, punch.outcome)
    assert not when.settled and when.rows.sum() == 1
    assert when.words.endswith(f"{punch.series['time_s'][when.rows].iloc[0]:.2f} s")


def test_a_run_saved_without_its_shafts_has_no_such_picture(creep: Run) -> None:
    rear = {key: value for key, value in creep.outline["rear_axle"].items() if key != "shaft_joints"}
    older = dataclasses.replace(creep, outline={**creep.outline, "rear_axle": rear})
    assert not is_known(older.outline) and is_known(creep.outline)
    with pytest.raises(ValueError, match="run it anew"):
        cut(older)


# --- what is said, from forces made by hand ---


def body_of(axle: str, lower: float, upper: float, load: float, settled: bool = True) -> FreeBody:
    """An axle whose links lie forward, with so many grams pushing on it."""
    forward = np.array([1.0, 0.0])
    links = [
        Force(part, np.zeros(2), -push * G * forward, forward)
        for part, push in ((Part.LOWER, lower), (Part.UPPER, upper))
    ]
    tyre = Force(Part.LOAD, np.zeros(2), np.array([0.0, load * G]), np.zeros(2))
    when = When(np.array([True]), settled, "then")
    return FreeBody(axle, when, [*links, tyre], 59.0, [], np.zeros((2, 2)))


def axles(lower: float, upper: float, front: float = 600.0, settled: bool = True) -> dict[str, FreeBody]:
    return {
        "rear": body_of("rear", lower, upper, 900.0, settled),
        "front": body_of("front", -50.0, 4.0, front, settled),
    }


def test_a_part_pushes_pulls_or_idles() -> None:
    body = body_of("rear", 1500.0, -700.0, 900.0)
    assert [does(force) for force in body.forces[:2]] == [
        "lower link pushes 1500 g",
        "upper link pulls 700 g",
    ]
    assert does(body_of("rear", 3.0, 1.0, 9.0).forces[0]) == "lower link idle"
    bent = Force(Part.LOWER, np.zeros(2), G * np.array([-60.0, -80.0]), np.array([1.0, 0.0]))  # 3 : 4 : 5
    assert does(bent) == "lower link 100 g (along it: pushes 60 g)"
    rear, front = links_of_run(axles(1500.0, -700.0)).split("; ")
    assert rear == "rear: lower link pushes 1500 g, upper link pulls 700 g"
    assert front == "front: lower link pulls 50 g, upper link idle"


def test_cases_are_told_by_what_all_links_do_and_where_most() -> None:
    cases = {"as given": axles(900.0, -500.0), "crossed": axles(1200.0, -800.0, front=618.0)}
    assert axle_apart(cases) == "rear"
    assert links_of_cases(cases, "rear") == (
        "Every rear lower link pushes (900 to 1200 g), every upper link pulls (500 to 800 g), "
        'most with "crossed"; front load differs by 18 g'
    )


def test_a_link_that_turns_its_force_round_is_named() -> None:
    cases = {"a": axles(900.0, -500.0), "b": axles(700.0, 300.0), "c": axles(800.0, -400.0)}
    assert links_of_cases(cases, "rear").startswith(
        "Every rear lower link pushes (700 to 900 g), upper link pulls in 2 of 3, "
        'pushes with "b" (up to 500 g), most with "a"; '
    )


def test_forces_at_other_instants_are_left_out_of_the_range() -> None:
    cases = {"a": axles(900.0, -500.0), "b": axles(700.0, -300.0), "c": axles(9000.0, 1.0, settled=False)}
    said = links_of_cases(cases, "rear")
    assert said.startswith(
        "With the 2 of 3 that run steadily at the end every rear lower link pushes (700 to"
    )
    assert "9000" not in said and said.endswith("; front load the same")
