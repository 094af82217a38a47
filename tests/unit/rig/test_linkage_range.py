"""Links that follow their shock, and links that do not."""

import math
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import root
from tries import tries

import simcore
from simcore.compiled import LEDGER, blank
from simcore.rig.linkage_range import follow, follows, residual, ride_travel
from simcore.rig.masses import static_pose
from simcore.rig.model import build
from simcore.rig.preload import bench_state
from simcore.rig.records import fill_rig

SCENARIO = Path(__file__).parents[3] / "scenarios" / "slow_creep.toml"


def test_bench_position_closes_exactly() -> None:
    model = build(simcore.load_scenario(SCENARIO))
    placed = bench_state(model.bench).reshape(1)
    for side in range(2):
        errors = residual(np.ones(3), side, 0.0, placed, model.rigs, blank(LEDGER))
        assert errors[:2] == pytest.approx(0.0, abs=1e-12)
        mounts = (39.0, 88.0)  # mm between the mounts of the shipped rig, read off its file
        assert errors[2] == pytest.approx(106.0 - math.hypot(*mounts), abs=1e-9)


SHORT = {
    "rear upper, extended": {"rear.upper_link.chassis": [10, 95]},
    "rear upper, half as long": {"rear.upper_link.chassis": [4, 95]},
    "front upper, long stroke": {
        "front.shock.stroke": 60,
        "front.shock.extended_length": 130,
        "front.upper_link.chassis": [292, 92],
    },
    "rear lower, compressed": {
        "rear.shock.stroke": 80,
        "rear.shock.extended_length": 106,
        "rear.lower_link.chassis": [35, 60],
    },
    "shock on the lower link": {
        "rear.shock.axle": "none",
        "rear.shock.link": "lower",
        "rear.shock.fraction": 0.8,
        "rear.shock.extended_length": 125,
        "rear.shock.stroke": 40,
        "rear.upper_link.chassis": [10, 92],
    },
}
MESSAGE = re.compile(
    r"rig\.(rear|front)\.(lower|upper)_link: got a link that (?:ends|reaches) ([\d.]+) mm (short of|past) "
    r"its axle pin with the shock fully (extended|compressed); it follows only to ([\d.]+) mm of travel"
)


def refused(changes: dict) -> list[tuple[str, ...]]:
    with pytest.raises(simcore.InputError) as caught:
        build(simcore.load_scenario(SCENARIO).changed(changes))
    return [MESSAGE.search(str(issue)).groups() for issue in caught.value.issues]


def gaps(changes: dict, end: str, wrong: str, travel: float) -> np.ndarray:
    """How far the axle pin of one link is from where its link ends, mm, over all turns of the axle that leave
    the other link and a shock travel as they are; the axle is placed where two circles meet.

    Places as in the files, on the bench: axle pins turn about the origin and shift, chassis pins stay. A
    mount at a share f of a link lies on a circle about the shock's upper mount, so the link's axle pin lies
    on one of 1/f the size.
    """
    table = tomllib.loads(simcore.load_scenario(SCENARIO).changed(changes).to_toml())["rig"][end]
    links = {name: [np.array(table[f"{name}_link"][at]) for at in ("chassis", "axle")] for name in SIDES}
    shock, (fixed, pin) = table["shock"], links["upper" if wrong == "lower" else "lower"]
    hub, pivot, f = np.array(shock.get("axle", [0, 0])), np.array(shock["chassis"]), 1.0
    if "link" in shock:
        (top, hub), f = links[shock["link"]], shock["fraction"]
        pivot = (pivot - (1 - f) * top) / f
    radius, length = (shock["extended_length"] - travel) / f, np.linalg.norm(fixed - pin)
    turns = np.radians(np.linspace(-180, 180, 8001))
    c, d = np.cos(turns), np.sin(turns)

    def turned(place: np.ndarray) -> np.ndarray:
        return np.stack([c * place[0] - d * place[1], d * place[0] + c * place[1]], axis=1)

    one, other = fixed - turned(pin), pivot - turned(hub)
    between = np.linalg.norm(other - one, axis=1)
    along = (between**2 + length**2 - radius**2) / (2 * between)
    meet = along**2 <= length**2
    u = (other - one) / between[:, None]
    aside = np.sqrt(np.where(meet, length**2 - along**2, 0.0))
    across = aside[:, None] * np.stack([-u[:, 1], u[:, 0]], axis=1)
    chassis, axle = links[wrong]
    ends = [turned(axle) + one + along[:, None] * u + way * across for way in (1.0, -1.0)]
    reaches = [np.linalg.norm(end - chassis, axis=1)[meet] for end in ends]
    return np.concatenate(reaches) - np.linalg.norm(axle - chassis)


SIDES = ("lower", "upper")


@pytest.mark.parametrize("changes", SHORT.values(), ids=SHORT)
def test_the_millimetres_that_a_link_misses_by_are_those_of_plane_geometry(changes: dict) -> None:
    for end, link, by, way, where, reached in refused(changes):
        table = tomllib.loads(simcore.load_scenario(SCENARIO).changed(changes).to_toml())["rig"][end]
        stroke = table["shock"]["stroke"]
        travel, inwards = (0.0, 1.0) if where == "extended" else (stroke, -1.0)
        gap = gaps(changes, end, link, travel)
        nearest = np.min(gap) if way == "short of" else -np.max(gap)
        assert nearest == pytest.approx(float(by), abs=0.06)
        assert np.min(gaps(changes, end, link, float(reached) + 0.1 * inwards)) < 0.0
        assert np.min(gaps(changes, end, link, float(reached) - 0.15 * inwards)) > 0.0


@pytest.mark.parametrize("changes", SHORT.values(), ids=SHORT)
def test_a_link_that_much_longer_closes_and_a_little_less_does_not(changes: dict) -> None:
    scenario = simcore.load_scenario(SCENARIO).changed(changes)
    bench = static_pose(scenario.rig, "x")
    placed = bench_state(bench).reshape(1)
    for end, link, by, way, where, _ in refused(changes):
        side, sign = ("rear", "front").index(end), 1.0 if way == "short of" else -1.0
        for share, closes in ((0.97, False), (1.03, True)):
            rigs = fill_rig(scenario, bench)
            ride = ride_travel(rigs, placed, side)
            rigs[0].axle[side].link[SIDES.index(link)].length += sign * share * float(by) * 1e-3
            to = 0.0 if where == "extended" else float(rigs[0].axle[side].shock.stroke)
            start = root(residual, np.ones(3), args=(side, ride, placed, rigs, blank(LEDGER))).x
            assert (follow(rigs, placed, side, ride, to, start)[0] == to) is closes


@pytest.mark.parametrize("changes", SHORT.values(), ids=SHORT)
def test_with_the_stroke_that_is_named_the_rig_can_be_built(changes: dict) -> None:
    scenario = simcore.load_scenario(SCENARIO).changed(changes)
    with pytest.raises(simcore.InputError) as caught:
        build(scenario)
    for issue in caught.value.issues:
        end = issue.key.split(".")[1]
        named = re.findall(r"(extended_length|stroke) = ([\d.]+)", issue.must_be)
        scenario = scenario.changed({f"{end}.shock.{key}": float(value) for key, value in named})
    build(scenario)


def test_links_that_are_both_too_short_name_no_link() -> None:
    short = {"rear.lower_link.chassis": [20, 66], "rear.upper_link.chassis": [10, 92]}
    with pytest.raises(
        simcore.InputError, match=r"rig\.rear: got a linkage that cannot close with the shock"
    ):
        build(simcore.load_scenario(SCENARIO).changed(short))


def test_arm_always_follows() -> None:
    arm = {"rear.lower_link": "none", "rear.upper_link": "none", "rear.arm": {"chassis": [118, 66]}}
    build(simcore.load_scenario(SCENARIO).changed(arm))


@tries(60, 1000)
def test_what_plain_iteration_follows_the_root_finder_follows_too(count: int) -> None:
    rng, said = np.random.default_rng(7), []
    scenario = simcore.load_scenario(SCENARIO)
    table = tomllib.loads(scenario.to_toml())["rig"]
    for _ in range(count):
        shifts = {}
        for side in ("rear", "front"):
            for place in ("lower_link.chassis", "lower_link.axle", "upper_link.chassis", "upper_link.axle"):
                link, pin = place.split(".")
                shifts |= {
                    f"{side}.{place}.{k}": table[side][link][pin][k] + rng.normal(0.0, 8.0) for k in (0, 1)
                }
        changed = scenario.changed(shifts)
        bench = static_pose(changed.rig, "rig")
        rigs, placed = fill_rig(changed, bench), bench_state(bench).reshape(1)
        for side in range(2):
            ride, stroke = ride_travel(rigs, placed, side), float(rigs[0].axle[side].shock.stroke)
            for end in (0.0, stroke):
                plain = follows(rigs, placed, blank(LEDGER), side, ride, end)
                said.append(plain)
                assert not plain or follow(rigs, placed, side, ride, end)[0] == end
    assert 0.3 < np.mean(said) < 1.0  # else it says nothing, or is never in doubt
