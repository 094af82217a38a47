"""Trials with invented numbers, never measured: a plan without its search, and runs as if typed."""

import csv
import io
from functools import cache
from pathlib import Path

import numpy as np

from simcore.files import Scenario, load_scenario
from simcore.outdoors.field_trial import FieldTrial
from simcore.outdoors.findings import findings
from simcore.outdoors.key import Key, Plan
from simcore.outdoors.measure import Measure, Prediction
from simcore.outdoors.power import Chance, Expected, Size
from simcore.outdoors.results_file import FIELDS, TypedRun, blank_results
from simcore.outdoors.schedule import code_words, schedule

SHIPPED = Path(__file__).parents[1] / "scenarios" / "raised_mount.toml"
BASE, CHANGED = "as it is", "10 mm higher"
SLOPE, CLIMBED = Measure("steepest slope", "deg"), Measure("climbed", "yes/no")


@cache
def question() -> Scenario:
    """The scenario whose variant is tried."""
    return load_scenario(SHIPPED)


def key_of(
    pairs: int = 12,
    drivers: int = 2,
    measure: Measure = SLOPE,
    predicted: Prediction | None = None,
    seed: int = 3,
) -> Key:
    """A key, with a size that was not searched."""
    expects = predicted or (Prediction(35.0) if measure.yes_no else Prediction(1.7, 0.2))
    expected = Expected(measure, expects, 40.0 if measure.yes_no else 1.5)
    size = Size(expected, 0.8, Chance(pairs, 0.82, 0.01))
    draws = np.random.default_rng(seed)
    words = code_words([BASE, CHANGED, measure.name], draws)
    names = tuple(f"driver {k + 1}" for k in range(drivers))
    plan = Plan(BASE, CHANGED, words, size, names, schedule(pairs, names, draws), seed)
    return Key(question(), plan)


def driven(key: Key, effect: float, scatter: float, knew: float = 0.5, seed: int = 1) -> tuple[TypedRun, ...]:
    """Runs as typed: the change does `effect`, and a share of the guesses is right."""
    draws = np.random.default_rng(seed)
    typed = []
    for run in key.plan.runs:
        outcome = 38.0 + effect * run.changed + scatter * draws.standard_normal()
        if key.plan.measure.yes_no:
            outcome = float(draws.random() < 0.4 + effect * run.changed)
        right = draws.random() < knew
        truth = 2 if run.changed else 1
        guess = 0 if run.run % 2 else truth if right else 3 - truth
        noted = (
            14.0 + 0.2 * run.run,
            "dry",
            "clean" if run.run < 12 else "dusty",
            7.9 - 0.01 * (run.run % 5),
        )
        typed.append(TypedRun(run.run, run.driver, key.plan.word(run), outcome, *noted, guess))
    return tuple(typed)


def result_of(key: Key, runs: tuple[TypedRun, ...]) -> FieldTrial:
    """What the runs show."""
    return FieldTrial(key.scenario, key.plan, runs, findings(key.plan, runs))


def trial(effect: float = 1.7, scatter: float = 1.5, knew: float = 0.5, seed: int = 1) -> FieldTrial:
    """A whole trial of a number."""
    key = key_of()
    return result_of(key, driven(key, effect, scatter, knew, seed))


def climbed_or_not() -> FieldTrial:
    """A whole trial of yes or no, one pair left out."""
    key = key_of(24, 1, CLIMBED)
    runs = list(driven(key, 0.5, 0.0))
    runs[8] = TypedRun(9, runs[8].driver, runs[8].word, 1.0, left_out="radio glitch")
    return result_of(key, tuple(runs))


def typed_file(key: Key, runs: tuple[TypedRun, ...]) -> str:
    """The results file with runs typed in."""
    blank = blank_results(key).splitlines()
    head = [line for line in blank if line.startswith("#")]
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(FIELDS)
    guesses = {0: "", 1: "first", 2: "second"}
    pairs = {run.run: run.pair for run in key.plan.runs}
    for run in runs:
        outcome = "" if run.outcome is None else run.outcome
        if key.plan.measure.yes_no and run.outcome is not None:
            outcome = "yes" if run.outcome else "no"
        noted = (run.temperature, run.dust, run.tyres, run.battery, guesses[run.guess], run.left_out, "")
        rows.writerow([run.run, pairs[run.run], run.driver, run.word, outcome, *noted])
    return "\n".join(["# invented numbers, never measured", *head]) + "\n" + text.getvalue()
