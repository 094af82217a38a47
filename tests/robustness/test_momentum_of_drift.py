"""What the links' numerical drift may do to angular momentum: nothing.

A link pushes along the line through both of its pins, drifted or not, so its two ends cancel. The two sides
of a pin cancel only if its force acts on both bodies at one place; a force F at places that have drifted
apart by g is a couple g F that no body exerts.
"""

from pathlib import Path

import numpy as np
import pytest

import simcore

SCENARIO = Path(__file__).parents[2] / "scenarios" / "punchy_launch.toml"
LOOSE = {"solver.relative": 1e-4, "solver.absolute": 1e-4, "solver.max_step": 0.02, "end.duration": 0.5}
ARMS = {
    f"{side}.{key}": value
    for side, pin in (("rear", [118, 66]), ("front", [197, 70]))
    for key, value in (("lower_link", "none"), ("upper_link", "none"), ("arm", {"chassis": pin}))
}


@pytest.mark.parametrize("located", [{}, ARMS], ids=["links", "arms"])
def test_drift_takes_no_part_in_the_balance_of_moments(located):
    run = simcore.simulate(simcore.load_scenario(SCENARIO).changed(LOOSE | located))
    assert np.max(run.audit.drift) > 1e-10  # m; at pins apart by that, 10 N make 1e-9 of couple per N*m
    assert np.max(run.audit.momentum) < 1e-12
