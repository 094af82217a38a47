"""A result of every kind and many sizes, light to make: one short run, copied with other numbers."""

import dataclasses
import math
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from invented_trials import climbed_or_not, trial
from worksheets_to_move import filled

import simcore
from simcore.accounts.job import JobState
from simcore.accounts.verdict import Cause, Failure, Verdict
from simcore.files import Scenario, with_axes
from simcore.files.worksheet import Worksheet
from simcore.logs import Log
from simcore.readings.guesses import AXLE, WHOLE
from simcore.readings.line_names import name_of
from simcore.readings.moves import Source
from simcore.results.catalogue import CATALOGUE
from simcore.results.headlines.ranges import Ending
from simcore.results.moved import Answer, Bar, Figure, Side
from simcore.results.ranked import Change, Cost, Effect, Pair, Would, in_order, verdict_of
from simcore.results.result import Result
from simcore.results.run import Run
from simcore.results.store import NoMetrics, without_metrics
from simcore.studies.climb import Unsound
from simcore.studies.compare import Comparison
from simcore.studies.fitted import Fit
from simcore.studies.fitting.estimate import Estimate
from simcore.studies.fitting.freed import freed_values
from simcore.studies.fitting.telling import Told
from simcore.studies.limit import Limit, Limits
from simcore.studies.measure import measure
from simcore.studies.plan import plan
from simcore.studies.ranges import End, Range, Ranges
from simcore.studies.ranking import AS_IT_STANDS, Basis, Ranking
from simcore.studies.scattered import Spread
from simcore.studies.sensitivity import Sensitivity
from simcore.studies.sought import Sought
from simcore.studies.spread import spread
from simcore.studies.sweep import Sweep

SCENARIOS = Path(__file__).parents[1] / "scenarios"
NAMES = (
    *("soft", "axle end 10 mm lower", "axle end 10 mm higher", "front shaft out, 60 ms punch on ice"),
    *("a_very_long_name_without_any_blank_1", "a_very_long_name_without_any_blank_2", "30 %", "x", "y"),
)


@cache
def creep() -> Run:
    """A run of 0.3 s with its counterfactual."""
    scenario = simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed(
        {"end.duration": 0.3, "output.rate": 50}
    )
    return simcore.simulate(scenario, without_support=True)


def like(run: Run, k: int, **exactly: Any) -> dict[str, Any]:
    """Summary of a run with every number another one, and some given."""
    moved = {
        name: value * (1.0 + 0.37 * k) + 1.7 * k * math.sqrt(place)
        for place, (name, value) in enumerate(run.summary.items())
        if isinstance(value, float)
    }
    return run.summary | moved | exactly


def compared(count: int, *, shown: tuple[str, ...] = ()) -> Comparison:
    """A comparison of so many cases."""
    run = creep()
    settings = {name: {"driveline.overdrive": 2 + k} for k, name in enumerate(NAMES[: count - 1])}
    table = run.scenario.raw | {"variants": settings, "conclusion": {"shown": list(shown)}}
    scenario = simcore_scenario(table)
    names = list(scenario.cases())
    runs = {name: dataclasses.replace(run, summary=like(run, k)) for k, name in enumerate(names)}
    return Comparison(scenario, runs)


def simcore_scenario(table: dict[str, Any]) -> Scenario:
    """A scenario from its table."""
    from simcore.files import scenario_of

    return scenario_of(table, SCENARIOS / "slow_creep.toml")


def swept(base: Scenario | None = None, **axes: Any) -> Sweep:
    """A sweep over some axes, every fifth run without metrics."""
    paths = {key.replace("__", "."): values for key, values in axes.items()}
    scenario = with_axes(base or creep().scenario, paths)
    points = plan(scenario)
    rows = [
        without_metrics(NoMetrics.CANNOT_STAND, "ground: got a slope on which it slides, must be less steep")
        if k % 5 == 4
        else like(creep(), k)
        for k in range(len(points))
    ]
    return Sweep(scenario, points, rows)


def limits(count: int) -> Limits:
    """Limits of so many cases: known, open, unsound, failing on the level."""
    scenario = compared(count).scenario if count > 1 else creep().scenario
    standing = dict.fromkeys(
        ("tip_back_deg", "grip_deg", "grip_all_drive_deg", "grip_rear_drive_deg", "grip_front_drive_deg")
    )
    found = {}
    for k, name in enumerate(scenario.cases()):
        found[name] = Limit(
            climbs_deg=None if k == 3 else 31.25 + 1.23 * k,
            fails_deg=31.30 + 1.23 * k,
            verdict=Verdict(Failure.STANDS_STILL, Cause.MOTOR_TOO_WEAK, 8.0)
            if k % 2
            else Verdict(Failure.FRONT_IN_THE_AIR, seconds=0.25),
            open_slopes=((40.0, Verdict(Failure.NO_START_FOUND)),) if k == 2 else (),
            unsound=(Unsound(12.0, "link length is off"),) if k == 1 else (),
            standing=standing | {"tip_back_deg": 60.123 + k, "grip_deg": 44.4},
            distance=0.15,
            front_up=0.25,
            runs=17,
            top_deg=80.0,
        )
    return Limits(scenario, found)


def ranges(**axes: Any) -> Ranges:
    """Ranges of a grip, along axes or of five cases: between edges, open, hidden, done again, nowhere."""
    scenario = with_axes(creep().scenario, {key.replace("__", "."): values for key, values in axes.items()})
    scenario = scenario if axes else compared(5).scenario
    names = [point.name for point in plan(scenario)] if axes else list(scenario.cases())
    spins = ("SPINS", "", "stops on the ice: rear tyres spin")
    found = {}
    for k, name in enumerate(names):
        low = End(31.25 + k, 31.125 + k, Ending.FAILS, *spins)
        high = End(100.0, None, Ending.RANGE_ENDS, "", "", Ending.RANGE_ENDS.value)
        if k % 5 == 1:
            high = End(71.5 - k, 90.0, Ending.NOT_KNOWN, "", "", Ending.NOT_KNOWN.value)
        if k % 5 == 2:
            low = high = End(None, None, Ending.NEVER_DONE, *spins)
        if k % 5 == 3:
            high = End(66.0 + k, 66.125 + k, Ending.CANNOT_BE_BUILT, "", "", "it does not fit")
        unknown = ((80.0, "NO_START_FOUND"),) if k % 5 == 1 else ()
        others = ((80.0, 90.0), (98.0, 98.0)) if k % 5 == 3 else ()
        found[name] = Range(100.0, low, high, others, unknown, (), bool(unknown), runs=22)
    return Ranges(scenario, Sought("ground.grip", "%", tuple(10.0 + 5.0 * k for k in range(19))), found)


SIZES = (12.0, 6.3, -4.1, 2.9, 1.2, -0.9, 0.3, 0.02)
"""Changes by what was moved, in visible differences."""


def sensitivity(sizes: tuple[float, ...], turned: bool = False, cases: int = 1) -> Sensitivity:
    """What becomes of an answer of two metrics as readings and guesses are moved, each by so much."""
    scenario = compared(cases).scenario if cases > 1 else creep().scenario
    base, *others = scenario.cases()
    pairs = [(name, base) for name in others] or [(base, "")]
    figures = tuple(
        Figure(metric, *pair, value, seen)
        for metric, value, seen in (("rear_squat_mm", 3.1, 0.5), ("front_load_mean_N", 8.7, 0.05))
        for pair in pairs
    )
    done = (JobState.DONE,) * cases
    sources = (Source.GUESS, Source.READ, Source.ROWS, Source.ASSUMED)
    keys = [*WHOLE, *(f"rear.{key}" for key in AXLE)]
    bars = []
    for k, size in enumerate(sizes):
        sides = [
            Side(
                3.0 + way,
                tuple(one.value + way * size * one.seen / (1 + n) for n, one in enumerate(figures)),
                done,
                "",
            )
            for way in (1.0, -0.6)[: 2 if abs(size) > 0.5 else 1]
        ]
        if turned and k % 3 == 1:
            state = JobState.NOT_DONE if k == 1 else JobState.UNKNOWN
            nothing = (None,) * len(figures)
            sides[-1] = Side(2.4, nothing, (state, *done[1:]), "stops at the ledge: rear tyres spin")
        source, key = sources[k % 4], keys[-1 - k]
        gives = "rear.shock.springs.0.rate" if source is Source.ROWS else ""
        bars.append(Bar(key, gives, source, "N*s/m", 3.0, 1.0, name_of(key), tuple(sides)))
    left_out = ('its case "y": parts.9 got an unknown path, must be the path of a key',) if turned else ()
    return Sensitivity(
        scenario, filled(), Answer(figures, tuple(scenario.cases()), done, tuple(bars)), left_out, 17
    )


def logged(count: int) -> Fit:
    """A short creep beside a log of it with noise; so many values with errors, the last one not told."""
    rng, series = np.random.default_rng(1), creep().series
    table = pd.DataFrame({"time_s": series["time_s"]})
    for name, noise in (("pitch_deg", 0.2), ("rear_travel_mm", 0.4), ("speed_m_per_s", 0.01))[: 1 + count]:
        table[name] = series[name] + rng.normal(0.0, noise, len(series))
    bare = simcore.fit(creep().scenario, Log(Path("a_log.csv"), table, ("gyro x",)))
    paths = ["rear.shock.friction.sliding", "front.shock.springs.0.rate", "time_offset", "chassis.cg.1"][
        :count
    ]
    freed = freed_values(creep().scenario, Log(Path("a_log.csv"), table), paths)
    found = [Estimate(one, 1.1 * one.start, 0.02 * one.size, 0.02 * one.size, Told.TOLD) for one in freed]
    if found:
        found[-1] = Estimate(freed[-1], None, None, None, Told.NO_TRACE)
    matrix = [[1.0 if a == b else 0.62 * (-1) ** (a + b) for b in range(count)] for a in range(count)]
    correlations = tuple(
        tuple(value if max(a, b) < count - 1 else math.nan for b, value in enumerate(row))
        for a, row in enumerate(matrix)
    )
    return dataclasses.replace(bare, estimates=tuple(found), correlations=correlations)


def ranked(draws: int, conditions: int = 1) -> Ranking:
    """Changes with every verdict, those that turn the job among them."""
    scenario = compared(3).scenario
    ends = (0.6, 1.4) if draws else (None, None)
    done, failed = JobState.DONE, JobState.NOT_DONE

    def effects(change: float | None, after: JobState = done) -> tuple[Effect, ...]:
        low, high = (None if change is None or end is None else end * change for end in ends)
        low, high = (low, high) if low is None or high is None or low < high else (high, low)
        helped = draws if change is None else 0
        before = failed if change is None else done
        names = [AS_IT_STANDS, "30 % less grip", "up 60 deg"][:conditions]
        return tuple(
            Effect(name, before, after, change, low, high, helped, 0, draws, draws) for name in names
        )

    changes = tuple(
        Change(name, verdict_of(found, -1, 0.25), found, (Cost("current_peak_A", 2.5),) if k == 0 else ())
        for k, (name, found) in enumerate(
            zip(NAMES, [effects(None), *(effects(size) for size in (-1.2, -0.7, 0.1, 0.9))], strict=False)
        )
    )
    jobs, figures = (done,) * conditions, (3.1,) * conditions
    scatter = ((0.8 if draws else None),) * conditions
    names = tuple(effect.condition for effect in changes[0].effects)
    basis = Basis("pitch_rise_deg", -1, 0.25, False, False, names, jobs, figures, scatter, draws, 3, 60, 240)
    pair = Pair((NAMES[1], NAMES[2]), done, -1.2, 0.7, 0.4, 1.0)
    return Ranking(scenario, basis, tuple(in_order(changes, -1)), (pair,), (Would("grip", 1.3),), False)


@cache
def drawn() -> Spread:
    """Ten draws of three cases."""
    launch = simcore.load_scenario(SCENARIOS / "punchy_launch.toml")
    table = launch.raw | {
        "variants": {
            "<b>front & shaft</b> out": {"driveline.drive": "rear"},
            "steeper": {"ground.slope": 17},
        },
        "conclusion": {"shown": ["pitch_start_deg", "rear_travel_start_mm"]},
    }
    scenario = simcore_scenario(table).changed({"end.duration": 0.5}, keep_variants=True)
    return spread(scenario, 10)


KINDS: dict[str, Callable[[], Result]] = {
    "run": creep,
    "two cases": lambda: compared(2),
    "five cases": lambda: compared(5),
    "nine cases": lambda: compared(9),
    "one axis": lambda: swept(driveline__overdrive="0:30:0.5"),
    "two axes": lambda: swept(ground__slope="0:40:10", driveline__overdrive=[0, 12.5, 30]),
    "cases along an axis": lambda: swept(compared(3).scenario, ground__slope="0:20:5"),
    "one limit": lambda: limits(1),
    "five limits": lambda: limits(5),
    "one range": lambda: dataclasses.replace(
        ranges(), scenario=creep().scenario, ranges=dict([next(iter(ranges().ranges.items()))])
    ),
    "five ranges": ranges,
    "ranges along an axis": lambda: ranges(ground__slope="0:40:5"),
    "ranges along two axes": lambda: ranges(ground__slope="0:40:5", driveline__overdrive=[0, 12.5, 30]),
    "log beside a run": lambda: logged(0),
    "fit": lambda: logged(4),
    "inspection": lambda: simcore.inspect(SCENARIOS / "rigs" / "gully.toml"),
    "inspection on a slope": lambda: simcore.inspect(SCENARIOS / "rigs" / "fell.toml", slope=20),
}
MEASURED: dict[str, Callable[[], Result]] = {
    "measured rig": lambda: measure(filled()),
    "guessed rig": lambda: measure(Worksheet(worksheet=1, name="Blank")),
    "what an answer hangs on": lambda: sensitivity(SIZES),
    "what turns a verdict": lambda: sensitivity(SIZES, turned=True),
    "what two cases hang on": lambda: sensitivity(SIZES, cases=3),
    "changes ranked": lambda: ranked(32),
    "changes ranked under three conditions, nothing drawn": lambda: ranked(0, 3),
    "trial on rock": trial,
    "trial of yes or no": climbed_or_not,
    "drawn": drawn,
}
"""Results of worksheets and of trials, whose tables are no metrics."""
NUMBERS = [name for name, metric in CATALOGUE.items() if not metric.text]


@cache
def result_of(kind: str) -> Result:
    """A result of a kind, made once."""
    return (KINDS | MEASURED)[kind]()
