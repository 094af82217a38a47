"""What changes are ranked by: a metric, which way of it is better, and in which runs it may be compared."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from simcore.accounts.job import JobState
from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.files.words import nearest
from simcore.results.catalogue import CATALOGUE, NUMBERS, just_seen, metric_named
from simcore.results.effect import EFFECTS
from simcore.results.quantities import Better
from simcore.results.reliability import job_of
from simcore.results.store import FAILED, Row

SLOPE, CLIMBED = "slope", "climbs_deg"
SLOPE_SEEN = 0.5  # deg; what a bench protractor on a board tells; common practice, no source
ROUGH = 0.02  # of the value; what is visible of a metric that has no measure of it
SPOKEN = {
    SLOPE: CLIMBED,
    "pitch": "pitch_rise_deg",
    "time": "done_s",
    "front load": "front_load_low_N",
    "squat": "rear_squat_mm",
    "current": "current_peak_A",
    "energy": "energy_used_J",
}
"""Words for the metrics that are asked for most."""
MORE = frozenset({"torque_share_pct", CLIMBED, "height_gained_mm"})
"""Metrics of which more is better for a job, beside those whose entry says so."""
OF_ANY_JOB = frozenset({"torque_share_pct", "distance_mm", "height_gained_mm", CLIMBED})
"""Metrics that can be compared where the job is not done, if it is done on neither side."""
WAYS = {"more": 1, "less": -1}


class Told(NamedTuple):
    """What a run says of a metric: whether its job was done, and the value, None where there is none."""

    job: JobState
    value: float | None


@dataclass(frozen=True)
class By:
    """The metric of a ranking.

    Attributes
    ----------
    metric : its name
    better : 1 where more is better, -1 where less is
    seen : smallest visible change
    chosen : whether it follows from the job, and was not asked for
    """

    metric: str
    better: int
    seen: float
    chosen: bool

    @property
    def climbs(self) -> bool:
        """Whether every answer is a search for the steepest slope."""
        return self.metric == CLIMBED

    def told(self, row: Row) -> Told:
        """What a run says of the metric."""
        value = row.get(self.metric)
        return Told(job_of(row), float(value) if isinstance(value, int | float) else None)

    def difference(self, before: Told, after: Told) -> float | None:
        """What a change does to the metric; None where both sides cannot be compared."""
        states = {before.job, after.job}
        if len(states) > 1 or JobState.UNKNOWN in states:
            return None
        if JobState.NOT_DONE in states and self.metric not in OF_ANY_JOB:
            return None
        if before.value is None or after.value is None:
            return None
        return after.value - before.value


def asked_metric(scenario: Scenario, by: str | None) -> str:
    """Name of the metric that was asked for; "" for none.

    Raises
    ------
    InputError
        when there is none of that name, or it is no number of a single run.
    """
    given = by if by is not None else scenario.rank.by
    if given is None:
        return ""
    name = _named(given)
    known = [one for one in NUMBERS if one not in {effect.name for effect in EFFECTS}]
    if name in (*known, CLIMBED):
        return name
    where = ("--by", "") if by is not None else (str(scenario.path), "rank.by")
    must_be = f"a metric with a number, as listed in plots/README.md, or one of {', '.join(SPOKEN)}"
    raise InputError([InputIssue(*where, f'"{given}"', must_be, nearest(given, [*known, *SPOKEN]))])


def _named(given: str) -> str:
    """Name of a metric that may be called by a word, in large or small letters."""
    plain = given.strip().casefold()
    if plain == CLIMBED:
        return CLIMBED
    return SPOKEN.get(plain.replace("_", " ")) or metric_named(given)


def way_of(scenario: Scenario, metric: str, better: str | None) -> int:
    """Which way of a metric is better.

    Raises
    ------
    InputError
        when neither the user nor the metric says so.
    """
    given = better or scenario.rank.better
    if given is not None:
        return WAYS[given]
    if metric in MORE:
        return 1
    own = CATALOGUE[metric].better
    if own is Better.NEITHER:
        must_be = (
            f'--more or --less (rank.better in the file): "{CATALOGUE[metric].label}" may be good either way'
        )
        got = f"{metric}, of which no way is the better one"
        raise InputError([InputIssue(*where_asked(scenario, metric), got, must_be)])
    return WAYS[own.value]


def where_asked(scenario: Scenario, metric: str) -> tuple[str, str]:
    """File and key, or option, that asks for a metric."""
    in_file = scenario.rank.by is not None and _named(scenario.rank.by) == metric
    return (str(scenario.path), "rank.by") if in_file else ("--by", "")


def by_of(scenario: Scenario, metric: str, better: str | None, base: Row, visible: Mapping[str, float]) -> By:
    """What is ranked by, from what was asked and what became of the rig as it stands.

    Parameters
    ----------
    scenario : with its [rank]
    metric : that was asked for; "" for one that follows from the job
    better : "more" or "less", None where not asked
    base : run of the rig as it stands
    visible : smallest visible difference, by "deg" and "mm"
    """
    chosen = metric or _of_job(base)
    seen = SLOPE_SEEN if chosen == CLIMBED else just_seen(chosen, visible)
    if not seen:
        value = base.get(chosen)
        seen = max(ROUGH * abs(value) if isinstance(value, int | float) else 0.0, 1e-12)
    return By(chosen, way_of(scenario, chosen, better), seen, not metric)


def _of_job(base: Row) -> str:
    """The metric that tells how near a job is to being done, or how well it is."""
    if FAILED not in base:
        for metric in ("done_s", "stopping_mm") if job_of(base) is JobState.DONE else ("torque_share_pct",):
            if base.get(metric) is not None:
                return metric
    return "distance_mm"
