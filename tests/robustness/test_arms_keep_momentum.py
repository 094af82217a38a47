"""Axles on arms that are knocked about: the halves of a pin drift apart by nanometres, within their bound,
and the forces that hold them together still neither turn nor push the rig.
"""

import tomllib
from pathlib import Path

import pytest
from strategies import Raw, located_by_arm

from simcore import simulate
from simcore.files import scenario_of

RIGS = Path(__file__).parents[2] / "scenarios" / "rigs"
ROUNDING = 1e-12  # with forces that act at the two halves of a pin: 1e-9 to 1e-8


def dropped(name: str, arms: tuple[str, ...]) -> Raw:
    """A shipped rig, some of its axles on arms, driven fast over a drop."""
    rig = tomllib.loads((RIGS / f"{name}.toml").read_text(encoding="utf-8"))
    for end in arms:
        located_by_arm(rig[end])
    return {
        "title": "off a ledge",
        "rig": rig,
        "ground": {"pieces": [{"length": 380}, {"ledge": -150}, {"length": 1000, "slope": -20}]},
        "driver": {"control": "speed", "speed": [[0, 0], [0.1, 2.0]], "release": 0.0},
        "end": {"duration": 0.5},
    }


@pytest.mark.parametrize("name", ["gully", "fell"])
@pytest.mark.parametrize("arms", [("rear",), ("front",), ("rear", "front")], ids="+".join)
def test_a_drop_on_arms_keeps_momentum(name: str, arms: tuple[str, ...]) -> None:
    run = simulate(scenario_of(dropped(name, arms), "dropped.toml"))
    assert run.audit.drift.max() > 1e-10  # m: there is a gap for a moment to come from
    assert run.audit.momentum.max() < ROUNDING
    assert run.sound, run.audit.faults
