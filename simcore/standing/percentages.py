"""Anti-squat, anti-lift and anti-dive: how much of the load that moves between the axles the links carry.

A rig that accelerates at A, or climbs with ``A = g sin th``, moves ``M A h/L`` from its front to its rear
tyres. By virtual work on the path of an axle (see `simcore.accounts.support`) its links carry
``F tan(a) + m A p_x`` of it, F the thrust and m the mass of the axle, p_x the way of its centre of mass along
the ground; the shocks carry the rest. Textbooks leave the axle mass out. Percentages hold for the stance they
are taken in and for steady speed or acceleration: wheels and rotor that spin up are left out, and so is that
the other end moves as well (a nose that rises lifts the centre of mass, so that in a run an end stays level
with its instant centre about a millimetre lower).

Source: solid axle, rear drive: D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering (Springer
2018), sec 3.11, eq (3.63)-(3.69), seen; thrust parted among two axles: T. D. Gillespie, Fundamentals of
Vehicle Dynamics (SAE 1992), ch 7 (from memory; the page would settle it); with axle mass: derived here.
"""

import dataclasses

from simcore.compiled import FRONT, REAR
from simcore.standing.kinematics import AxleKinematics

Shares = tuple[float, float]


@dataclasses.dataclass(frozen=True)
class Carried:
    """Share of the moved load that the links of one axle carry; 1 = all of it, negative = they add to it.

    Attributes
    ----------
    usual_formula : axle mass left out
    with_axle_mass : all that the shocks need not carry
    """

    usual_formula: float
    with_axle_mass: float


@dataclasses.dataclass(frozen=True)
class Stand:
    """What the percentages need to know of a standing rig.

    Attributes
    ----------
    steepness : h/L, height of the whole centre of mass over the ground per wheelbase
    moved : load that moves per ``M A``: the same, over the line where the thrust acts. A soft tyre takes its
        thrust at the rolling radius, a little below the ground (see `simcore.dynamics.forces.tyre_forces`).
    mass_shares : mass of the rear and the front axle per whole mass
    load_shares : what the rear and the front tyres carry
    """

    steepness: float
    moved: float
    mass_shares: Shares
    load_shares: Shares


def thrust_shares(drive: str, loads: Shares) -> Shares:
    """Share of the thrust of the rear and the front axle: of driven axles as their loads, at equal grip."""
    if drive == "all":
        return loads[REAR] / sum(loads), loads[FRONT] / sum(loads)
    return (1.0, 0.0) if drive == "rear" else (0.0, 1.0)


def carried(path: AxleKinematics, stand: Stand, thrust_share: float, i: int) -> Carried:
    """What the links of axle i carry: at the rear of the squat, at the front of the lift.

    ``(1-xi) tan(a)/(h/L)`` at the rear and ``-xi tan(a)/(h/L)`` at the front, xi the front share of the
    thrust; with axle mass ``m/M p_x`` is added to the share times the slope.
    """
    towards, thrust = (1.0 if i == REAR else -1.0), thrust_share * path.slope
    linked = thrust + stand.mass_shares[i] * path.mass_along
    return Carried(towards * thrust / stand.steepness, towards * linked / stand.moved)


@dataclasses.dataclass(frozen=True)
class LevelLine:
    """Where the instant centre of an axle must lie for its links to carry all of the moved load.

    Attributes
    ----------
    foot : height over the axle's contact point at which the line stands above it, m
    gradient : rise of the line per way towards the other axle
    """

    foot: float
    gradient: float


def level_line(stand: Stand, thrust_share: float, mass_height: float, i: int) -> LevelLine | None:
    """Line of the instant centres that keep an axle level, axle mass counted; None when no thrust could.

    With the instant centre d ahead of and e above the contact point, and the axle's centre of mass z above
    it: ``(s e - (m/M) (e - z))/d = h/L``, s the thrust share. A straight line through
    ``(0, -(m/M) z/(s - m/M))`` of gradient ``(h/L)/(s - m/M)``; without axle mass that of the textbooks,
    through the contact.
    """
    rest = thrust_share - stand.mass_shares[i]
    if rest <= 0.0:
        return None
    return LevelLine(-stand.mass_shares[i] * mass_height / rest, stand.moved / rest)
