"""Why a rig cannot stand where it was put: from what it does there, in a code and in words."""

import dataclasses
import enum
import math
from collections.abc import Iterable

from simcore.compiled import FRONT, REAR
from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.rig.masses import SIDES
from simcore.rig.model import Model
from simcore.solve.balance import most_bent
from simcore.solve.fall import Sight

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


@dataclasses.dataclass(frozen=True)
class _Statics:
    """A rig that rests in its present stance on both contacts, as one rigid piece.

    Attributes
    ----------
    slope : of the line through both contacts, rad
    pull : what its thrusts must hold along that line, N
    loads : of the rear and front tyres across it, N; negative: they would have to pull
    """

    slope: float
    pull: float
    loads: tuple[float, float]


def _statics(model: Model, sight: Sight) -> _Statics:
    """Moments about the rear contact: ``N_f L = W (x_cg - x_r)``, ``N_r + N_f = W cos th``."""
    masses = [model.rig.chassis.mass, *(axle.body.mass for axle in model.rig.axle)]
    x = sum(mass * pose.x for mass, pose in zip(masses, sight.state.pose, strict=True)) / sum(masses)
    rear, front = (part.tyre.contact.foot for part in sight.led.axle)
    weight = float(sum(masses) * model.rig.gravity)
    slope = math.atan2(front.z - rear.z, front.x - rear.x)
    on_front = weight * (x - rear.x) / math.hypot(front.x - rear.x, front.z - rear.z)
    return _Statics(
        slope, weight * abs(math.sin(slope)), (weight * math.cos(slope) - on_front, float(on_front))
    )


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
        axle, grip = model.rig.axle[i], float(sight.led.axle[i].tyre.contact.grip)
        if axle.branch.driven:
            spent.append(abs(sight.state.tyre_bristle[i]) > SPENT * most_bent(axle.tyre, grip))
    return bool(spent) and all(spent)


def refusal(scenario: Scenario, model: Model, sight: Sight) -> CannotStand:
    """RejectedValue of a start, from the last look at the rig that was put down there.

    A need is quoted beside what there is only where statics of the rigid rig bears it out.
    """
    why, statics = _why(model, sight), _statics(model, sight)
    place = f"a start on ground of {math.degrees(statics.slope):.1f} deg"
    words = {
        NoStand.SLIDES: _slides,
        NoStand.BRAKE_SLIPS: _brake_slips,
        NoStand.TIPS_OVER: _tips_over,
        NoStand.NOT_FOUND: _not_found,
    }
    got, must_be = words[why](model, sight, statics, place)
    return CannotStand([InputIssue(str(scenario.path), "ground", got, must_be)], why)


def _slides(model: Model, sight: Sight, statics: _Statics, place: str) -> tuple[str, str]:
    got, must_be = f"{place}, where the braked rig slides", "less steep, or grippier"
    loads = [max(load, 0.0) for load in statics.loads]
    braked = [i for i in (REAR, FRONT) if model.rig.axle[i].branch.driven]
    load = sum(loads[i] for i in braked)
    grips = [float(sight.led.axle[i].tyre.contact.grip * model.rig.axle[i].tyre.peak) for i in (REAR, FRONT)]
    if load > 0.0:
        need, have = statics.pull / load, sum(loads[i] * grips[i] for i in braked) / load
        if need > 1.005 * have:
            must_be += f": the braked tyres need {need:.2f} per load, they have {have:.2f}"
    return got, must_be


def _brake_slips(model: Model, sight: Sight, statics: _Statics, place: str) -> tuple[str, str]:
    motor = model.rig.motor
    hold = float(motor.idle_torque + sight.led.motor.brake_share * motor.brake_torque)
    levers = [axle.tyre.radius / axle.branch.ratio for axle in model.rig.axle if axle.branch.driven]
    need, most = statics.pull * float(min(levers)), f"at most {hold * 1e3:.1f} N*mm"
    keys = "rig motor.brake_torque and driver.brake"
    if need > 1.005 * hold:
        got = f"{place}, which the drag brake must hold with {need * 1e3:.1f} N*mm at the motor"
        return got, f"{most} ({keys})"
    return f"{place}, where the drag brake slips", f"less steep, or a stronger brake ({keys}: {most} now)"


def _tips_over(model: Model, sight: Sight, statics: _Statics, place: str) -> tuple[str, str]:
    backwards = sight.off[FRONT] or sight.led.axle[FRONT].tyre.load <= 0.0
    way, off = ("backwards", "front") if backwards else ("forwards", "rear")
    return (
        f"{place}, where the rig tips over {way} (it ends with the {off} tyres in the air)",
        "ground on which it stands with both axles",
    )


def _not_found(model: Model, sight: Sight, statics: _Statics, place: str) -> tuple[str, str]:
    travels = ", ".join(
        f"{name} shocks {part.shock.travel * 1e3:.1f} mm in"
        for name, part in zip(SIDES, sight.led.axle, strict=True)
    )
    return (
        f"{place}, where no standing start was found (last tried: {travels})",
        "a rig that stands: check springs, masses and shock lengths",
    )
