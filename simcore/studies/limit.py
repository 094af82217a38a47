"""The steepest slope that a case still climbs: whole runs, from the level upward until one fails."""

import dataclasses
import math
from collections.abc import Callable, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd
from scipy.optimize import bisect

from simcore.faults import BadInput, Fault
from simcore.files.scenario import Scenario
from simcore.files.words import bare
from simcore.outbox import Writer
from simcore.pictures.prints import AS_USUAL, Prints, save_result
from simcore.rig.model import build
from simcore.standing.limits import standing_limits
from simcore.studies.climb import Attempt, Climber, most
from simcore.units import column_factor, show

if TYPE_CHECKING:
    from matplotlib.figure import Figure


TABLES, PICTURES = ("limits.csv", "limits.toml"), ("limits",)
STEP, WITHIN = 5.0, 0.1  # deg, of the scan up from the level, and of the answer
FRONT_UP = 0.25  # s, longest unbroken time that the front may be in the air

WORDS = ("reason", "unknown", "audit")
MEANING = {
    "climbs_deg": "steepest slope tried that the case climbs; empty if it fails on the level",
    "fails_deg": "least slope above it that the case does not climb; empty if there is none in a file",
    "climbs_change_deg": "steepest slope climbed less that of the first case; empty where either is not "
    "known to a tenth of a degree",
    "reason": "why it does not climb any steeper",
    "unknown": "slopes whose runs gave no answer, and why; empty when every run gave one",
    "unknown_from_deg": "least of these slopes",
    "unknown_to_deg": "steepest of these slopes",
    "tip_back_deg": "slope at which the rigid rig, standing as on the bench, has no load on its front tyres",
    "grip_deg": "slope up to which the peak grip of the driven tyres holds the rigid rig, tipping left aside",
    "grip_all_drive_deg": "likewise if both axles drove",
    "grip_rear_drive_deg": "likewise if the rear axle alone drove",
    "grip_front_drive_deg": "likewise if the front axle alone drove",
    "distance_mm": "way that must be covered",
    "front_up_s": "longest unbroken time that the front tyres may be in the air",
    "runs_1": "runs made to find it",
    "audit": "audit of all those runs: sound, or the slope at which it failed and why",
}


@dataclasses.dataclass(frozen=True)
class Limit:
    """The steepest slope that one case climbs.

    Attributes
    ----------
    case : its name
    climbs_deg : steepest slope tried that it climbs; None if it fails on the level
    fails_deg : least slope above it that it does not climb; None if it climbs all that a file may ask
    reason : why it does not climb `fails_deg`
    unknown : slopes whose runs gave no answer and why, in words; empty when every run gave one
    unknown_deg : least and steepest of them
    standing : limits of the rigid standing rig, deg, keys as in MEANING; None where there is none
    distance : way that must be covered, m
    front_up : longest unbroken time that the front may be in the air, s
    runs : runs made
    audit : "sound", or what broke its bound and at which slope
    """

    case: str
    climbs_deg: float | None
    fails_deg: float | None
    reason: str
    unknown: str
    unknown_deg: tuple[float, float] | None
    standing: dict[str, float | None]
    distance: float
    front_up: float
    runs: int
    audit: str

    @property
    def sharp(self) -> bool:
        """Whether climbed and failed slope lie next to one another, so that the limit is known."""
        if self.climbs_deg is None or self.fails_deg is None:
            return not self.unknown
        return self.fails_deg - self.climbs_deg <= WITHIN


@dataclasses.dataclass(frozen=True)
class Limits:
    """The steepest slopes that a scenario and its variants climb.

    Attributes
    ----------
    scenario : the scenario with its variants
    cases : name to limit, the base first
    """

    scenario: Scenario
    cases: dict[str, Limit]

    @property
    def sound(self) -> bool:
        """Whether every run kept its audit."""
        return all(limit.audit == "sound" for limit in self.cases.values())

    @property
    def decided(self) -> bool:
        """Whether every run gave an answer."""
        return not any(limit.unknown for limit in self.cases.values())

    @cached_property
    def _table(self) -> pd.DataFrame:
        rows = [
            {
                "climbs_deg": limit.climbs_deg,
                "fails_deg": limit.fails_deg,
                "reason": limit.reason,
                "unknown": limit.unknown,
                "unknown_from_deg": limit.unknown_deg[0] if limit.unknown_deg else None,
                "unknown_to_deg": limit.unknown_deg[1] if limit.unknown_deg else None,
                **limit.standing,
                "distance_mm": limit.distance * column_factor("distance_mm"),
                "front_up_s": limit.front_up,
                "runs_1": limit.runs,
                "audit": limit.audit,
            }
            for limit in self.cases.values()
        ]
        table = pd.DataFrame(rows, index=pd.Index(self.cases, name="case"))
        table = table.astype({key: float for key in table if key not in WORDS})
        known = table["climbs_deg"].where([limit.sharp for limit in self.cases.values()])
        table["climbs_change_deg"] = known - known.iloc[0]
        return table[list(MEANING)]

    def table(self) -> pd.DataFrame:
        """One row a case, columns as in MEANING; NaN where there is no number."""
        return self._table.copy()

    def figure(self) -> "Figure":
        """One bar a case: the steepest slope climbed, beside the limits of the standing rig."""
        from simcore.pictures.findings import Caption
        from simcore.pictures.slopes import steepest_slopes

        return steepest_slopes(self._table, Caption.of(self.scenario).text)

    def save(self, folder: str | Path, prints: Prints = AS_USUAL) -> list[Path]:
        """Write the tables and the picture named in TABLES and PICTURES, all or none."""
        writers: tuple[Writer, ...] = (
            lambda path: self._table.to_csv(path, float_format="%.9g"),
            lambda path: path.write_text(self.scenario.to_toml(), encoding="utf-8"),
        )
        return save_result(
            folder, dict(zip(TABLES, writers, strict=True)), {PICTURES[0]: self.figure}, prints
        )


def find_limits(
    scenario: Scenario,
    distance: float | None = None,
    front_up: float = FRONT_UP,
    progress: Callable[[float, float], None] | None = None,
) -> Limits:
    """Search for the steepest slope that a scenario, and each of its variants, climbs.

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
    progress : called with (cases done so far, cases in all)

    Raises
    ------
    BadInput
        when the course has pieces, the driver reverses, an option is out of range, or a rig cannot be built.
    """
    if not front_up >= 0.0:
        raise BadInput([Fault(str(scenario.path), "front_up", show(front_up, "s"), "a time, 0 s or longer")])
    cases = _cases(scenario)
    limits = {}
    for k, (name, case) in enumerate(cases.items()):

        def note(share: float, done: int = k) -> None:
            if progress is not None:
                progress(done + share, len(cases))

        way = next(way for way in (distance, case.end.distance, scenario.rig.wheelbase) if way is not None)
        limits[name] = _find(name, case, way, front_up, note)
        note(1.0)
    return Limits(scenario, limits)


def _cases(scenario: Scenario) -> dict[str, Scenario]:
    """Name to case, the base first; refuses what has no steepest slope."""
    file, cases = str(scenario.path), scenario.cases()
    faults = _refused(scenario, file, "")
    if not faults:
        for name, case in cases.items():
            where = "" if case is scenario else f"variants.{bare(name)}: "
            faults += _refused(case, file, where)
    if faults:
        raise BadInput(faults)
    return cases


def _refused(case: Scenario, file: str, where: str) -> list[Fault]:
    """What keeps one case from having a steepest slope."""
    driver, faults = case.driver, []
    if case.ground.pieces:
        got, must_be = f"a course of {len(case.ground.pieces)} pieces", "left out: one plane, ground.slope"
        faults.append(Fault(file, f"{where}ground.pieces", got, f"{must_be} (its slope is searched for)"))
    if any(value < 0.0 for _, value in getattr(driver, driver.control)):
        got, must_be = "a driver who reverses", "0 or more throughout: a slope is climbed forward"
        faults.append(Fault(file, f"{where}driver.{driver.control}", got, must_be))
    return faults


def _close_in(climber: Climber, below: float, above: float, above_it: Callable[[Attempt], bool]) -> None:
    """Halve the gap between a slope below an edge and one above it until it is `WITHIN` wide."""
    bisect(lambda slope: 1.0 if above_it(climber.on(slope)) else -1.0, below, above, xtol=WITHIN)


def _search(climber: Climber, top: float) -> tuple[float | None, float | None]:
    """Scan upward to the first slope that fails, then halve the last step; where slopes without an answer lie
    between what is climbed and what fails, close in on both ends of that gap.

    Returns
    -------
    Steepest slope climbed below the least one that fails, and that one; None where there is none.
    """
    scan = [STEP * k for k in range(math.floor(top / STEP) + 1)]
    failed = next((slope for slope in scan if climber.on(slope).fails), None)
    if failed:
        _close_in(climber, failed - STEP, failed, lambda attempt: attempt.fails)
    climbs, _ = _edges(climber)
    beyond = [slope for slope in climber.attempts if slope > (-1.0 if climbs is None else climbs)]
    if climbs is not None and beyond and min(beyond) - climbs > WITHIN:
        _close_in(climber, climbs, min(beyond), lambda attempt: not attempt.climbs)
    return _edges(climber)


def _edges(climber: Climber) -> tuple[float | None, float | None]:
    """Steepest slope climbed so far below the least one that failed, and that one."""
    tried = climber.attempts
    fails = min((slope for slope, attempt in tried.items() if attempt.fails), default=None)
    lower = [slope for slope, attempt in tried.items() if attempt.climbs and (fails is None or slope < fails)]
    return max(lower, default=None), fails


def _find(
    name: str, case: Scenario, distance: float, front_up: float, note: Callable[[float], None]
) -> Limit:
    """Search for the limit of one case."""
    top = most("ground", "slope")
    runs = top // STEP + 1 + math.ceil(math.log2(STEP / WITHIN))
    climber = Climber(case, distance, front_up, tell=lambda tried: note(min(tried / runs, 1.0)))
    climbs, fails = _search(climber, top)
    open_slopes = {slope: attempt for slope, attempt in climber.attempts.items() if not attempt.known}
    reason = "not known"
    if fails is not None:
        reason = climber.on(fails).reason
    elif climbs == top:
        reason = f"climbs even {top:g} deg, the steepest of a file"
    return Limit(
        name,
        climbs_deg=climbs,
        fails_deg=fails,
        reason=reason,
        unknown=_unknown(open_slopes),
        unknown_deg=(min(open_slopes), max(open_slopes)) if open_slopes else None,
        standing=_standing(case),
        distance=distance,
        front_up=front_up,
        runs=len(climber.attempts),
        audit="; ".join(climber.faults) or "sound",
    )


def _unknown(attempts: Mapping[float, Attempt]) -> str:
    """In words: which slopes gave no answer, and why; empty when every one did."""
    if not attempts:
        return ""
    low, high = min(attempts), max(attempts)
    slopes = f"{low:.1f} deg" if low == high else f"{low:.1f} to {high:.1f} deg"
    reasons = dict.fromkeys(attempt.reason for attempt in attempts.values())
    return f"no answer at {slopes} ({len(attempts)} tried): {'; '.join(reasons)}"


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
