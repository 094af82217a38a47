"""Works out the standing facts of a rig: how it stands, and what its links, springs and tyres make of it."""

import math

from simcore.compiled import FRONT, REAR, PlaceRecord, StateRecord
from simcore.files.scenario import Scenario
from simcore.laws.frame import point_of
from simcore.rig.model import Model
from simcore.standing.at_rest import stand_up
from simcore.standing.axes import GroundAxes, Point, ground_axes
from simcore.standing.breakaway_onset import Band, BreakawayOnset, breakaway_onset
from simcore.standing.facts import AxleFacts, Standing
from simcore.standing.kinematics import AxleKinematics, axle_kinematics, instant_centre
from simcore.standing.limits import own_drive, standing_limits
from simcore.standing.modes import modes_of
from simcore.standing.percentages import (
    Stand,
    carried,
    level_line,
    thrust_shares,
)
from simcore.standing.shocks import shocks_of
from simcore.standing.side_load import side_load_of
from simcore.units import GRAVITY


def stand(rig_scenario: Scenario) -> Standing:
    """Standing facts of a scenario's rig on its plane of ground.

    Raises
    ------
    InputError
        when the rig cannot be built or cannot stand there.
    """
    model, here, level, at_rest = stand_up(rig_scenario)
    view, flat = _View(model, here), _View(level, at_rest)
    rig = rig_scenario.rig
    weighed = rig.weighed
    axles = _axle(view, flat, REAR, weighed.rear), _axle(view, flat, FRONT, weighed.front)
    overdrive = (1.0 + rig.driveline.overdrive) * axles[FRONT].rolling_radius / axles[REAR].rolling_radius
    turn = float(here.pose[0].angle - at_rest.pose[0].angle) - rig_scenario.ground.slope
    return Standing(
        name=rig.name,
        slope=rig_scenario.ground.slope,
        drive=view.drive,
        whole=model.bench.whole,
        sprung=model.bench.chassis,
        cg=view.cg,
        sprung_cg=view.axes.place((float(here.pose[0].x), float(here.pose[0].z))),
        wheelbase=view.wheelbase,
        pitch_change=turn,
        axles=axles,
        modes=modes_of(level, at_rest),
        limits=standing_limits(model),
        rolling_overdrive=overdrive - 1.0 if view.drive == "all" else None,
        side_load=side_load_of(model, axles, rig_scenario.ground.slope),
    )


class _View:
    """A standing rig with its forces, seen along its ground."""

    def __init__(self, model: Model, state: StateRecord) -> None:
        self.model, self.state, self.led = model, state, model.ledger(state)
        self.axes: GroundAxes = ground_axes(self.led)
        self.drive = own_drive(model)
        masses = [model.rig.chassis.mass, *(axle.body.mass for axle in model.rig.axle)]
        whole = sum(masses)
        x, z = (
            sum(m * getattr(pose, k) for m, pose in zip(masses, state.pose, strict=True)) / whole
            for k in ("x", "z")
        )
        self.cg = self.axes.place((float(x), float(z)))
        self.wheelbase = math.dist(self.hub(REAR), self.hub(FRONT))
        self.weight = float(whole * model.rig.gravity)
        loads = [float(part.tyre.load) for part in self.led.axle]
        (x0, z0), (x1, z1) = self.contact(REAR), self.contact(FRONT)
        thrust_height = z0 + (z1 - z0) * (self.cg[0] - x0) / (x1 - x0)
        self.stand = Stand(
            steepness=self.cg[1] / self.wheelbase,
            moved=(self.cg[1] - thrust_height) / self.wheelbase,
            mass_shares=(float(masses[1] / whole), float(masses[2] / whole)),
            load_shares=(loads[REAR] / sum(loads), loads[FRONT] / sum(loads)),
        )

    def at(self, body: int, place: PlaceRecord) -> Point:
        """A point of a body in ground axes."""
        return self.axes.place(point_of(self.state.pose[body], place))

    def hub(self, i: int) -> Point:
        """Wheel centre of axle i."""
        return self.at(1 + i, self.model.rig.axle[i].centre)

    def contact(self, i: int) -> Point:
        """Where the thrust of axle i acts: the rolling radius below its wheel centre."""
        x, z = self.hub(i)
        return x, z - float(self.led.axle[i].tyre.rolling_radius)

    def path(self, i: int) -> AxleKinematics | None:
        """AxleKinematics of axle i."""
        return axle_kinematics(self.model, self.state, self.axes, i)


def _axle(view: _View, flat: _View, i: int, weighed: float | None) -> AxleFacts:
    """Facts of axle i; `weighed` is what the rig file says that scales show under it, kg."""
    axle, part, path = view.model.rig.axle[i], view.led.axle[i], view.path(i)
    hub, contact = view.hub(i), view.contact(i)
    mass_centre = view.axes.place((float(view.state.pose[1 + i].x), float(view.state.pose[1 + i].z)))
    loads = view.stand.load_shares
    drives = {"own": view.drive, "rear": "rear", "front": "front"}
    shares = {name: thrust_shares(drive, loads)[i] for name, drive in drives.items()}
    own = shares["own"]
    return AxleFacts(
        load=float(part.tyre.load),
        load_on_level=float(flat.led.axle[i].tyre.load),
        weighed=None if weighed is None else weighed * GRAVITY,
        mass=float(axle.body.mass),
        hub=hub,
        contact=contact,
        mass_centre=mass_centre,
        radius=float(axle.tyre.radius),
        pins=_pins(view, i),
        shock_mounts=_mounts(view, i),
        path=path,
        centre=instant_centre(view.led, view.state, view.axes, i),
        carried={k: carried(path, view.stand, v, i) for k, v in shares.items()} if path else None,
        level_line=level_line(view.stand, own, mass_centre[1] - contact[1], i),
        thrust_share=own,
        shocks=shocks_of(axle.shock, float(part.shock.travel), path),
        sag=float(flat.led.axle[i].shock.travel),
        breakaway_onset=_breakaway_onset(flat, i),
        rolling_radius=float(part.tyre.rolling_radius),
    )


def _pins(view: _View, i: int) -> tuple[tuple[Point, Point], ...]:
    axle = view.model.rig.axle[i]
    if axle.arm:
        return ((view.at(0, axle.link[0].chassis), view.hub(i)),)
    return tuple((view.at(0, link.chassis), view.at(1 + i, link.axle)) for link in axle.link)


def _mounts(view: _View, i: int) -> tuple[Point, Point]:
    """Upper and lower mount; the lower one is a mix of the pins of the link that carries it."""
    shock = view.model.rig.axle[i].shock
    f, pin, hub = float(shock.fraction), view.at(0, shock.link_pin), view.at(1 + i, shock.axle)
    lower = (1.0 - f) * pin[0] + f * hub[0], (1.0 - f) * pin[1] + f * hub[1]
    return view.at(0, shock.chassis), lower


def _breakaway_onset(flat: _View, i: int) -> BreakawayOnset | None:
    path = flat.path(i)
    if path is None:
        return None
    axle = flat.model.rig.axle[i]
    slide, lever = axle.slide, float(flat.led.axle[i].tyre.rolling_radius)
    per_thrust = float(slide.friction * lever / (slide.ratio * slide.radius))
    band = Band(
        seals=float(axle.shock.friction.breakaway) * abs(path.ratio),
        splines=per_thrust * abs(path.lengthening),
    )
    gravity = float(flat.model.rig.gravity)
    return breakaway_onset(path, flat.stand, flat.weight, gravity, flat.drive, i, band)
