"""Force of the shocks over their travel: friction and oil open a loop, stops make it steep."""

from collections.abc import Iterable, Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.results.conditions import Conditions
from simcore.results.headlines.cases import jobs_sentence
from simcore.results.headlines.run import job_of
from simcore.results.headlines.shocks import kept_work, loops_headline
from simcore.results.run import Run
from simcore.rig.masses import SIDES
from simcore.studies.compare import Comparison
from simcore.units import GRAMS
from simcore.views.catalogue import picture
from simcore.views.pictures.layout import page, room
from simcore.views.pictures.names import Named, name_lines
from simcore.views.pictures.style import MARKERS, case_look, styled

STOPS = {"bump_stop": "bottomed out", "droop_stop": "topped out"}
LEAST_WORK = 1.0  # mJ that friction and oil take in a run


@styled
def shock_loops(cases: Mapping[str, pd.DataFrame], answer: str, question: str) -> Figure:
    """Shock force against travel, rear and front.

    Parameters
    ----------
    cases : name to the series of a run, the base first
    answer, question : the finding, and what was asked of which rig
    """
    stops = [words for column, words in STOPS.items() if _any(cases, column)]
    marks = "Open mark: standing at the start" + (f"; thick pale: {' or '.join(stops)}" if stops else "")
    figure, panels = page(2, 1, 3.0, answer, f"{question}  {marks}", right=0.80)
    for panel, axle in zip(panels, SIDES, strict=True):
        lines = [_loop(panel, table, axle, k, name) for k, (name, table) in enumerate(cases.items())]
        panel.set_ylabel(f"{axle} shocks, g\n(both, pushing out)")
        room(panel, 100.0)
        low, high = panel.get_xlim()
        panel.set_xlim(0.5 * (low + high - max(high - low, 2.0)), 0.5 * (low + high + max(high - low, 2.0)))
        name_lines(panel, lines if len(lines) > 1 else [], beside=True)
    panels[1].set_xlabel("shock travel, mm (more = compressed)")
    return figure


def _any(cases: Mapping[str, pd.DataFrame], column: str) -> bool:
    """Whether a stop presses in any case at either end."""
    return any((table[f"{axle}_{column}_N"] != 0.0).any() for table in cases.values() for axle in SIDES)


def _loop(panel: Axes, table: pd.DataFrame, axle: str, k: int, name: str) -> Named:
    """One run: its way, its start, where it lies on a stop, and which way round it goes."""
    travel, force = table[f"{axle}_travel_mm"].to_numpy(), table[f"{axle}_shock_force_N"].to_numpy() * GRAMS
    (colour, dash), mark = case_look(k), MARKERS[k % len(MARKERS)]
    on_stop = np.where(_pressed(table, axle), travel, np.nan)
    panel.plot(on_stop, force, color=colour, lw=9.0, alpha=0.22, solid_capstyle="butt")
    panel.plot(travel, force, color=colour, ls=dash, lw=1.6)
    panel.plot(travel[0], force[0], mark, color=colour, ms=8, mfc="none", mew=2.0)
    if k == 0:
        _point_ahead(panel, travel, force, colour)
    return Named(name, colour, travel, force)


def _pressed(table: pd.DataFrame, axle: str) -> npt.NDArray[np.bool_]:
    """Where a stop presses; the one at the extended end pulls in, so that its force is negative."""
    stops: npt.NDArray[np.float64] = (table[f"{axle}_bump_stop_N"] - table[f"{axle}_droop_stop_N"]).to_numpy(
        float
    )
    return stops > 0.0


def _point_ahead(
    panel: Axes, travel: npt.NDArray[np.float64], force: npt.NDArray[np.float64], colour: str
) -> None:
    """Heads of arrows that show which way round a run goes."""
    way = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(travel)))])
    for share in (0.2, 0.5):
        at = int(np.searchsorted(way, share * way[-1]))
        ahead = int(np.searchsorted(way, (share + 0.03) * way[-1]))
        if 0 < at < ahead < len(travel) and way[-1] > 0.5:
            panel.annotate(
                "",
                (travel[ahead], force[ahead]),
                xytext=(travel[at], force[at]),
                arrowprops={"arrowstyle": "-|>", "color": colour, "lw": 1.4, "mutation_scale": 16},
            )


def _says(runs: Iterable[Run]) -> bool:
    """Whether in a run a shock strokes visibly, and friction and oil take work that is worth a word."""
    for run in runs:
        strokes = [float(np.ptp(run.series[f"{axle}_travel_mm"])) for axle in SIDES]
        work = sum(sum(kept_work(run.series, axle).values()) for axle in SIDES)
        if max(strokes) > Conditions.of(run.scenario).visible_mm and work > LEAST_WORK:
            return True
    return False


@picture(
    "Force of the shocks over their travel: friction and oil open a loop, a spring alone is a line. "
    "Where a line turns steep the shock has bottomed or topped out.",
    says=lambda run: _says([run]),
)
def of_run(run: Run) -> Figure:
    """Force of a run's shocks over their travel."""
    conditions = Conditions.of(run.scenario)
    return _loops({run.scenario.case: run}, job_of(run.summary, conditions), conditions)


@picture(
    "Force of the shocks over their travel: friction and oil open a loop, a spring alone is a line. "
    "Where a line turns steep the shock has bottomed or topped out.",
    says=lambda result: _says(result.runs.values()),
)
def of_comparison(result: Comparison) -> Figure:
    """Force of the shocks of all cases over their travel."""
    jobs = jobs_sentence(result.jobs, result.scenario.cases())
    return _loops(result.runs, jobs, Conditions.of(result.scenario))


def _loops(runs: Mapping[str, Run], job: str, conditions: Conditions) -> Figure:
    cases = {name: run.series for name, run in runs.items()}
    return shock_loops(cases, f"{job}. {loops_headline(cases)}", conditions.text)
