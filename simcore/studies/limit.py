"""The steepest slope that a case still climbs: whole runs, from the level upward until one fails."""

import dataclasses
import math
from collections.abc import Callable, Collection, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any, ClassVar, Self, overload

import pandas as pd

from simcore.accounts.verdict import Verdict
from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.files.words import bare
from simcore.results.atomic_write import Writer
from simcore.results.conditions import Conditions
from simcore.results.headlines.limits import SHARP_WITHIN, is_sharp, limits_headline
from simcore.results.metrics import SOUND
from simcore.results.plain import from_plain, to_plain
from simcore.results.result import Concern, Data, Doubt, Result
from simcore.results.spreadsheet import csv_writer
from simcore.rig.model import build
from simcore.standing.limits import standing_limits
from simcore.studies.climb import Climber, Unsound, most
from simcore.studies.find import find_range
from simcore.studies.ranges import Ranges
from simcore.studies.search import Edge, edge, next_outward
from simcore.studies.seek import Tell
from simcore.units import column_factor, show

STEP, WITHIN = 5.0, SHARP_WITHIN  # deg, of the scan up from the level, and of the answer
SLOPE = "ground.slope"
FRONT_UP = 0.25  # s, longest unbroken time that the front may be in the air

WORDS = ("reason", "cause", "why", "unknown", "audit")
MEANING = {
    "climbs_deg": "steepest slope tried that the case climbs; empty if it fails on the level",
    "fails_deg": "least slope above it that the case does not climb; empty if there is none in a file",
    "climbs_change_deg": "steepest slope climbed less that of the first case; empty where either is not "
    "known to a tenth of a degree",
    "reason": "what it does on the slope that it does not climb, as a code; empty if there is none",
    "cause": "why it does that, as a code, where it is known",
    "why": "reason and cause in words",
    "unknown": "what the runs that gave no answer did, as codes; empty when every run gave one",
    "unknown_from_deg": "least slope whose run gave no answer",
    "unknown_to_deg": "steepest of these slopes",
    "tip_back_deg": "slope at which the rigid rig, standing as on the bench, has no load on its front tyres",
    "grip_deg": "slope up to which the peak grip of the driven tyres holds the rigid rig, tipping left aside",
    "grip_all_drive_deg": "likewise if both axles drove",
    "grip_rear_drive_deg": "likewise if the rear axle alone drove",
    "grip_front_drive_deg": "likewise if the front axle alone drove",
    "distance_mm": "way that must be covered",
    "front_up_s": "longest unbroken time that the front tyres may be in the air",
    "runs_count": "runs made to find it",
    "audit": "SOUND, or AUDIT_FAILED if a run broke off or broke a bound",
}


@dataclasses.dataclass(frozen=True)
class Limit:
    """The steepest slope that one case climbs.

    Attributes
    ----------
    climbs_deg : steepest slope tried that it climbs; None if it fails on the level
    fails_deg : least slope above it that it does not climb; None if it climbs all that a file may ask
    verdict : why it does not climb `fails_deg`; None where there is none
    open_slopes : slopes whose runs gave no answer, deg, and why
    unsound : runs that broke off or broke their audit
    standing : limits of the rigid standing rig, deg, keys as in MEANING; None where there is none
    distance : way that must be covered, m
    front_up : longest unbroken time that the front may be in the air, s
    runs : runs made
    top_deg : steepest slope of a file
    """

    climbs_deg: float | None
    fails_deg: float | None
    verdict: Verdict | None
    open_slopes: tuple[tuple[float, Verdict], ...]
    unsound: tuple[Unsound, ...]
    standing: dict[str, float | None]
    distance: float
    front_up: float
    runs: int
    top_deg: float

    @property
    def sharp(self) -> bool:
        """Whether climbed and failed slope lie next to one another, so that the limit is known."""
        return is_sharp(self.climbs_deg, self.fails_deg, gap=bool(self.open_slopes))

    @property
    def why(self) -> str:
        """Why it does not climb any steeper, in words."""
        if self.verdict is not None:
            return str(self.verdict)
        if self.climbs_deg == self.top_deg:
            return f"climbs even {self.top_deg:g} deg, the steepest of a file"
        return "not known"

    @property
    def unknown(self) -> str:
        """Which slopes gave no answer and why, as a sentence; empty when every one did."""
        if not self.open_slopes:
            return ""
        slopes = [slope for slope, _ in self.open_slopes]
        low, high = min(slopes), max(slopes)
        where = f"{low:.1f} deg" if low == high else f"{low:.1f} to {high:.1f} deg"
        reasons = dict.fromkeys(str(verdict) for _, verdict in self.open_slopes)
        return f"no answer at {where} ({len(slopes)} tried): {'; '.join(reasons)}"

    def row(self) -> dict[str, float | str | None]:
        """Row of the table, without the change to the first case."""
        slopes = [slope for slope, _ in self.open_slopes]
        verdict = self.verdict
        codes = dict.fromkeys(verdict.failure.name for _, verdict in self.open_slopes)
        return {
            "climbs_deg": self.climbs_deg,
            "fails_deg": self.fails_deg,
            "reason": "" if verdict is None else verdict.failure.name,
            "cause": "" if verdict is None or verdict.cause is None else verdict.cause.name,
            "why": self.why,
            "unknown": " ".join(codes),
            "unknown_from_deg": min(slopes, default=None),
            "unknown_to_deg": max(slopes, default=None),
            **self.standing,
            "distance_mm": self.distance * column_factor("distance_mm"),
            "front_up_s": self.front_up,
            "runs_count": self.runs,
            "audit": Doubt.AUDIT_FAILED.name if self.unsound else SOUND,
        }


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Limits(Result):
    """The steepest slopes that a scenario and its variants climb.

    Attributes
    ----------
    scenario : the scenario with its variants
    cases : name to limit, the base first
    """

    kind: ClassVar[str] = "limits"
    files: ClassVar[tuple[str, ...]] = ("limits.csv", "limits.toml")

    scenario: Scenario
    cases: Mapping[str, Limit]

    @property
    def headline(self) -> str:
        """Which case climbs steepest, in one sentence."""
        return limits_headline(self.table)

    @property
    def asked(self) -> str:
        """What was asked, of which rig, and what held in all runs; their slopes are searched for."""
        ways = dict.fromkeys(f"{limit.distance * 1e3:.0f} mm" for limit in self.cases.values())
        question = f"How steep a slope does it climb, {' or '.join(ways)} of it?"
        return Conditions.of(self.scenario).without_ground(question)

    @property
    def concerns(self) -> list[Concern]:
        """Runs that broke off or broke their audit, and slopes that gave no answer."""
        found = []
        for name, limit in self.cases.items():
            if limit.unsound:
                text = "; ".join(str(run) for run in limit.unsound)
                found.append(Concern(Doubt.AUDIT_FAILED, name, text))
            if limit.unknown:
                found.append(Concern(Doubt.NOT_KNOWN, name, limit.unknown))
        return found

    @cached_property
    def table(self) -> pd.DataFrame:
        """One row a case, columns as in MEANING; NaN where there is no number."""
        rows = [limit.row() for limit in self.cases.values()]
        table = pd.DataFrame(rows, index=pd.Index(self.cases, name="case"))
        table = table.astype({key: float for key in table if key not in WORDS})
        known = table["climbs_deg"].where([limit.sharp for limit in self.cases.values()])
        table["climbs_change_deg"] = known - known.iloc[0]
        return table[list(MEANING)]

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Limits of all cases."""
        return {"limits": self.table}

    def writers(self) -> dict[str, Writer]:
        """The table for a spreadsheet, and the scenario as one file."""
        return {
            "limits.csv": csv_writer(lambda: self.table),
            "limits.toml": lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        }

    def data(self) -> Data:
        """Limit of every case, codes by their names."""
        return {"cases": to_plain(self.cases)}

    @classmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """The limits that were saved."""
        return cls(scenario, from_plain(dict[str, Limit], data["cases"]))


@overload
def find_limit(
    scenario: Scenario,
    distance: float | None = None,
    front_up: float = FRONT_UP,
    progress: Tell | None = None,
) -> Limits: ...
@overload
def find_limit(
    scenario: Scenario,
    *,
    progress: Tell | None = None,
    find: str,
    axes: Mapping[str, Any] | None = None,
    folder: str | Path | None = None,
    workers: int = 1,
) -> Limits | Ranges: ...
def find_limit(
    scenario: Scenario,
    distance: float | None = None,
    front_up: float = FRONT_UP,
    progress: Tell | None = None,
    find: str | None = None,
    axes: Mapping[str, Any] | None = None,
    folder: str | Path | None = None,
    workers: int = 1,
) -> Limits | Ranges:
    """Search for the steepest slope that a scenario, and each of its variants, climbs; or for another limit.

    A case climbs a slope when its run covers the distance within four times its duration and does not
    roll over, slide back, hang on its skids or keep its front tyres in the air without a break for longer
    than `front_up`. The slopes are tried upward from the level in steps of `STEP`; where the first one fails,
    the last step is halved until climbed and failed slope lie within `WITHIN` degrees. A slope whose run
    gives no answer counts neither as climbed nor as failed: both edges of such a gap are looked for.

    Parameters
    ----------
    scenario : on one endless plane, driven forward; its own slope and its `end.when` do not count
    distance : m; left out: the scenario's `end.distance`, else the wheelbase
    front_up : s
    progress : called with (cases done so far, cases in all); of another number (runs done, runs expected)
    find : another number, as ``ground.pieces.1.ledge`` or ``ground.grip=10:100:10``, whose values with which
        the scenario's own job is done are sought; on any course, see `simcore.studies.find.find_range`. Also
        the slope, with a range or along axes; ``ground.slope`` alone is what is found when it is left out
    axes, folder, workers : of that search, likewise

    Raises
    ------
    InputError
        when the course has pieces, the driver reverses, an option is out of range, or a rig cannot be built;
        of another number as `find_range`.
    """
    if not of_slope(find, axes):
        return find_range(scenario, find or "", axes, folder, workers, progress)
    if not front_up >= 0.0:
        raise InputError(
            [InputIssue(str(scenario.path), "front_up", show(front_up, "s"), "a time, 0 s or longer")]
        )
    cases = _cases(scenario)
    limits = {}
    for k, (name, case) in enumerate(cases.items()):

        def note(share: float, done: int = k) -> None:
            if progress is not None:
                progress(done + share, len(cases))

        way = next(way for way in (distance, case.end.distance, scenario.rig.wheelbase) if way is not None)
        limits[name] = _find(case, way, front_up, note)
        note(1.0)
    return Limits(scenario, limits)


def of_slope(find: str | None, axes: Collection[str] | None) -> bool:
    """Whether what is sought is the steepest slope of an endless plane, by the rules of that search.

    Raises
    ------
    InputError
        when there are axes without a number to find along them.
    """
    if axes and find is None:
        must_be = f"beside --find, as --find {SLOPE}=0:60:5"
        raise InputError([InputIssue("--vary", "", "axes without a number to find", must_be)])
    return (find is None or find.strip() == SLOPE) and not axes


def _cases(scenario: Scenario) -> dict[str, Scenario]:
    """Name to case, the base first; refuses what has no steepest slope."""
    file, cases = str(scenario.path), scenario.cases()
    issues = _refused(scenario, file, "")
    if not issues:
        for name, case in cases.items():
            where = "" if case is scenario else f"variants.{bare(name)}: "
            issues += _refused(case, file, where)
    if issues:
        raise InputError(issues)
    return cases


def _refused(case: Scenario, file: str, where: str) -> list[InputIssue]:
    """What keeps one case from having a steepest slope."""
    driver, issues = case.driver, []
    if case.ground.pieces:
        got, must_be = f"a course of {len(case.ground.pieces)} pieces", "left out: one plane, ground.slope"
        issues.append(
            InputIssue(file, f"{where}ground.pieces", got, f"{must_be} (its slope is searched for)")
        )
    if any(value < 0.0 for _, value in getattr(driver, driver.control)):
        got, must_be = "a driver who reverses", "0 or more throughout: a slope is climbed forward"
        issues.append(InputIssue(file, f"{where}driver.{driver.control}", got, must_be))
    return issues


def _search(climber: Climber, top: float) -> Edge:
    """Scan upward to the first slope that fails; close in on it and on both ends of a gap without answers."""
    for k in range(math.floor(top / STEP) + 1):
        if climber.on(STEP * k).fails:
            break
    while (slope := next_outward(climber.tried, WITHIN)) is not None:
        climber.on(slope)
    return edge(climber.tried)


def _find(case: Scenario, distance: float, front_up: float, note: Callable[[float], None]) -> Limit:
    """Search for the limit of one case."""
    top = most("ground", "slope")
    runs = top // STEP + 1 + math.ceil(math.log2(STEP / WITHIN))
    climber = Climber(case, distance, front_up, tell=lambda tried: note(min(tried / runs, 1.0)))
    found = _search(climber, top)
    open_slopes = tuple(
        (slope, attempt.verdict)
        for slope, attempt in climber.attempts.items()
        if attempt.verdict is not None and not attempt.known
    )
    return Limit(
        climbs_deg=found.done,
        fails_deg=found.beyond,
        verdict=None if found.beyond is None else climber.on(found.beyond).verdict,
        open_slopes=open_slopes,
        unsound=tuple(climber.unsound),
        standing=_standing(case),
        distance=distance,
        front_up=front_up,
        runs=len(climber.attempts),
        top_deg=top,
    )


def _standing(case: Scenario) -> dict[str, float | None]:
    """Limits of the rigid rig in its bench stance, deg."""
    found = standing_limits(build(case))
    slopes = {
        "tip_back_deg": found.tip_back_slope,
        "grip_deg": found.slip_slope_own,
        "grip_all_drive_deg": found.slip_slope_all,
        "grip_rear_drive_deg": found.slip_slope_rear,
        "grip_front_drive_deg": found.slip_slope_front,
    }
    return {
        key: slope * column_factor(key) if math.isfinite(slope) else None for key, slope in slopes.items()
    }
