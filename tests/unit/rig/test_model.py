"""What is needed to move a rig, taken over from another scenario of the same rig."""

import pytest

import simcore
from simcore.rig.model import build

GIVEN = simcore.load_scenario("scenarios/punchy_launch.toml")
OTHER_DRIVER = {"ground.slope": 31, "ground.grip": 80, "driver.torque": [[0.0, 0.0], [0.1, 44.0]]}
OTHER_RIG = {"rear.tyre.radius": 71.0}


@pytest.mark.parametrize(
    "changes", [OTHER_DRIVER, OTHER_RIG, OTHER_DRIVER | OTHER_RIG], ids=["driver", "rig", "both"]
)
def test_what_was_built_before_changes_nothing(changes) -> None:
    before, changed = build(GIVEN), GIVEN.changed(changes)
    kept = before.rigs.tobytes(), before.pieces.tobytes()
    fresh, like = build(changed), build(changed, before)
    assert like.rigs.tobytes() == fresh.rigs.tobytes() != before.rigs.tobytes()
    assert like.pieces.tobytes() == fresh.pieces.tobytes()
    assert (like.bench, like.twist) == (fresh.bench, fresh.twist)
    assert kept == (before.rigs.tobytes(), before.pieces.tobytes())


def test_a_rig_that_did_not_change_is_not_built_again() -> None:
    before = build(GIVEN)
    assert build(GIVEN.changed(OTHER_DRIVER), before).bench is before.bench
    assert build(GIVEN.changed(OTHER_RIG), before).bench is not before.bench
