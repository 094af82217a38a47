"""Torque twist: the load that shaft torque moves from side to side, which a side view leaves out.

Free bodies about the rig's long axis, clockwise seen from behind positive, on straight even ground, slowly:

- axle i: its shaft turns the pinion with T_i, its two shocks turn the housing with S_i, the difference of its
  tyres' loads with N_i. Gears push inside the housing, and the wheel torque acts across this axis:
  ``T_i + S_i + N_i = 0``.
- chassis: it takes back the torque of both shafts and the moment of all shocks:
  ``T_r + T_f + S_r + S_f = 0``, so that ``N_r + N_f = 0``: the ground turns nothing.

With ``S_r = -l_r (T_r + T_f)``, l_r and l_f = 1 - l_r the shares of the two ends in the roll stiffness,

    D = -N_r = N_f = l_f T_r - l_r T_f,

a load over the diagonal: what the rear tyre of one side gains, D/track, the front tyre of that side loses.
Two shafts that turn the same way move nothing where ``T_r/T_f = l_r/l_f``; where they turn against each
other, both parts add. One driven axle gives ``T (1 - its own share)/track``. Over all shares from 0 to 1, D
lies between T_r and -T_f, whatever their signs: ``|D| <= max(|T_r|, |T_f|)``, reached where one end alone
resists roll. Tyres that give take some of it (then ``D = a T_r - b T_f`` with a, b >= 0 and a + b <= 1), so
that the bound holds for them too, and for stops, friction and shocks without springs.

Left out: the weight that shifts as the chassis leans, links and rod ends that hold it upright, speeding up.

Source: derived here; one driven axle: T. D. Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch 2,
lateral load transfer of a solid driven axle (from memory; the page would settle it).
"""

import dataclasses
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from simcore.files.rig import Rig
from simcore.rig.masses import SIDES, sides

Moment = TypeVar("Moment", float, npt.NDArray[np.float64])


@dataclasses.dataclass(frozen=True)
class TorqueTwist:
    """What a rig file states of the direction across its side view.

    Attributes
    ----------
    track : distance of the tyres' middles, m
    turns : of the rear and the front shaft, driving forward, seen from behind: 1 clockwise, -1 the other way
    """

    track: float
    turns: tuple[float, float]

    def side_load(self, rear: Moment, front: Moment, rear_share: float) -> Moment:
        """Load that moves to the rear tyre of one side and off the front tyre of that side, N.

        Parameters
        ----------
        rear, front : torque of the shafts, driving forward positive, N*m
        rear_share : of the roll stiffness, l_r

        Returns
        -------
        ``D/track``, positive where it presses the rear tyre on the right.
        """
        turn_rear, turn_front = self.turns
        return ((1.0 - rear_share) * turn_rear * rear - rear_share * turn_front * front) / self.track

    def most(self, rear: Moment, front: Moment) -> Moment:
        """Size of that load at most, whatever the shares of the roll stiffness, N."""
        return np.maximum(np.abs(rear), np.abs(front)) / self.track


def torque_twist(rig: Rig) -> TorqueTwist | None:
    """What a rig states of torque twist; None where `missing_keys` names a key."""
    if rig.track is None or missing_keys(rig):
        return None
    rear, front = (
        -1.0 if axle.shaft is not None and axle.shaft.turns == "anticlockwise" else 1.0 for axle in sides(rig)
    )
    return TorqueTwist(rig.track, (rear, front))


def missing_keys(rig: Rig) -> list[str]:
    """Keys of the rig file without which the load from side to side is not known."""
    driven = SIDES if rig.driveline.drive == "all" else (rig.driveline.drive,)
    without = [name for name, axle in zip(SIDES, sides(rig), strict=True) if axle.shaft is None]
    return ["track"] * (rig.track is None) + [f"{name}.shaft" for name in without if name in driven]
