"""The whole rig on scales and swinging; the bare chassis from the whole less everything that was weighed."""

from typing import Any, NamedTuple

from simcore.readings.box import by_box, by_gyration
from simcore.readings.uncertain import Number, error_of, value_of
from simcore.readings.weighing import (
    centre_ahead_of_rear,
    height_by_raised_axle,
    height_by_tipping,
    inertia_by_pendulum,
    inertia_by_two_cords,
)
from simcore.readings.workings import DISAGREES, Spot, Way, Workings, distance, said, way
from simcore.rig.masses import Mass, join, lumps_of, sides

LEAST_ARM = 0.01
"""Distance of a pendulum's pivot from the centre of mass, m, below which its swing says nothing."""
HEIGHT = "scales.cg_height"
LEFT = "whole rig less all weighed parts"


class Loads(NamedTuple):
    """What the rig weighs, kg.

    Attributes
    ----------
    rear, front : what scales show under each axle
    mass_read, shares_read : whether the whole and how the axles share it was read; else it is guessed
    """

    rear: Number
    front: Number
    mass_read: bool
    shares_read: bool


def axle_loads(workings: Workings) -> Loads:
    """Loads of both axles: as read, from the whole and one of them, else by a guessed share.

    Raises
    ------
    InputError
        When one axle outweighs the whole rig.
    """
    rear, front, whole = (workings.read(f"scales.{key}") for key in ("rear", "front", "whole"))
    if rear is not None and front is not None:
        workings.best("scales.whole", "g", [Way("rear + front", rear + front), way("read", whole)])
        return Loads(rear, front, mass_read=True, shares_read=True)
    share = workings.guess("scales.front_share")
    if rear is None and front is None:
        both = workings.guess("scales.whole") if whole is None else whole
        return Loads(both * (1.0 - share), both * share, mass_read=whole is not None, shares_read=False)
    one, name = (front, "front") if rear is None else (rear, "rear")
    if whole is None:  # the other by the guessed share, so that what was read still holds
        whole = one / (share if rear is None else 1.0 - share)
    if value_of(one) >= value_of(whole):
        got, most = (f"{1e3 * value_of(each):.5g} g" for each in (one, whole))
        raise workings.refuse(f"scales.{name}", got, f"less than the whole rig, {most}")
    other = whole - one
    rear, front = (other, one) if rear is None else (one, other)
    return Loads(rear, front, mass_read=True, shares_read=True)


def put_chassis(workings: Workings, rig: Any, loads: Loads, hubs: Spot) -> Mass:
    """Note mass, centre and inertia of the bare chassis; give mass and centre of the whole rig.

    Parameters
    ----------
    workings : readings, and where values go
    rig : with numbers that have errors, but for its chassis
    loads : of both axles
    hubs : heights of rear and front axle centre over the table, m
    """
    solve = _Chassis(workings, rig, loads, hubs)
    chassis = solve.put()
    return join([Mass(chassis.mass + solve.riding, chassis.x, chassis.z), solve.rest])


class _Chassis:
    """The bare chassis: the whole rig less the rest of it, one lump, as far as the whole was read."""

    def __init__(self, workings: Workings, rig: Any, loads: Loads, hubs: Spot) -> None:
        self.workings, self.rig, self.loads, self.hubs = workings, rig, loads, hubs
        self.mass, self.ahead = (
            loads.rear + loads.front,
            centre_ahead_of_rear(loads.rear, loads.front, rig.wheelbase),
        )
        centres = ((0.0, hubs[0]), (rig.wheelbase, hubs[1]))
        (_, *rest), *axles = lumps_of(rig, centres)
        # Half of a shaft without joints rides at the chassis' own centre, which is what is sought.
        self.riding = sum(0.5 * rig.driveline.shaft_mass for axle in sides(rig) if axle.shaft is None)
        out = Mass(-self.riding, *rig.chassis.cg)
        self.rest = join([*rest, *(lump for axle in axles for lump in axle), out])

    def put(self) -> Mass:
        """Note the chassis; give mass and centre."""
        mass = self._put_mass()
        if not self.loads.mass_read:
            self.mass = self.rest.mass + self.riding + mass
        both = mass + self.riding  # what is left of the whole, at the chassis' centre
        if self.loads.shares_read:
            x = (self.mass * self.ahead - self.rest.mass * self.rest.x) / both
            self.workings.put("chassis.cg.0", "mm", LEFT, x)
        else:
            x = self.workings.guess("chassis.forward_share") * self.rig.wheelbase
            self.workings.put("chassis.cg.0", "mm", "guess", x)
            self.ahead = (both * x + self.rest.mass * self.rest.x) / self.mass
        height = self._height()
        if height is None:
            z = 0.5 * (self.hubs[0] + self.hubs[1]) + self.workings.guess("chassis.above_hub")
            self.workings.put("chassis.cg.1", "mm", "guess", z)
        else:
            z = (self.mass * height - self.rest.mass * self.rest.z) / both
            self.workings.put("chassis.cg.1", "mm", LEFT, z)
            if value_of(z) <= 0.0:
                text = f"it leaves the bare chassis {said(z, 'mm')} high, below the table"
                self.workings.note(HEIGHT, text)
        chassis = Mass(mass, x, z)
        self._put_inertia(chassis, height)
        return chassis

    def _put_mass(self) -> Number:
        """Note the mass: whole less rest, else as read or guessed."""
        read = way("read", self.workings.read("chassis.mass"))
        left = self.mass - self.rest.mass - self.riding
        if not self.loads.mass_read:
            return self.workings.put_best("chassis.mass", "g", [read])
        if value_of(left) > 0.0:
            return self.workings.put_best("chassis.mass", "g", [Way(LEFT, left), read])
        parts = Way("sum of all parts", self.rest.mass + self.riding)
        if value_of(parts.number) > DISAGREES * error_of(parts.number - self.mass) + value_of(self.mass):
            self.workings.disagree("scales", "g", Way("scales", self.mass), parts)
        self.loads = self.loads._replace(mass_read=False, shares_read=False)
        return self.workings.put_best("chassis.mass", "g", [read])

    def _height(self) -> Number | None:
        """Height of the whole rig's centre of mass over the table; None where nothing tells it."""
        tipped = self.workings.all_read("scales.tipped", "width", "angle")
        ways = [
            way("read", self.workings.read(HEIGHT)),
            self._by_raising(),
            Way("width / 2 / tan(angle), tipped", height_by_tipping(tipped[0], tipped[1]))
            if tipped
            else None,
        ]
        surest = self.workings.best(HEIGHT, "mm", ways)
        return None if surest is None else surest.number

    def _by_raising(self) -> Way | None:
        found = self.workings.all_read("scales.raised", "height", "load")
        axle = self.workings.worksheet.scales.raised.axle
        if found is None or axle is None or not self.loads.shares_read:
            return None
        if value_of(found[0]) >= value_of(self.rig.wheelbase):
            got, most = (f"{1e3 * value_of(one):.4g} mm" for one in (found[0], self.rig.wheelbase))
            raise self.workings.refuse("scales.raised.height", got, f"less than the wheelbase, {most}")
        raised_front = axle == "front"
        ahead = self.ahead if raised_front else self.rig.wheelbase - self.ahead
        hubs = self.hubs if raised_front else (self.hubs[1], self.hubs[0])
        height = height_by_raised_axle(ahead, self.rig.wheelbase, found[0], found[1] / self.mass, hubs)
        return Way("one axle raised: hub + [b - L (1 - load/whole)] / tan(a), sin(a) = height/L", height)

    def _put_inertia(self, chassis: Mass, height: Number | None) -> None:
        """Note the inertia: from the whole rig's swing, else from its box, else guessed."""
        swung = self._swung(chassis, height)
        ways = [
            way("swing of the whole rig less all parts", swung),
            by_box(self.workings, "chassis.size", chassis.mass),
        ]
        if swung is not None and value_of(swung) < -error_of(swung):
            text = f"the swing of the whole rig leaves the bare chassis {said(swung, 'kg*mm^2')}"
            self.workings.note("chassis.pitch_inertia", text)
        surest = self.workings.best("chassis.pitch_inertia", "kg*mm^2", ways)
        if surest is None or value_of(surest.number) <= max(error_of(surest.number), 1e-7):
            arm = self.workings.guess("chassis.gyration_share") * self.rig.wheelbase
            surest = by_gyration(chassis.mass, arm)
        self.workings.put("chassis.pitch_inertia", "kg*mm^2", surest.formula, surest.number)

    def _swung(self, chassis: Mass, height: Number | None) -> Number | None:
        """Inertia of the chassis about its own centre: that of the whole less all else.

        The wheels are carried along as the rig swings, so their own inertia is in what was measured.
        """
        if height is None:
            return None
        whole = self._whole_inertia(height)
        if whole is None:
            return None
        wheels = sum(2.0 * axle.tyre.spin_inertia for axle in (self.rig.rear, self.rig.front))
        parts = (Mass(chassis.mass + self.riding, chassis.x, chassis.z), self.rest)
        apart = sum(m.mass * ((m.x - self.ahead) ** 2 + (m.z - height) ** 2) for m in parts)
        return whole - wheels - self.rest.inertia - apart

    def _whole_inertia(self, height: Number) -> Number | None:
        cords = self.workings.all_read("swing.cords", "top", "bottom", "length", "time", "swings")
        pivot = self.workings.all_read("swing.pendulum", "at.0", "at.1", "time", "swings")
        ways = []
        if cords is not None:
            top, bottom, length, time, swings = cords
            inertia = inertia_by_two_cords(self.mass, top, bottom, length, time / swings)
            ways.append(Way("hung from two cords", inertia))
        if pivot is not None:
            x, z, time, swings = pivot
            arm = distance((self.ahead, height), (x, z))
            if value_of(arm) < LEAST_ARM:
                got = f"{1e3 * value_of(arm):.1f} mm from the centre of mass"
                must_be = f"{1e3 * LEAST_ARM:g} mm away from it or more, or the rig hardly swings"
                raise self.workings.refuse("swing.pendulum.at", got, must_be)
            ways.append(Way("pendulum", inertia_by_pendulum(self.mass, arm, time / swings)))
        surest = self.workings.best("pitch inertia of the whole rig", "kg*mm^2", ways)
        return None if surest is None else surest.number
