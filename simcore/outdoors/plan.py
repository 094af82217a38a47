"""Plans a trial: how many pairs, in which order, under which words; and its files."""

import math
import secrets
from pathlib import Path

import numpy as np

from simcore.errors import InputError, InputIssue
from simcore.files import Scenario
from simcore.outdoors.key import Key, Plan
from simcore.outdoors.measure import Measure, Prediction
from simcore.outdoors.paired import LEAST_PAIRS
from simcore.outdoors.power import LEAST_POWER, MOST_POWER, MOST_RUNS, Chance, Expected, Size, sized
from simcore.outdoors.schedule import code_words, schedule
from simcore.units import show

KEY, RESULTS, DRIVER, MECHANIC = "key.toml", "results.csv", "for_the_driver.html", "for_the_mechanic.html"
FILES = (MECHANIC, DRIVER, RESULTS, KEY)


def expected_of(
    measure: Measure, predicted: Prediction, scatter: float | None, usual: float | None
) -> Expected:
    """What is expected of the runs, from what was typed.

    Raises
    ------
    InputError
        When what it takes for this measure is missing, or does not go with it.
    """
    issues = []
    if measure.yes_no:
        if scatter is not None:
            must_be = "left out: of yes or no it follows from --usual"
            issues.append(InputIssue("--scatter", "", show(scatter, "%"), must_be))
        if usual is None or not 0.0 <= usual <= 100.0 or not 0.0 <= usual + predicted.effect <= 100.0:
            got = "nothing" if usual is None else show(usual, "%")
            must_be = (
                "how many of 100 runs say yes without the change, as --usual 50; 0 to 100, with --effect too"
            )
            issues.append(InputIssue("--usual", "", got, must_be))
    else:
        if usual is not None:
            issues.append(
                InputIssue("--usual", "", show(usual, "%"), "left out: it is for what is yes or no")
            )
        if scatter is None or not scatter > 0.0:
            got = "nothing" if scatter is None else show(scatter, measure.unit)
            typed = f'--scatter "1.5 {measure.unit}"'
            must_be = f"how far runs of one set-up lie apart (standard deviation), above 0, as {typed}"
            issues.append(InputIssue("--scatter", "", got, must_be))
    if issues:
        raise InputError(issues)
    own = usual if measure.yes_no else scatter
    return Expected(measure, predicted, float(own or 0.0))


def set_ups(scenario: Scenario, variant: str | None) -> tuple[str, str]:
    """Names of the base and of the variant that is tried.

    Raises
    ------
    InputError
        When there is no such variant, or several and none was chosen.
    """
    base, *variants = scenario.cases()
    file = str(scenario.path)
    if not variants:
        raise InputError([InputIssue(file, "variants", "none", "the change to be tried, as a variant")])
    if variant is None and len(variants) == 1:
        return base, variants[0]
    if variant not in variants:
        got = "nothing" if variant is None else show(variant)
        raise InputError([InputIssue("--variant", "", got, f"one of {', '.join(variants)}")])
    return base, str(variant)


def planned(
    scenario: Scenario,
    expected: Expected,
    variant: str | None = None,
    drivers: int = 1,
    power: float = 0.8,
    pairs: int | None = None,
    most: int = MOST_RUNS,
    seed: int | None = None,
) -> Key | Size:
    """Plan a trial of a variant against the base.

    Parameters
    ----------
    scenario : with the variant
    expected : of the runs
    variant : the change that is tried; may be left out where there is one alone
    drivers : 1 or 2
    power : share of such trials that shall show the effect
    pairs : of runs; None: as many as it takes
    most : runs
    seed : of what is drawn; None: from the system's entropy

    Returns
    -------
    The key with the plan in it; or, where it takes more than `most` runs, what that says.

    Raises
    ------
    InputError
        When the set-ups are not there, or such a trial would tell nothing.
    """
    base, changed = set_ups(scenario, variant)
    if not LEAST_POWER <= power <= MOST_POWER:
        must_be = (
            f"from {LEAST_POWER:g} to {MOST_POWER:g}, as 0.8: a trial that would rather miss its effect than "
            "show it tells nothing by not showing it"
        )
        raise InputError([InputIssue("--power", "", show(power), must_be)])
    step = 2 * drivers
    if pairs is None:
        size = sized(expected, power, step, most)
    else:
        if pairs < LEAST_PAIRS or pairs % step:
            least = step * math.ceil(LEAST_PAIRS / step)
            must_be = f"a multiple of {step}, from {least} on, so that orders and drivers are balanced"
            raise InputError([InputIssue("--pairs", "", show(pairs), must_be)])
        size = Size(expected, power, expected.chance(pairs), most)
    if size.chance is None:
        return size
    names = tuple(f"driver {k + 1}" for k in range(drivers))
    drawn_from = secrets.randbits(48) if seed is None else seed
    draws = np.random.default_rng(drawn_from)
    words = code_words([base, changed, expected.measure.name, scenario.title], draws)
    runs = schedule(size.chance.pairs, names, draws)
    return Key(scenario, Plan(base, changed, words, size, names, runs, drawn_from))


def at_least(size: Size) -> Chance | None:
    """Chance of showing the effect where it is as small as its prediction allows.

    None where no error was stated, or one that reaches to no effect: of that there is nothing to show.
    """
    expected, chance = size.expected, size.chance
    low, high = expected.predicted.ends
    if chance is None or low == high or expected.predicted.lost:
        return None
    small = low if expected.predicted.effect > 0.0 else high
    return expected.chance(chance.pairs, small)


def check_free(folder: Path) -> None:
    """Refuse a folder with files of a trial: results that were typed in would be lost.

    Raises
    ------
    InputError
        saying which.
    """
    there = [name for name in FILES if (folder / name).exists()]
    if there:
        got = f"a folder with {', '.join(there)} of an earlier plan in it"
        raise InputError([InputIssue(str(folder), "--out", got, "a folder without them: --out DIR")])
