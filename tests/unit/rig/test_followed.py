"""What is remembered of axles whose links follow the shock: of this shape alone, whatever else changes."""

from pathlib import Path

import pytest

from simcore.errors import InputError
from simcore.files import load_scenario
from simcore.rig import followed, model
from simcore.rig.linkage_range import follow
from simcore.rig.model import build

SCENARIO = load_scenario(Path(__file__).parents[3] / "scenarios" / "launch_vs_creep.toml")


@pytest.fixture
def walked(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Sides whose links were gone through, on an empty memory."""
    sides: list[int] = []

    def watched(rigs, placed, side, ride, end):  # type: ignore[no-untyped-def]
        sides.append(side)
        return follow(rigs, placed, side, ride, end)

    monkeypatch.setattr(followed, "follow", watched)
    followed._KNOWN.clear()
    yield sides
    followed._KNOWN.clear()


def test_only_an_axle_of_another_shape_is_gone_through_again(walked: list[int]) -> None:
    build(SCENARIO)
    assert walked == [0, 0, 1, 1]  # to both ends
    for other in ({"chassis.mass": 400}, {"ground.slope": 5}, {"front.shock.springs.0.rate": 0.2}):
        build(SCENARIO.changed(other))
    assert len(walked) == 4
    build(SCENARIO.changed({"front.upper_link.axle.1": 87}))
    assert walked[4:] == [1, 1]
    build(SCENARIO)
    assert len(walked) == 6


def test_every_number_of_the_shape_counts(walked: list[int]) -> None:
    build(SCENARIO)
    for path in (
        "lower_link.chassis.0",
        "lower_link.axle.1",
        "shock.chassis.0",
        "shock.axle.1",
        "shock.stroke",
    ):
        before = len(walked)
        value = SCENARIO.changed({}).raw["rig"]["rear"]
        for step in path.split("."):
            value = value[int(step) if step.isdigit() else step]
        build(SCENARIO.changed({f"rear.{path}": value + 0.5}))
        assert walked[before:] == [0, 0]


def test_links_that_lock_are_refused_each_time_with_the_same_words(walked: list[int]) -> None:
    locked = {"rear.upper_link.axle.0": 85, "rear.upper_link.axle.1": 90}
    said = []
    for mass in (300, 340):
        with pytest.raises(InputError) as error:
            build(SCENARIO.changed({**locked, "chassis.mass": mass}))
        said.append(str(error.value))
    assert said[0] == said[1] and "rear" in said[0]


def test_the_memory_is_bounded(walked: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(followed, "REMEMBERED", 3)
    for k in range(5):
        build(SCENARIO.changed({"rear.upper_link.axle.1": 86 + 0.1 * k}))
        assert len(followed._KNOWN) <= 3
    assert model.links_follow is followed.links_follow
