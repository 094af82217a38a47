"""What would let a rig stand that cannot: less slope, more grip, more brake, its weight elsewhere; in words.

Each is enough by itself: worked out from the statics of the rigid rig, with some to spare, wherever its
shocks are between their ends.
"""

import dataclasses
import math
from collections.abc import Iterator, Sequence

from simcore.files.scenario import Scenario
from simcore.solve.holding import LEAN, SLACK, Holding

FAR = 0.1  # of the distance of the contacts, or of the height: further nobody moves a centre of mass
MOST_GRIP = 3.0  # times the tyres' own that the ground of a file can give

Stances = Sequence[Holding]


def helps(scenario: Scenario, stances: Stances, slope: float) -> list[str]:
    """Changes of which each lets the rig stand; none where statics says that it stands as it is.

    Parameters
    ----------
    scenario : whose start it is
    stances : the rig with its shocks as they are, and at their ends
    slope : of its ground, rad
    """
    if _stand(stances, slope):
        return []
    return [*_less_slope(scenario, stances, slope), *_other_rig(scenario, stances, slope)]


def _stand(stances: Stances, slope: float) -> bool:
    return all(held.stands(slope) for held in stances)


def _less_slope(scenario: Scenario, stances: Stances, slope: float) -> Iterator[str]:
    """Steepest whole degrees, less than the slope and leaning the same way, where the rig stands."""
    degrees, way = range(math.ceil(abs(math.degrees(slope))) - 1, 0, -1), math.copysign(1.0, slope)
    steepest = next((deg for deg in degrees if _stand(stances, way * math.radians(deg))), None)
    if steepest is not None and not scenario.ground.pieces:
        yield f"ground.slope no steeper than {steepest} deg"


def _other_rig(scenario: Scenario, stances: Stances, slope: float) -> Iterator[str]:
    for moved, words in _less_tippy(stances, slope):
        needs = [words, *_more_grip(scenario, moved, slope), *_more_brake(scenario, moved, slope)]
        if None not in needs:
            yield " and ".join(one for one in needs if one)


def _less_tippy(stances: Stances, slope: float) -> Iterator[tuple[Stances, str]]:
    """The rig with its centre of mass where it does not tip, and what to do for that."""
    if not any(held.tips(slope) for held in stances):
        yield stances, ""
        return
    back, tangent = slope > 0.0, math.tan(abs(slope) + LEAN)
    inside = [held.along if back else held.span - held.along for held in stances]
    pairs = list(zip(stances, inside, strict=True))
    shift = _whole_mm(max(held.height * tangent - there for held, there in pairs))
    lower = _whole_mm(max(held.height - there / tangent for held, there in pairs))
    if 0.0 < shift < FAR * stances[0].span:
        moved = [
            dataclasses.replace(held, along=held.along + (shift if back else -shift)) for held in stances
        ]
        yield moved, f"its centre of mass {shift * 1e3:.0f} mm further {'forward' if back else 'back'}"
    if 0.0 < lower < FAR * stances[0].height:
        moved = [dataclasses.replace(held, height=held.height - lower) for held in stances]
        yield moved, f"its centre of mass {lower * 1e3:.0f} mm lower"


def _whole_mm(length: float) -> float:
    """The next whole millimetre above a length, m."""
    return math.floor(length * 1e3 + 1.0) / 1e3


def _more_grip(scenario: Scenario, stances: Stances, slope: float) -> Iterator[str | None]:
    """What grip must be, None if no grip is enough."""
    if not any(held.slides(slope) for held in stances):
        return
    grips = [held.grip_needed(slope) for held in stances]
    times = max(need / have if have else math.inf for need, have in grips) / (1.0 - SLACK)
    if times * scenario.ground.grip > MOST_GRIP:
        yield None
    elif scenario.ground.pieces:
        yield f"{times + 0.005:.2f} times the grip"
    else:
        yield f"ground.grip at least {math.ceil(times * scenario.ground.grip * 100.0)} %"


def _more_brake(scenario: Scenario, stances: Stances, slope: float) -> Iterator[str]:
    held = stances[0]  # the torque that is needed is the same however it stands
    if not held.brake_slips(slope):
        return
    wanted = held.torque_needed(slope)[1] / (1.0 - SLACK) - held.idle
    if held.applied < 1.0:
        share = min(wanted / held.brake_torque, 1.0) if held.brake_torque else 1.0
        yield f"driver.brake at least {math.ceil(share * 100.0)} % at the start"
        if share < 1.0:
            return
    yield f"motor.brake_torque at least {math.ceil(wanted * 1e3)} N*mm"
