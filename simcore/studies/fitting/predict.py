"""What runs predict for the channels of a log."""

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from concurrent.futures.process import BrokenProcessPool

import numpy as np
import numpy.typing as npt

from simcore.errors import InputError
from simcore.files.scenario import Scenario
from simcore.logs import CHANNELS
from simcore.results.run import Run
from simcore.solve.trace import Outcome
from simcore.studies.fitting.freed import Freed
from simcore.studies.simulate import simulate

Vector = npt.NDArray[np.float64]
FINE = 1e-8  # tolerance of the runs, the usual one or this
LEAST_RATE = 500.0  # rows a second: straight lines between them are finer than any log
MOST_LONGER = 0.5  # of a run's duration, that it goes on for the sake of the log's clock
LONGEST = 120.0  # s, of a run


@dataclasses.dataclass(frozen=True)
class Curves:
    """Channels of one run over its time, in bench units."""

    times: Vector
    values: Mapping[str, Vector]

    def at(self, channel: str, times: Vector) -> Vector:
        """A channel at instants of the run, s: before its start the rig stands, after its end all stays."""
        return np.asarray(np.interp(times, self.times, self.values[channel]))


def for_log(scenario: Scenario, clock: float = 0.0) -> Scenario:
    """The scenario as it is run beside a log: for its whole duration, in fine rows, once, so exactly that
    differences of runs tell slopes.

    Parameters
    ----------
    clock : span within which the log's clock may be put, s; the run goes on for so much longer, the driver
        asking what he asked at the end, so that it covers the log wherever the clock is put
    """
    duration = scenario.end.duration
    longer = min(duration + min(clock, MOST_LONGER * duration), LONGEST)
    settings: dict[str, object] = {"end.when": [], "without_support": False}
    for tolerance in ("relative", "absolute"):
        if getattr(scenario.solver, tolerance) > FINE:
            settings[f"solver.{tolerance}"] = FINE
    if longer > duration:
        settings["end.duration"] = float(f"{longer:.12g}")
    if scenario.end.distance is not None:
        settings["end.distance"] = "none"
    if scenario.output.rate < LEAST_RATE:
        settings["output.rate"] = LEAST_RATE
    return scenario.changed(settings)


def curves_of(run: Run, channels: Sequence[str]) -> Curves:
    """Channels of a run."""
    times = run.series["time_s"].to_numpy(float)
    return Curves(times, {name: CHANNELS[name].compute(run) for name in channels})


def attempt(scenario: Scenario, channels: tuple[str, ...]) -> Curves | None:
    """Channels of a scenario's run; None where there is no sound run."""
    try:
        run = simulate(scenario)
    except InputError:
        return None
    if run.faults or run.outcome is Outcome.NOT_SOLVED:
        return None
    return curves_of(run, channels)


def _key(values: Sequence[float]) -> tuple[float, ...]:
    return tuple(float(f"{value:.12g}") for value in values)


class Runs:
    """Runs of a scenario with other values, each done once.

    Parameters
    ----------
    scenario : as `for_log` gives it
    freed : numbers of the scenario that differ
    channels : names of what is predicted
    pool : processes that do them; None: this one
    progress : called with how many were done
    """

    def __init__(
        self,
        scenario: Scenario,
        freed: Sequence[Freed],
        channels: Sequence[str],
        pool: Executor | None = None,
        progress: Callable[[int], None] | None = None,
    ) -> None:
        self.scenario, self.freed, self.channels = scenario, tuple(freed), tuple(channels)
        self.pool, self.progress = pool, progress
        self.found: dict[tuple[float, ...], Curves | None] = {}

    def know(self, values: Sequence[float], run: Run) -> None:
        """Note a run that was done before, if it is the one with these values."""
        if not run.faults and self.with_values(values) == run.scenario:
            self.found[_key(values)] = curves_of(run, self.channels)

    def with_values(self, values: Sequence[float]) -> Scenario:
        """The scenario with values of the freed numbers; raises InputError when it is none."""
        settings: dict[str, float] = {}
        for freed, value in zip(self.freed, values, strict=True):
            settings |= freed.settings(value)
        return self.scenario.changed(settings) if settings else self.scenario

    def at(self, points: Sequence[Sequence[float]]) -> list[Curves | None]:
        """What runs with these values predict; None for one that gives nothing sound."""
        keys = [_key(point) for point in points]
        tasks: dict[tuple[float, ...], Scenario] = {}
        for key in keys:
            if key in self.found or key in tasks:
                continue
            try:
                tasks[key] = self.with_values(key)
            except InputError:
                self.found[key] = None
        for key, curves in zip(tasks, self._done(list(tasks.values())), strict=True):
            self.found[key] = curves
            if self.progress is not None:
                self.progress(len(self.found))
        return [self.found[key] for key in keys]

    def _done(self, scenarios: Sequence[Scenario]) -> list[Curves | None]:
        if self.pool is not None and len(scenarios) > 1:
            try:
                return list(self.pool.map(attempt, scenarios, [self.channels] * len(scenarios)))
            except BrokenProcessPool:  # this process goes on alone
                self.pool = None
        return [attempt(scenario, self.channels) for scenario in scenarios]
