"""Why a rig cannot stand where it was put: from what it does there, in a code and in words."""

import enum
import math
from collections.abc import Iterable, Sequence

from simcore.compiled import FRONT, REAR, AxleLedgerRecord, AxleRecord
from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.rig.initial_pose import initial_pose
from simcore.rig.masses import SIDES
from simcore.rig.model import Model
from simcore.solve.balance import most_bent
from simcore.solve.fall import Sight
from simcore.solve.helps import helps
from simcore.solve.holding import Holding, at_ends, line_of

GOING = 0.002  # m/s; a rig that sinks slower is not seen to go anywhere
AT_REST = 1e-6  # m/s; a rig that sinks slower stands, whatever the search for its balance says
SPENT = 0.98  # share of what a brake or a tyre can hold, from which it holds no more


class NoStand(enum.Enum):
    """What a rig does that cannot stand at its start; the value says it."""

    SLIDES = "it slides"
    BRAKE_SLIPS = "the drag brake slips"
    TIPS_OVER = "it tips over"
    NOT_FOUND = "no standing start was found"


class CannotStand(InputError):
    """The rig cannot stand at its start, or no way to stand was found.

    Attributes
    ----------
    why : what it does instead
    """

    def __init__(self, issues: Iterable[InputIssue], why: NoStand) -> None:
        super().__init__(issues)
        self.why = why

    def __reduce__(self) -> tuple[type["CannotStand"], tuple[tuple[InputIssue, ...], NoStand]]:  # type: ignore[override]
        """Travel between processes with issues and reason."""
        return type(self), (self.issues, self.why)


def _why(model: Model, sight: Sight) -> NoStand:
    """What a sinking rig does that has gone, or that does not come to rest.

    A brake or a tyre that lacks little gives way by fractions of a millimetre a second for a long time, so
    what they hold counts, not only how fast the rig goes.
    """
    if sight.gone and any(sight.off):
        return NoStand.TIPS_OVER
    if not sight.gone and sight.speed < AT_REST:
        return NoStand.NOT_FOUND
    if abs(sight.state.rotor_bristle) > SPENT * model.rig.motor.presliding:
        return NoStand.BRAKE_SLIPS
    loaded = [i for i in (REAR, FRONT) if sight.led.axle[i].tyre.load > 0.0]
    going = [abs(float(sight.led.axle[i].tyre.ground_speed)) for i in loaded]
    if sight.gone or max(going, default=0.0) > GOING or _tyres_spent(model, sight, loaded):
        return NoStand.SLIDES
    return NoStand.TIPS_OVER if len(loaded) < 2 and sight.speed > GOING else NoStand.NOT_FOUND


def _tyres_spent(model: Model, sight: Sight, loaded: list[int]) -> bool:
    """Whether every braked tyre on the ground is bent as far as its grip can bend it."""
    spent = []
    for i in loaded:
        axle, grip = model.rig.axle[i], float(sight.led.axle[i].tyre.grip)
        if axle.branch.driven:
            spent.append(abs(sight.state.tyre_bristle[i]) > SPENT * most_bent(axle.tyre, grip))
    return bool(spent) and all(spent)


def refusal(scenario: Scenario, model: Model, sight: Sight) -> CannotStand:
    """RejectedValue of a start, from the last look at the rig that was put down there.

    A need is quoted beside what there is, and a help named, only where statics of the rigid rig bears it out.
    """
    why, start = _why(model, sight), model.ledger(initial_pose(scenario, model))
    ends = at_ends(model, start)
    if any(sight.off):
        stances, slope = ends, line_of(start)[0]
    else:
        stances = [Holding.of_state(model, sight.state, sight.led, start), *ends]
        slope = line_of(sight.led)[0]
    words = {
        NoStand.SLIDES: _slides,
        NoStand.BRAKE_SLIPS: _brake_slips,
        NoStand.TIPS_OVER: _tips_over,
        NoStand.NOT_FOUND: _not_found,
    }
    got, otherwise = words[why](model, sight, stances, slope)
    must_be = "; or ".join(helps(scenario, stances, slope)) or otherwise
    place = f"a start on ground of {math.degrees(slope):.1f} deg"
    return CannotStand([InputIssue(str(scenario.path), "ground", f"{place}, {got}", must_be)], why)


def _ends(axles: Sequence[int]) -> str:
    return " and ".join(SIDES[i] for i in axles)


def _slides(model: Model, sight: Sight, stances: Sequence[Holding], slope: float) -> tuple[str, str]:
    got, held = f"where the braked rig slides {_way(slope)}", stances[0]
    need, have = held.grip_needed(slope)
    if math.isfinite(need) and need > 1.005 * have:
        got += f": its braked {_ends(held.braked)} tyres need {need:.2f} per load, they have {have:.2f}"
    return got, "less steep, or grippier"


def _brake_slips(model: Model, sight: Sight, stances: Sequence[Holding], slope: float) -> tuple[str, str]:
    held = stances[0]
    need, most = held.torque_needed(slope)[0], f"holds at most {held.brake * 1e3:.1f} N*mm"
    if need > 1.005 * held.brake:
        what = f"which the drag brake must hold with {need * 1e3:.1f} N*mm at the motor; it {most}"
    else:
        what = f"where the drag brake slips; it {most}"
    return f"{what}, so the {_ends(held.braked)} tyres roll {_way(slope)}", "less steep, or a stronger brake"


def _tips_over(model: Model, sight: Sight, stances: Sequence[Holding], slope: float) -> tuple[str, str]:
    backwards = sight.off[FRONT] or sight.led.axle[FRONT].tyre.load <= 0.0
    way, off, over = ("backwards", FRONT, REAR) if backwards else ("forwards", REAR, FRONT)
    got = f"where the rig tips over {way}, its {SIDES[off]} tyres in the air"
    beyond = min(held.beyond(slope, over) for held in stances)
    if beyond > 0.0:
        side = "behind" if backwards else "ahead of"
        got += (
            f": its centre of mass lies {beyond * 1e3:.0f} mm or more {side} the {SIDES[over]} tyres' contact"
        )
    return got, "ground on which it stands with both axles"


def _not_found(model: Model, sight: Sight, stances: Sequence[Holding], slope: float) -> tuple[str, str]:
    travels = ", ".join(
        f"{name} shocks {part.shock.travel * 1e3:.1f} of {axle.shock.stroke * 1e3:g} mm{_at_end(part, axle)}"
        for name, part, axle in zip(SIDES, sight.led.axle, model.rig.axle, strict=True)
    )
    return (
        f"where no standing start was found (last tried: {travels})",
        "a rig that stands: check springs, masses and shock lengths",
    )


def _at_end(part: AxleLedgerRecord, axle: AxleRecord) -> str:
    """What to say behind a shock's travel when it is on a stop."""
    shock = axle.shock
    if part.shock.travel > shock.stroke - shock.bump_stop.length:
        return ", on the stop of its compressed end"
    return ", on the stop of its extended end" if part.shock.travel < shock.droop_stop.length else ""


def _way(slope: float) -> str:
    return "back" if slope > 0.0 else "forward"
