"""Whether the goal of a scenario speaks of metrics that there will be."""

from simcore.errors import InputError, InputIssue
from simcore.files.goal import Goal
from simcore.files.scenario import Scenario
from simcore.files.words import bare, nearest
from simcore.results.catalogue import CATALOGUE, NUMBERS
from simcore.results.effect import EFFECTS

OF_SUPPORT = frozenset(effect.name for effect in EFFECTS)


def goal_of_one_run(goal: Goal) -> Goal:
    """The goal without its bounds on effects of support, which only two runs together have."""
    kept = {
        key: {metric: bound for metric, bound in getattr(goal, key).items() if metric not in OF_SUPPORT}
        for key in ("at_least", "at_most")
    }
    return goal.model_copy(update=kept)


def check_goal(scenario: Scenario) -> None:
    """Refuse a goal that bounds what is no metric, or is none of these runs.

    Raises
    ------
    InputError
        naming each of them.
    """
    goal, issues = scenario.goal, []
    for key, bounds in (("at_least", goal.at_least), ("at_most", goal.at_most)):
        for metric in bounds:
            where = f"goal.{key}.{bare(metric)}"
            if metric not in NUMBERS:
                got = "a metric of codes" if metric in CATALOGUE else "an unknown metric"
                must_be = "a metric with a number, as listed in plots/README.md"
                issues.append(InputIssue(str(scenario.path), where, got, must_be, nearest(metric, NUMBERS)))
            elif metric in OF_SUPPORT and not scenario.without_support:
                must_be = "beside without_support = true, which such metrics need"
                issues.append(InputIssue(str(scenario.path), where, "an effect of support", must_be))
    if issues:
        raise InputError(issues)
