"""What the links of a standing rig do, in one sentence, and why that is not what the usual formula says."""

import dataclasses
import math
from collections.abc import Sequence

from simcore.compiled import FRONT, REAR
from simcore.results.formatting import MINUS, in_text
from simcore.results.quantities import SHARES
from simcore.standing.facts import AxleFacts, Standing

MOVED = ("squat", "lift")
ENDS = ("rear", "front")


def standing_clauses(facts: Standing) -> list[str]:
    """Anti-squat of the rear and anti-lift of the front, axle mass counted."""
    clauses = [_clause(facts.axles[i], i) for i in (REAR, FRONT)]
    return [clauses[0][0].upper() + clauses[0][1:], *clauses[1:]]


def standing_headline(facts: Standing) -> str:
    """The clauses of both axles as one sentence."""
    return ", ".join([*standing_clauses(facts), "axle mass counted"])


def _clause(axle: AxleFacts, i: int) -> str:
    """One axle's clause; links that leave no path to move carry nothing that could be told."""
    if axle.carried is None:
        return f"no {ENDS[i]} {SHARES[i]} (the axle can only move along the ground)"
    share = axle.carried["own"].with_axle_mass
    who = "arm adds" if len(axle.pins) == 1 else "links add"
    adds = f" (the {who} {MOVED[i]})" if round(100.0 * share) < 0 else ""
    return f"{ENDS[i]} {SHARES[i]} {_percent(share)}{adds}"


def _percent(share: float) -> str:
    return f"{round(100.0 * share):d} %".replace("-", MINUS)


# --- what a side view leaves out ---


def side_load_sentence(facts: Standing, missing: Sequence[str]) -> str:
    """What shaft torque moves from side to side, or which keys of the rig file would give it."""
    side = facts.side_load
    if side is None:
        if not missing:
            return ""
        keys = f"{', '.join(missing[:-1])} and {missing[-1]}" if len(missing) > 1 else missing[0]
        return f"Not in a side view: what shaft torque moves from side to side; to know it, state {keys}"
    slope, most = f"{math.degrees(side.slope):.3g} deg", in_text("side_load_N", side.most)
    text = (
        f"Not in a side view: shaft torque moves up to {most} from one tyre of each axle to the other while "
        f"the rig climbs {slope} at constant speed"
    )
    if side.by_springs is None:
        return text
    springs = in_text("side_load_by_springs_N", side.by_springs)
    alone = "if the springs alone resist roll and the shocks stand as far apart front as rear"
    return f"{text}; {springs} {alone}"


# --- why not what the usual formula says ---


@dataclasses.dataclass(frozen=True)
class _Cause:
    """Something that the usual formula for rear drive leaves out.

    Attributes
    ----------
    because, who : what it is, as a clause and by its name
    without : what to call the rig if it were not so, and the share that its links would carry then
    moves : by how much the share changes because of it
    """

    because: str
    who: str
    without: tuple[str, float]
    moves: float

    @property
    def bracket(self) -> str:
        """The share that there would be without it."""
        name, share = self.without
        return f"({name}: {_percent(share)})"


def why_not_usual(facts: Standing) -> str:
    """Why each axle's share, axle mass counted and drive as built, is not that of the usual formula.

    Each of the two causes is switched off by itself; the one that then changes more is the larger part.
    """
    text = "; ".join(_why(facts.axles[i], facts.drive, i) for i in (REAR, FRONT) if facts.axles[i].carried)
    return text[:1].upper() + text[1:]


def _why(axle: AxleFacts, drive: str, i: int) -> str:
    own, rear = (axle.carried or {})["own"], (axle.carried or {})["rear"]
    share, name = own.with_axle_mass, f"{ENDS[i]} {SHARES[i]}"
    if _percent(share) == _percent(rear.usual_formula):
        return f"{name} is {_percent(share)}, as the usual formula says"
    because, who = _of_drive(drive, i)
    causes = [
        _Cause(because, who, ("rear drive alone", rear.with_axle_mass), share - rear.with_axle_mass),
        _Cause(
            "the axle's mass counts",
            "the axle's mass",
            ("mass left out", own.usual_formula),
            share - own.usual_formula,
        ),
    ]
    known = [cause for cause in causes if _percent(cause.without[1]) != _percent(share)]
    larger_first = sorted(known, key=lambda cause: -abs(cause.moves))
    usual = f"the {_percent(rear.usual_formula)} of the usual formula"
    return f"{name} is {_percent(share)} instead of {usual} {_because(larger_first)}"


def _of_drive(drive: str, i: int) -> tuple[str, str]:
    """What driving the front axle does to this one, as a clause and by its name."""
    if i == FRONT:
        return "this axle pulls", "its own pull"
    pulls = "the front axle pulls" if drive == "front" else "the front axle shares the pull"
    return pulls, "the front's pull"


def _because(causes: list[_Cause]) -> str:
    if not causes:
        return "for many small reasons"
    first, *others = causes
    text = f"because {first.because} {first.bracket}"
    for second in others:
        if first.moves * second.moves < 0.0:
            text += f", while {second.who} works the other way {second.bracket}"
        else:
            text = f"mostly {text}, and less because {second.because} {second.bracket}"
    return text
