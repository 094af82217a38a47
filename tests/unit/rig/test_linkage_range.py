"""Links that follow their shock, and links that do not."""

import math
from pathlib import Path

import numpy as np
import pytest

import simcore
from simcore.compiled import LEDGER, blank
from simcore.rig.linkage_range import residual
from simcore.rig.model import build
from simcore.rig.preload import bench_state

SCENARIO = Path(__file__).parents[3] / "scenarios" / "slow_creep.toml"


def test_bench_position_closes_exactly() -> None:
    model = build(simcore.load_scenario(SCENARIO))
    placed = bench_state(model.bench).reshape(1)
    for side in range(2):
        errors = residual(np.ones(3), side, 0.0, placed, model.rigs, blank(LEDGER))
        assert errors[:2] == pytest.approx(0.0, abs=1e-12)
        mounts = (39.0, 88.0)  # mm between the mounts of the shipped rig, read off its file
        assert errors[2] == pytest.approx(106.0 - math.hypot(*mounts), abs=1e-9)


def test_short_upper_link_that_swings_out_of_reach_is_refused() -> None:
    """A link of 12 mm cannot follow an axle that moves by more than twice its length."""
    short = {"rear.upper_link.chassis": [4, 95], "rear.upper_link.axle": [-4, 86]}
    with pytest.raises(simcore.InputError, match=r"rig\.rear: got links that cannot close at"):
        build(simcore.load_scenario(SCENARIO).changed(short))


def test_arm_always_follows() -> None:
    arm = {"rear.lower_link": "none", "rear.upper_link": "none", "rear.arm": {"chassis": [118, 66]}}
    build(simcore.load_scenario(SCENARIO).changed(arm))
