"""Slopes at which a rigid rig tips back or slips, and the acceleration that lifts its front: closed forms.

The rig keeps its bench stance and stands on one plane. Up a slope, or accelerating, its axles carry

    N_r = W (a1 cos th + h sin th)/L + M ax h/L,    N_f = W (a2 cos th - h sin th)/L - M ax h/L

with L the wheelbase, h the height of the centre of mass over the ground, a1 and a2 its distance behind the
front and ahead of the rear axle. R. N. Jazar, Vehicle Dynamics: Theory and Application (Springer 2008), eq
(2.121)-(2.130), seen in a stored copy.
"""

import dataclasses
import math

from scipy.optimize import brentq

from simcore.compiled import FRONT, REAR
from simcore.rig.model import Model
from simcore.solve.holding import LoadedGrip


@dataclasses.dataclass(frozen=True)
class StandingLimits:
    """Limits of the rigid rig, SI; `math.inf` where the axle never slips, however steep.

    Each slip slope is that of the tyres alone. Where it is above `tip_back_slope` the rig tips back first.

    Attributes
    ----------
    wheelie_acceleration : acceleration on the level at which the front tyres lift, m/s^2
    tip_back_slope : slope at which the front tyres lift, climbing at constant speed, rad
    slip_slope_all, slip_slope_rear, slip_slope_front : slope at which the tyres slip when both axles, the
        rear or the front one drive, rad
    slip_slope_own : the one of these that belongs to the rig's own drive
    """

    wheelie_acceleration: float
    tip_back_slope: float
    slip_slope_all: float
    slip_slope_rear: float
    slip_slope_front: float
    slip_slope_own: float


def slip_slope(grips: tuple[float, float], ahead: float, behind: float, height: float) -> float:
    """Steepest slope that tyres at their peak grip hold at constant speed, rad; inf if every slope.

    ``mu_r N_r + mu_f N_f = W sin th`` gives ``tan th = (mu_r a1 + mu_f a2)/(L + (mu_f - mu_r) h)``; with one
    grip zero it is the form of one driven axle, with both alike ``tan th = mu``.

    Parameters
    ----------
    grips : mu_r, mu_f of the driven tyres; 0 for an axle that is not driven
    ahead, behind : a1, a2, way from the front axle back and from the rear axle forward to the centre of mass
    height : h, of the centre of mass over the ground, m

    Source: Jazar eq (2.68) and (2.86) for one driven axle, as above; both: derived here.
    """
    rear, front = grips
    base = ahead + behind + (front - rear) * height
    return math.atan((rear * ahead + front * behind) / base) if base > 0.0 else math.inf


def slip_slope_under_load(
    tyres: tuple[LoadedGrip, LoadedGrip], weight: float, ahead: float, behind: float, height: float
) -> float:
    """Steepest slope that tyres hold whose grip falls with their load, rad; inf if every slope.

    The slope at which `slip_slope` with the grips under the loads of that very slope gives it back.

    Parameters
    ----------
    tyres : of the rear and the front axle
    weight : W, N
    ahead, behind, height : as for `slip_slope`
    """
    if tyres[REAR].exponent == tyres[FRONT].exponent == 0.0:
        return slip_slope((tyres[REAR].grip, tyres[FRONT].grip), ahead, behind, height)

    def beyond(slope: float) -> float:
        arm, base = height * math.sin(slope), ahead + behind
        loads = (
            weight * (lever * math.cos(slope) + sign * arm) / base
            for lever, sign in ((ahead, 1), (behind, -1))
        )
        rear, front = (tyre.under(load) for tyre, load in zip(tyres, loads, strict=True))
        return min(slip_slope((rear, front), ahead, behind, height), math.pi / 2.0) - slope

    found = float(brentq(beyond, 0.0, math.pi / 2.0, xtol=1e-12))
    return found if found < math.pi / 2.0 else math.inf


def axle_loads(model: Model, slope: float) -> tuple[float, float]:
    """Loads of the rear and the front tyres of the rigid rig up a slope (rad) at constant speed, N."""
    bench = model.bench
    weight, base = bench.whole.mass * float(model.rig.gravity), bench.centres[FRONT][0]
    behind, arm = bench.whole.x * math.cos(slope), bench.whole.z * math.sin(slope)
    front = weight * (behind - arm) / base
    return weight * math.cos(slope) - front, front


def standing_limits(model: Model) -> StandingLimits:
    """Limits of a rig in its bench stance.

    ``tan th = a2/h`` tips it back, ``ax = g a2/h`` lifts its front on the level (Jazar, exercises 46 and 48,
    eq (2.117), as above).

    Parameters
    ----------
    model : the rig; the least grippy piece of its ground counts
    """
    bench, tyres = model.bench, [axle.tyre for axle in model.rig.axle]
    behind, height = bench.whole.x, bench.whole.z
    ahead = bench.centres[FRONT][0] - behind
    surface = float(model.pieces["grip"].min())
    rear, front = (LoadedGrip.of(tyre, surface) for tyre in tyres)
    none = LoadedGrip(0.0, 1.0, 0.0)
    weight = model.bench.whole.mass * float(model.rig.gravity)
    slopes = {
        drive: slip_slope_under_load(driven, weight, ahead, behind, height)
        for drive, driven in {"all": (rear, front), "rear": (rear, none), "front": (none, front)}.items()
    }
    return StandingLimits(
        wheelie_acceleration=float(model.rig.gravity) * behind / height,
        tip_back_slope=math.atan2(behind, height),
        slip_slope_all=slopes["all"],
        slip_slope_rear=slopes["rear"],
        slip_slope_front=slopes["front"],
        slip_slope_own=slopes[own_drive(model)],
    )


def own_drive(model: Model) -> str:
    """Which axles the rig drives: "all", "rear" or "front"."""
    rear, front = (bool(model.rig.axle[i].branch.driven) for i in (REAR, FRONT))
    return "all" if rear and front else "rear" if rear else "front"
