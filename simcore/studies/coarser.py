"""The same run integrated less finely: for answers while the hand moves, and for draws of bench errors."""

from simcore.files.scenario import Scenario

IN_A_DRAW = 10.0
"""Times the tolerances; of 24 draws of two shipped scenarios no metric was off by more than a fiftieth of its
scatter, but how far the pitch still swings, which hangs on where its last part begins."""
UNDER_THE_HAND = 100.0
"""Likewise; of 241 changes 99 in 100 were off by less than 0.011 deg and 0.03 mm."""
LOOSEST = 1e-5


def coarser(scenario: Scenario, times: float) -> Scenario:
    """Give a scenario with tolerances so many times as wide, but not above `LOOSEST`."""
    own = scenario.solver
    wider = {
        key: max(value, min(times * value, LOOSEST))
        for key, value in (("relative", own.relative), ("absolute", own.absolute))
    }
    return scenario.model_copy(update={"solver": own.model_copy(update=wider)})
