"""Every value of a rig from a worksheet."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from simcore.files.measured import Reading
from simcore.files.rig import Rig
from simcore.files.worksheet import Worksheet
from simcore.readings.drive_values import put_drive
from simcore.readings.guesses import Guess
from simcore.readings.link_values import put_housing, put_links, put_shaft
from simcore.readings.photo import places
from simcore.readings.shock_values import ShockFound, put_shock
from simcore.readings.side import Side
from simcore.readings.tyre_values import put_tyre
from simcore.readings.uncertain import made_of
from simcore.readings.uncertain_rig import rig_of, rig_table, uncertain_rig
from simcore.readings.whole import axle_loads, put_chassis
from simcore.readings.workings import Disagreement, Entry, Origin, Workings, way
from simcore.rig.masses import SIDES, Mass


@dataclass(frozen=True)
class Derived:
    """A rig worked out from a worksheet.

    Attributes
    ----------
    worksheet : what was read
    entries : values by dotted key of the rig file
    fixed : what is no number, by dotted key
    guesses : every guess that some value hangs on, by its tag
    disagreements : readings that contradict themselves or one another
    unused : tables that could not be used, with the lines that are missing
    shocks : what else the lines of the shocks showed, by axle
    whole : mass and centre of the whole rig
    """

    worksheet: Worksheet
    entries: dict[str, Entry]
    fixed: dict[str, Any]
    guesses: dict[str, Guess]
    disagreements: list[Disagreement]
    unused: dict[str, tuple[str, ...]]
    shocks: dict[str, ShockFound]
    whole: Mass

    @property
    def counts(self) -> Counter[Origin]:
        """How many values there are of each origin."""
        return Counter(entry.origin for entry in self.entries.values())

    @property
    def table(self) -> dict[str, Any]:
        """The rig file as a table."""
        return rig_table(self.entries, self.fixed)

    def rig(self) -> Rig:
        """The rig.

        Raises
        ------
        InputError
            When the values make no rig; names the worksheet, and how the value at fault came about.
        """
        return rig_of(self.table, self.entries, str(self.worksheet.path))


def derive(worksheet: Worksheet, moved: Mapping[str, float] | None = None) -> Derived:
    """Work out every value of a rig, each with its error.

    Parameters
    ----------
    worksheet : what was read
    moved : tag of a reading or guess to a value, SI, that it is to have instead of its own

    Raises
    ------
    InputError
        When readings make no rig, or points of the photograph give no scale.
    """
    workings = Workings(worksheet, moved or {})
    _photograph(workings)
    wheelbase = workings.put_best("wheelbase", "mm", [way("read", workings.read("wheelbase"))])
    track = workings.read("track")
    if track is not None:
        workings.put("track", "mm", "read", track)
    loads = axle_loads(workings)
    hubs, shocks = [], {}
    for name, load in zip(SIDES, (loads.rear, loads.front), strict=True):
        side = Side(workings, name, wheelbase, load, loads.rear + loads.front)
        hub = put_tyre(side)
        put_housing(side)
        put_links(side, hub)
        shocks[name] = put_shock(side, hub)
        put_shaft(side)
        hubs.append(hub)
    put_drive(workings)
    shown = {name: workings.read(f"scales.{name}") for name in SIDES}
    if None not in shown.values():
        for name, number in shown.items():
            workings.put(f"weighed.{name}", "g", "read", number)
    fixed = _fixed(workings)
    _put_parts(workings)
    rig = uncertain_rig(workings.entries, fixed, str(worksheet.path))
    whole = put_chassis(workings, rig, loads, (hubs[0], hubs[1]))
    used = {tag for entry in workings.entries.values() for tag in made_of(entry.number)}
    guesses = {tag: guess for tag, guess in workings.guesses.items() if tag in used}
    return Derived(
        worksheet, workings.entries, fixed, guesses, workings.disagreements, workings.unused, shocks, whole
    )


def _photograph(workings: Workings) -> None:
    """Work out places from pixels."""
    photo = workings.worksheet.photo
    if not photo.points:
        return
    known = [
        (_pair(workings, f"photo.known.{i}.pixel"), _pair(workings, f"photo.known.{i}.at"))
        for i in range(len(photo.known))
    ]
    pixels = [
        (workings.number(f"photo.points.{name}.0", right), workings.number(f"photo.points.{name}.1", down))
        for name, (right, down) in photo.points.items()
    ]
    found = places(known, pixels)
    if found is None:
        got = f"{len(known)} known points, or points too near to one another"
        must_be = "two points far apart; four corners of a wide box if the camera did not look square"
        raise workings.refuse("photo.known", got, must_be)
    workings.photographed |= dict(zip(photo.points, found, strict=True))


def _pair(workings: Workings, key: str) -> tuple[Any, Any]:
    return workings.read(f"{key}.0"), workings.read(f"{key}.1")


def _fixed(workings: Workings) -> dict[str, Any]:
    """What of a rig file is no number."""
    worksheet = workings.worksheet
    fixed: dict[str, Any] = {"name": worksheet.name}
    if worksheet.note:
        fixed["note"] = worksheet.note
    for name in SIDES:
        lines = getattr(worksheet, name)
        fixed[f"{name}.shock.springs.0.hold_ride_height"] = True
        if lines.shock.link is not None:
            fixed[f"{name}.shock.link"] = lines.shock.link
        if lines.shaft.turns is not None and f"{name}.shaft.ratio" in workings.entries:
            fixed[f"{name}.shaft.turns"] = lines.shaft.turns
    if worksheet.gears.drive is not None:
        fixed["driveline.drive"] = worksheet.gears.drive
    for i, part in enumerate(worksheet.parts):
        fixed |= {f"parts.{i}.name": part.name, f"parts.{i}.on": part.on}
    return fixed


def _put_parts(workings: Workings) -> None:
    """Note loose parts and skids as read."""
    for kind in ("parts", "skids"):
        for i, line in enumerate(getattr(workings.worksheet, kind)):
            for key, unit in (("mass", "g"), ("radius", "mm")):
                if isinstance(getattr(line, key, None), Reading):
                    workings.put(f"{kind}.{i}.{key}", unit, "read", workings.read(f"{kind}.{i}.{key}"))
            for key in ("at", "size"):
                if getattr(line, key, None) is not None:
                    for axis in (0, 1):
                        place = f"{kind}.{i}.{key}.{axis}"
                        workings.put(place, "mm", "read", workings.read(place))
