"""The steepest slope that a case still climbs: whole runs, from the level upward until one fails."""

import dataclasses
import math
from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd
from scipy.optimize import bisect

from simcore.accounts.audit import audit
from simcore.faults import BadInput, Fault
from simcore.files.scenario import Scenario
from simcore.files.schema import follow, plain
from simcore.files.words import bare
from simcore.integrate import integrate
from simcore.outbox import Writer
from simcore.pictures.prints import AS_USUAL, Prints, save_result
from simcore.rig.model import build
from simcore.standing.limits import standing_limits
from simcore.studies.verdict import why_no_stand, why_not
from simcore.trace import Outcome
from simcore.units import column_factor, show

if TYPE_CHECKING:
    from matplotlib.figure import Figure


TABLES, PICTURES = ("limits.csv", "limits.toml"), ("limits",)
STEP, WITHIN = 5.0, 0.1  # deg, of the scan up from the level, and of the answer
FRONT_UP = 0.25  # s, longest unbroken time that the front may be in the air
PATIENCE = 4.0  # times the duration asked for: as long a slow rig may take

MEANING = {
    "climbs_deg": "steepest slope tried that the case climbs; empty if it fails on the level",
    "fails_deg": "least slope above it that the case does not climb; empty if there is none in a file",
    "climbs_change_deg": "steepest slope climbed less that of the first case",
    "reason": "why it does not climb any steeper",
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
    standing: dict[str, float | None]
    distance: float
    front_up: float
    runs: int
    audit: str


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

    @cached_property
    def _table(self) -> pd.DataFrame:
        rows = [
            {
                "climbs_deg": limit.climbs_deg,
                "fails_deg": limit.fails_deg,
                "reason": limit.reason,
                **limit.standing,
                "distance_mm": limit.distance * column_factor("distance_mm"),
                "front_up_s": limit.front_up,
                "runs_1": limit.runs,
                "audit": limit.audit,
            }
            for limit in self.cases.values()
        ]
        table = pd.DataFrame(rows, index=pd.Index(self.cases, name="case"))
        table = table.astype({key: float for key in table if key not in ("reason", "audit")})
        table["climbs_change_deg"] = table["climbs_deg"] - table["climbs_deg"].iloc[0]
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

    A case climbs a slope when its run covers the distance within `PATIENCE` times its duration and does not
    roll over, slide back, hang on its skids or keep its front tyres in the air without a break for longer
    than `front_up`. The slopes are tried upward from the level in steps of `STEP`; where the first one fails,
    the last step is halved until climbed and failed slope lie within `WITHIN` degrees.

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


def _most(*place: str) -> float:
    """Largest value that a scenario file may give, in its bench unit."""
    _, quantity = plain(follow(Scenario, place))
    return quantity.le if quantity is not None and quantity.le is not None else math.inf


@dataclasses.dataclass
class _Climber:
    """One case and the slopes it was put on so far.

    Attributes
    ----------
    reasons : slope (deg) to why it does not climb it, "" if it does
    refusals : slope to what was said where it could not stand
    faults : what broke an audit
    """

    case: Scenario
    distance: float
    front_up: float
    reasons: dict[float, str] = dataclasses.field(default_factory=dict)
    refusals: dict[float, BadInput] = dataclasses.field(default_factory=dict)
    faults: list[str] = dataclasses.field(default_factory=list)

    def climbs(self, slope: float) -> bool:
        """Whether the case climbs a slope, deg."""
        if slope not in self.reasons:
            self.reasons[slope] = self._try(slope)
        return not self.reasons[slope]

    def why_not(self, slope: float) -> str:
        """Why the case does not climb a slope it was tried on; of a start without a stand, what it does."""
        if slope not in self.refusals:
            return self.reasons[slope]
        return why_no_stand(self._on(slope), self.refusals[slope], self.front_up)

    def _on(self, slope: float) -> Scenario:
        """The case on a slope, with time enough."""
        return self.case.changed(
            {
                "ground.slope": slope,
                "end.distance": self.distance * column_factor("distance_mm"),
                "end.duration": min(PATIENCE * self.case.end.duration, _most("end", "duration")),
                "end.when": [],
                "output.rate": 10,  # figures come from the fixed raster
            }
        )

    def _try(self, slope: float) -> str:
        try:
            trace = integrate(self._on(slope))
        except BadInput as error:
            if any(fault.key != "ground" for fault in error.faults):
                raise
            self.refusals[slope] = error
            return "cannot stand there"
        broken = audit(trace).faults
        if trace.outcome is Outcome.NOT_SOLVED:
            broken.append(trace.outcome.value)
        if broken:
            self.faults.append(f"at {slope:g} deg {'; '.join(broken)}")
        return why_not(trace, self.front_up)


def _find(
    name: str, case: Scenario, distance: float, front_up: float, note: Callable[[float], None]
) -> Limit:
    """Scan upward to the first slope that is not climbed, then halve the last step."""
    top = _most("ground", "slope")
    scan = [STEP * k for k in range(math.floor(top / STEP) + 1)]
    most = len(scan) + math.ceil(math.log2(STEP / WITHIN))  # runs
    climber = _Climber(case, distance, front_up)

    def sign(slope: float) -> float:
        note(len(climber.reasons) / most)
        return 1.0 if climber.climbs(slope) else -1.0

    failed = next((slope for slope in scan if sign(slope) < 0.0), None)
    if failed is not None and failed > 0.0:
        bisect(sign, failed - STEP, failed, xtol=WITHIN)
    tried = climber.reasons
    fails = min((slope for slope, reason in tried.items() if reason), default=None)
    return Limit(
        name,
        climbs_deg=max((slope for slope, reason in tried.items() if not reason), default=None),
        fails_deg=fails,
        reason=f"climbs even {top:g} deg, the steepest of a file"
        if fails is None
        else climber.why_not(fails),
        standing=_standing(case),
        distance=distance,
        front_up=front_up,
        runs=len(tried),
        audit="; ".join(climber.faults) or "sound",
    )


def _standing(case: Scenario) -> dict[str, float | None]:
    """Limits of the rigid rig in its bench stance, deg."""
    rig = case.rig
    found = standing_limits(build(case), (rig.rear.tyre.peak_grip, rig.front.tyre.peak_grip))
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
