"""The side view: places against the geometry of the file, worked out here a second way."""

import math
from pathlib import Path

import numpy as np
import pytest

from simcore.files import load_scenario
from simcore.rig.masses import static_pose
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.studies.live.answer import First, Live
from simcore.studies.live.handles import Hold, handles
from simcore.views.live.side import side_view

SHIPPED = Path(__file__).parents[4] / "scenarios"
NAMES = ["launch_vs_creep", "ledge", "trail_launch", "ice_patch"]


def drawn(name: str, settings: dict[str, object] | None = None) -> tuple[First, dict]:
    live = Live(SHIPPED / f"{name}.toml")
    answer = live.first(live.cases[-1], settings or {})
    wanted = {"start": answer.stages[0], "decisive": answer.decisive}
    return answer, side_view(answer.watched, answer.scenario, wanted)


def placed(frame: dict, at: tuple[float, float]) -> np.ndarray:
    """Where a place of the rig file is, as a page works it out from a body's frame."""
    (x, z), c, s = np.subtract(at, frame["bench"]), math.cos(frame["turn"]), math.sin(frame["turn"])
    return np.add(frame["at"], [c * x - s * z, s * x + c * z])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("when", ["start", "decisive"])
def test_handles_lie_on_what_they_move(name: str, when: str) -> None:
    answer, side = drawn(name)
    drawing = side[when]
    ends = [end for axle in drawing["axles"] for rod in (*axle["links"], axle["shock"]) for end in rod]
    parts = {part["name"]: part["at"] for part in drawing["parts"]}
    for one in handles(answer.scenario):
        at = placed(drawing["frames"][one.body], one.at)
        if one.hold is not Hold.MASS:
            assert min(math.dist(at, end) for end in ends) < 0.02
        elif one.label in parts:
            assert math.dist(at, parts[one.label]) < 0.02


@pytest.mark.parametrize("name", NAMES)
def test_links_keep_their_length_and_meet_in_the_instant_centre(name: str) -> None:
    """Aronhold and Kennedy: the lines of the links meet where the axle turns against the chassis."""
    answer, side = drawn(name)
    for drawing in (side["start"], side["decisive"]):
        for axle in drawing["axles"]:
            stated = getattr(answer.scenario.rig, axle["name"])
            for rod, link in zip(axle["links"], (stated.lower_link, stated.upper_link), strict=True):
                assert math.dist(*rod) == pytest.approx(1e3 * math.dist(link.chassis, link.axle), abs=0.03)
            (a, b), (c, d) = (np.array(rod) for rod in axle["links"])
            along = np.linalg.solve(np.column_stack([b - a, c - d]), c - a)[0]
            meet = a + along * (b - a)
            assert math.dist(meet, axle["centre"]) < 1e-3 * math.dist(meet, axle["hub"]) + 0.5
            below = np.array(axle["centre"]) - axle["contact"]
            assert np.cross([*below, 0.0], [*axle["along"], 0.0])[2] == pytest.approx(
                0.0, abs=0.1 * math.hypot(*below)
            )


def test_the_push_points_inward_and_is_a_direction() -> None:
    _, side = drawn("launch_vs_creep")
    for axle, sign in zip(side["start"]["axles"], (1.0, -1.0), strict=True):
        assert math.hypot(*axle["along"]) == pytest.approx(1.0, abs=1e-4)
        assert sign * axle["along"][0] > 0.0


def test_the_centre_of_mass_is_that_of_the_file() -> None:
    """Standing on the slope nearly as on the bench: shares of the weight give its place along the ground."""
    answer, side = drawn("launch_vs_creep", {"ground.slope": 0})
    cg, hub = np.array(side["start"]["cg"]), np.array(side["start"]["axles"][0]["hub"])
    whole = static_pose(answer.scenario.rig, "").whole
    assert cg[0] - hub[0] == pytest.approx(1e3 * whole.x, abs=1.0)
    assert side["start"]["axles"][0]["contact"][1] == pytest.approx(0.0, abs=0.01)


def test_wheels_stand_on_the_ground_and_the_ground_is_the_course() -> None:
    _, side = drawn("ledge")
    heights = [z for _, z in side["ground"]]
    assert max(heights) - min(heights) == pytest.approx(60.0)
    for axle in side["start"]["axles"]:
        assert math.dist(axle["hub"], axle["contact"]) <= axle["radius"]
    assert not side["ice"]
    assert drawn("ice_patch")[1]["ice"]


def test_an_arm_and_parallel_links() -> None:
    scenario = load_scenario(SHIPPED / "launch_vs_creep.toml").changed({"end.duration": 0.5})
    arm = scenario.changed(
        {f"rear.{link}": "none" for link in ("lower_link", "upper_link")}
        | {"rear.arm": {"chassis": [118, 66]}}
    )
    level = scenario.changed({"rear.upper_link.chassis": [102, 92], "rear.upper_link.axle": [-4, 72]})
    for case, pins in ((arm, 1), (level, 2)):
        trace = integrate(case, build(case))
        stage = First("", case, trace, {}).stages[0]
        rear = side_view(trace.rows(trace.watched), case, {"start": stage})["start"]["axles"][0]
        assert len(rear["links"]) == pins and rear["arm"] is (pins == 1)
        if pins == 1:
            assert math.dist(rear["links"][0][0], rear["centre"]) < 0.05
        else:
            assert rear["centre"] is None
