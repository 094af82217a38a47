"""What would do a job that no change on a list does: more grip, more torque, less weight, by how much."""

from collections.abc import Callable, Iterator

from simcore.accounts.job import JobState
from simcore.errors import InputError
from simcore.files.relative import TIMES
from simcore.files.scenario import Scenario
from simcore.files.settings import Edit
from simcore.results.headlines.ranking import pull_of
from simcore.results.ranked import Would
from simcore.rig.masses import SIDES

FACTORS = (1.1, 1.25, 1.5, 2.0, 3.0)
FINER = 3  # halvings of the last step
LIGHTER = (0.9, 0.8, 0.67)
Job = Callable[[Scenario], JobState]


def what_would(scenario: Scenario, job: Job) -> list[Would]:
    """Search the least factor on grip, torque, both and weight with which the job is done.

    Parameters
    ----------
    scenario : whose job is not done
    job : runs a case and says whether its job is done

    Returns
    -------
    What was found; what is not in it was tried up to the last factor and does not do the job, or cannot be.
    """
    return [
        Would(what, factor)
        for what, paths, factors in _levers(scenario)
        if (factor := _least(scenario, paths, factors, job)) is not None
    ]


def _levers(scenario: Scenario) -> Iterator[tuple[str, list[str], tuple[float, ...]]]:
    """What is tried, by which numbers and factors."""
    grips = [f"{axle}.tyre.{kind}" for axle in SIDES for kind in ("peak_grip", "sliding_grip")]
    yield "grip", grips, FACTORS
    driver, named = scenario.driver, pull_of(scenario)
    rows = range(len(driver.torque)) if driver.control == "torque" else ()
    pull = [f"driver.torque.{k}.1" for k in rows] or ["motor.voltage"]
    yield named, pull, FACTORS
    yield f"grip and {named} together", [*grips, *pull], FACTORS
    parts = [f"parts.{k}.mass" for k in range(len(scenario.rig.parts))]
    yield "weight of chassis and parts", ["chassis.mass", *parts], LIGHTER


def _least(scenario: Scenario, paths: list[str], factors: tuple[float, ...], job: Job) -> float | None:
    """The factor nearest to 1 that was found to do the job, None if none does."""
    below = 1.0
    for factor in factors:
        if _does(scenario, paths, factor, job):
            break
        below = factor
    else:
        return None
    for _ in range(FINER):
        middle = round(0.5 * (below + factor), 3)
        if _does(scenario, paths, middle, job):
            factor = middle
        else:
            below = middle
    return factor


def _does(scenario: Scenario, paths: list[str], factor: float, job: Job) -> bool:
    try:
        case = scenario.edited([Edit(f"{path} {TIMES}", factor) for path in paths])
    except InputError:
        return False
    return job(case) is JobState.DONE
