"""Whether the links of an axle follow its shock from end to end, remembered of those asked of last.

Only where pins and mounts are against one another counts, and how long the shock is: a rig of which other
numbers change, or the other axle, is not gone through again.
"""

from collections import OrderedDict

from simcore.compiled import Records, RigRecord
from simcore.files.axle import Axle, links_of, mount_of
from simcore.files.rig import Rig
from simcore.rig.linkage_range import follow, ride_travel
from simcore.rig.masses import StaticPose, sides
from simcore.rig.preload import bench_state

REMEMBERED = 64
_KNOWN: OrderedDict[object, bool] = OrderedDict()


def links_follow(rigs: Records[RigRecord], rig: Rig, bench: StaticPose) -> bool:
    """Whether the links of both axles follow their shocks over the whole stroke.

    Parameters
    ----------
    rigs : records of the rig
    rig, bench : the rig, and as it stands on the bench
    """
    return all(_follows(rigs, axle, bench, side) for side, axle in enumerate(sides(rig)))


def _follows(rigs: Records[RigRecord], axle: Axle, bench: StaticPose, side: int) -> bool:
    key = _shape(axle)
    if key in _KNOWN:
        _KNOWN.move_to_end(key)
        return _KNOWN[key]
    placed, stroke = bench_state(bench).reshape(1), float(rigs[0].axle[side].shock.stroke)
    ride = ride_travel(rigs, placed, side)
    _KNOWN[key] = all(follow(rigs, placed, side, ride, end)[0] == end for end in (0.0, stroke))
    if len(_KNOWN) > REMEMBERED:
        _KNOWN.popitem(last=False)
    return _KNOWN[key]


def _shape(axle: Axle) -> object:
    """Where pins and mounts of an axle are, and how long its shock is."""
    pins = tuple((link.chassis, link.axle) for link in links_of(axle))
    arm = None if axle.arm is None else axle.arm.chassis
    shock = axle.shock
    return pins, arm, shock.chassis, mount_of(axle), shock.extended_length, shock.stroke
