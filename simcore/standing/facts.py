"""The standing facts of a rig: what it is and how it stands, before it moves."""

import dataclasses

from simcore.rig.masses import Mass
from simcore.standing.axes import Point
from simcore.standing.breakaway_onset import BreakawayOnset
from simcore.standing.kinematics import AxleKinematics
from simcore.standing.limits import StandingLimits
from simcore.standing.modes import Modes
from simcore.standing.percentages import (
    Carried,
    LevelLine,
)
from simcore.standing.shocks import Shocks


@dataclasses.dataclass(frozen=True)
class AxleFacts:
    """One axle where the rig stands, SI; places in ground axes: along the ground from below the rear wheel
    centre, and above it.

    Attributes
    ----------
    load : tyre load, N
    load_on_level : likewise on the level
    weighed : likewise as the rig file says it was measured; None where it does not
    mass : unsprung, kg
    hub, contact, mass_centre : wheel centre, point where the thrust acts, and centre of the axle's mass
    radius : free radius of the tyre
    pins : chassis pin and axle pin of each link, lower one first; of an arm its pin and the wheel centre
    shock_mounts : upper and lower
    path : motion that the links leave to the axle; None when it can only move along the ground
    centre : instant centre; None when the links are parallel
    carried : what the links carry, by drive: "own", "rear", "front"; None without a path
    level_line : where the instant centre would keep this end level, with the rig's own drive
    thrust_share : of this axle, with the rig's own drive
    shocks : where the rig stands
    sag : travel on the level, m
    breakaway_onset : when the shocks break out of friction, from standing on the level
    rolling_radius : m
    """

    load: float
    load_on_level: float
    weighed: float | None
    mass: float
    hub: Point
    contact: Point
    mass_centre: Point
    radius: float
    pins: tuple[tuple[Point, Point], ...]
    shock_mounts: tuple[Point, Point]
    path: AxleKinematics | None
    centre: Point | None
    carried: dict[str, Carried] | None
    level_line: LevelLine | None
    thrust_share: float
    shocks: Shocks
    sag: float
    breakaway_onset: BreakawayOnset | None
    rolling_radius: float


@dataclasses.dataclass(frozen=True)
class SideLoad:
    """Load that shaft torque moves from one tyre of an axle to the other, the other way on the other axle,
    while the rig climbs at constant speed, SI; see `simcore.rig.torque_twist`.

    Attributes
    ----------
    slope : that it climbs, rad
    most : whatever the shares of the axles in the roll stiffness
    by_springs : with the shares of the springs, shocks as far apart front and rear, friction left out; None
        where other than springs resist roll
    """

    slope: float
    most: float
    by_springs: float | None


@dataclasses.dataclass(frozen=True)
class Standing:
    """Standing facts of a rig, SI.

    Attributes
    ----------
    name : of the rig
    slope : of the ground, rad
    drive : "all", "rear" or "front"
    whole, sprung : masses as on the bench
    cg, sprung_cg : their centres where the rig stands, ground axes
    wheelbase : distance of the wheel centres where it stands
    pitch_change : turn of the chassis against the ground, less that on the level, rad
    axles : rear and front
    modes : pitch and bounce on the level
    limits : of the rigid rig
    rolling_overdrive : how much faster the front tread is driven than the rear one, both tyres loaded; None
        unless both axles are driven
    side_load : what a side view leaves out; None unless the rig states track and shafts
    """

    name: str
    slope: float
    drive: str
    whole: Mass
    sprung: Mass
    cg: Point
    sprung_cg: Point
    wheelbase: float
    pitch_change: float
    axles: tuple[AxleFacts, AxleFacts]
    modes: Modes
    limits: StandingLimits
    rolling_overdrive: float | None
    side_load: SideLoad | None
