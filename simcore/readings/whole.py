"""The whole rig on scales and swinging; the bare chassis from the whole less everything that was weighed."""

from typing import Any

from simcore.readings.side import ROUGH_BOX
from simcore.readings.uncertain import Number, error_of, value_of, variable
from simcore.readings.weighing import (
    box_inertia,
    centre_ahead_of_rear,
    height_by_raised_axle,
    height_by_tipping,
    inertia_by_pendulum,
    inertia_by_two_cords,
)
from simcore.readings.workings import Spot, Way, Workings, distance, way
from simcore.rig.masses import Mass, join, lumps_of, sides

LEAST_ARM = 0.01
"""Distance of a pendulum's pivot from the centre of mass, m, below which its swing says nothing."""
HEIGHT = "scales.cg_height"


def axle_loads(workings: Workings) -> tuple[tuple[Number, Number], bool]:
    """What scales show under rear and front axle, kg, and whether that was read; else it is guessed."""
    rear, front, whole = (workings.read(f"scales.{key}") for key in ("rear", "front", "whole"))
    if rear is not None and front is not None:
        workings.best("scales.whole", "g", [Way("rear + front", rear + front), way("read", whole)])
        return (rear, front), True
    if whole is not None and rear is not None:
        return (rear, whole - rear), True
    if whole is not None and front is not None:
        return (whole - front, front), True
    whole = workings.guess("scales.whole") if whole is None else whole
    share = workings.guess("scales.front_share")
    return (whole * (1.0 - share), whole * share), False


def put_chassis(
    workings: Workings, rig: Any, loads: tuple[Number, Number], weighed: bool, hubs: Spot
) -> Mass:
    """Note mass, centre and inertia of the bare chassis; give mass and centre of the whole rig.

    Parameters
    ----------
    workings : readings, and where values go
    rig : with numbers that have errors, but for its chassis
    loads : what scales show under rear and front axle, kg
    weighed : whether that was read
    hubs : heights of rear and front axle centre over the table, m
    """
    solve = _Chassis(workings, rig, loads, hubs)
    if weighed:
        solve.from_the_whole()
    else:
        solve.alone()
    return solve.whole()


class _Chassis:
    """The bare chassis, and the rest of the rig as one lump."""

    def __init__(self, workings: Workings, rig: Any, loads: tuple[Number, Number], hubs: Spot) -> None:
        self.workings, self.rig, self.loads, self.hubs = workings, rig, loads, hubs
        self.mass, self.ahead = loads[0] + loads[1], centre_ahead_of_rear(*loads, rig.wheelbase)
        centres = ((0.0, hubs[0]), (rig.wheelbase, hubs[1]))
        (_, *rest), *axles = lumps_of(rig, centres)
        # Half of a shaft without joints rides at the chassis' own centre, which is what is sought.
        self.riding = sum(0.5 * rig.driveline.shaft_mass for axle in sides(rig) if axle.shaft is None)
        out = Mass(-self.riding, *rig.chassis.cg)
        self.rest = join([*rest, *(lump for axle in axles for lump in axle), out])

    def whole(self) -> Mass:
        """The whole rig with the chassis that was found."""
        entries = self.workings.entries
        mass, x, z = (entries[f"chassis.{key}"].number for key in ("mass", "cg.0", "cg.1"))
        return join([Mass(mass + self.riding, x, z), self.rest])

    def from_the_whole(self) -> None:
        """Whole less rest: mass, first and second moment of mass."""
        left = "whole rig less all weighed parts"
        both = self.mass - self.rest.mass
        mass = self.workings.put_best(
            "chassis.mass",
            "g",
            [Way(left, both - self.riding), way("read", self.workings.read("chassis.mass"))],
        )
        if value_of(mass) <= 0.0 or value_of(both) <= 0.0:
            self._too_light()
            self.alone()
            return
        x = (self.mass * self.ahead - self.rest.mass * self.rest.x) / both
        self.workings.put("chassis.cg.0", "mm", left, x)
        height = self._height()
        if height is None:
            z, formula = self._guessed_height(), "guessed height above the axle centres"
        else:
            z, formula = (self.mass * height - self.rest.mass * self.rest.z) / both, left
        self.workings.put("chassis.cg.1", "mm", formula, z)
        self._put_inertia(Mass(mass, x, z), height)

    def alone(self) -> None:
        """Without scales: the chassis as weighed or guessed."""
        mass = self.workings.put_best("chassis.mass", "g", [way("read", self.workings.read("chassis.mass"))])
        x = self.workings.guess("chassis.forward_share") * self.rig.wheelbase
        z = self._guessed_height()
        self.workings.put("chassis.cg.0", "mm", "guess", x)
        self.workings.put("chassis.cg.1", "mm", "guess", z)
        self._put_inertia(Mass(mass, x, z), None)

    def _too_light(self) -> None:
        parts, whole = Way("sum of all parts", self.rest.mass), Way("scales", self.mass)
        self.workings.disagree("scales", "g", whole, parts)

    def _guessed_height(self) -> Number:
        return 0.5 * (self.hubs[0] + self.hubs[1]) + self.workings.guess("chassis.above_hub")

    def _height(self) -> Number | None:
        """Height of the whole rig's centre of mass over the table."""
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
        if found is None:
            return None
        if value_of(found[0]) >= value_of(self.rig.wheelbase):
            got, most = (f"{1e3 * value_of(one):.4g} mm" for one in (found[0], self.rig.wheelbase))
            raise self.workings.refuse("scales.raised.height", got, f"less than the wheelbase, {most}")
        raised_front = self.workings.worksheet.scales.raised.axle != "rear"
        ahead = self.ahead if raised_front else self.rig.wheelbase - self.ahead
        hubs = self.hubs if raised_front else (self.hubs[1], self.hubs[0])
        height = height_by_raised_axle(ahead, self.rig.wheelbase, found[0], found[1] / self.mass, hubs)
        return Way("one axle raised: hub + [b - L (1 - load/whole)] / tan(a), sin(a) = height/L", height)

    def _put_inertia(self, chassis: Mass, height: Number | None) -> None:
        """Note the inertia: from the whole rig's swing, else from its box, else guessed."""
        swung, size = self._swung(chassis, height), self.workings.worksheet.chassis.size
        ways = [] if swung is None else [Way("swing of the whole rig less all parts", swung)]
        if size is not None:
            box = box_inertia(
                chassis.mass, self.workings.read("chassis.size.0"), self.workings.read("chassis.size.1")
            )
            rough = variable(1.0, ROUGH_BOX, "chassis.size taken as a box")
            ways.append(Way("box: mass * (l^2 + h^2) / 12, good to 30 %", rough * box))
        surest = self.workings.best("chassis.pitch_inertia", "kg*mm^2", ways)
        if surest is None or value_of(surest.number) <= max(error_of(surest.number), 1e-7):
            arm = self.workings.guess("chassis.gyration_share") * self.rig.wheelbase
            surest = Way("mass * guessed radius of gyration^2", chassis.mass * arm**2)
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
