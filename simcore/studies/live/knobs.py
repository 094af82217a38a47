"""What of a scenario may be turned: every number, choice and switch of its file that changes the run."""

import enum
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, get_args, get_origin

from simcore.files.axes import settings_of
from simcore.files.scenario import Driver, Scenario
from simcore.files.schema import fields, follow, items, plain, submodel
from simcore.files.settings import apply, edits
from simcore.files.steps import Steps
from simcore.plausibility.look import of_file
from simcore.results.formatting import WEIGHED
from simcore.rig.masses import SIDES
from simcore.studies.key_names import key_name, path_of
from simcore.studies.live.reach import Reach, reach_of
from simcore.units import GRAMS, Q, to_bench

UNTURNED = frozenset(
    {
        *("output", "solver", "visible", "without_support", "weighed", "spread", "schema"),
        *("variants", "common", "vary", "conclusion", "rigs", "rank"),
    }
)
"""Keys that say how a run is worked out, shown or compared, but not what is run."""
OFTEN = (
    ("ground", "slope"),
    ("ground", "grip"),
    ("driver", "control"),
    ("rig", "driveline", "overdrive"),
    *(("rig", axle, "tyre", "peak_grip") for axle in SIDES),
)
"""Keys that are turned in every scenario; springs, the driver's tables and the battery come to them."""
GROUPS: Mapping[str, str] = {
    **{"ground": "Course", "start": "Start", "driver": "Driver", "end": "End of the run", "goal": "Goal"},
    **{"chassis": "Chassis", "driveline": "Driveline", "motor": "Motor", "parts": "Parts", "skids": "Skids"},
}
DRIVEN_BY = get_args(Driver.model_fields["control"].annotation)
OF_AXLE: Mapping[str, str] = {
    **{"housing": "axle", "lower_link": "links", "upper_link": "links", "arm": "arm"},
    **{"shock": "shocks", "tyre": "tyres", "shaft": "drive shaft"},
}


class Kind(enum.Enum):
    """What turning a knob gives."""

    NUMBER = "number"
    CHOICE = "choice"
    SWITCH = "switch"


@dataclass(frozen=True)
class Knob:
    """A key of the scenario, or of its rig, that may be turned.

    Attributes
    ----------
    path : as a setting names it
    label, group : what to call it, and what it belongs to
    kind : what it gives
    value : as it stands in the file, a number in `unit`
    says : what the key means
    often : whether it is shown without being looked for
    unit : bench unit; empty for none
    said_unit, said_factor : unit in which people say it, and what turns the number into it
    reach : ends and step of a slider; None of what is no number
    choices : words to choose from
    """

    path: str
    label: str
    group: str
    kind: Kind
    value: float | str | bool
    says: str
    often: bool
    unit: str = ""
    said_unit: str = ""
    said_factor: float = 1.0
    reach: Reach | None = None
    choices: tuple[str, ...] = ()


def knobs(scenario: Scenario, whole: Scenario | None = None) -> list[Knob]:
    """Everything that may be turned of a case, what drives it before the tables that stand by.

    Parameters
    ----------
    scenario : the case
    whole : the scenario with all its cases and axes, which say what is worth turning; None: `scenario`
    """
    found = list(_Turning(scenario, whole or scenario).knobs())
    idle = tuple(f"driver.{table}." for table in DRIVEN_BY if table != scenario.driver.control)
    return sorted(found, key=lambda knob: knob.path.startswith(idle))


@dataclass(frozen=True)
class _Turning:
    """A case whose keys are gone through."""

    scenario: Scenario
    whole: Scenario

    @cached_property
    def changed(self) -> dict[Steps, list[float]]:
        """What its other cases and axes change, and the numbers that they then have."""
        return _changed(self.whole)

    @cached_property
    def usual(self) -> dict[Steps, tuple[float, float]]:
        """Ends of what rigs usually have, SI."""
        found = (one for one in of_file(self.scenario.rig) if one.direct)
        return {("rig", *one.key): (one.low, one.high) for one in found}

    def knobs(self) -> Iterator[Knob]:
        for place, value, says in _leaves(self.scenario.table, ()):
            if self._has_no_say(place):
                continue
            hint = follow(Scenario, place)
            inner, quantity = plain(hint)
            if isinstance(value, bool):
                yield self._knob(place, Kind.SWITCH, value, says)
            elif quantity is not None:
                yield self._number(place, quantity, value, says)
            elif get_origin(inner) is Literal and isinstance(value, str):
                yield self._knob(place, Kind.CHOICE, value, says, choices=self._choices(place, inner))

    def _choices(self, place: Steps, inner: Any) -> tuple[str, ...]:
        """Words to choose from; a table of the driver that has no rows drives nothing."""
        words: tuple[str, ...] = get_args(inner)
        if place == ("driver", "control"):
            return tuple(table for table in words if getattr(self.scenario.driver, table))
        return words

    def _has_no_say(self, place: Steps) -> bool:
        """Whether a key must be left out as the course is built."""
        pieces = self.scenario.ground.pieces
        match place:
            case ("ground", "slope" | "grip"):
                return bool(pieces)
            case ("ground", "pieces", int(k), "slope"):
                return pieces[k].ledge is not None
        return False

    def _number(self, place: Steps, quantity: Q, value: Any, says: str) -> Knob:
        number, unit = quantity.bench(value), quantity.unit
        ends = self.usual.get(place)
        usual = None if ends is None else (to_bench(ends[0], unit), to_bench(ends[1], unit))
        said = WEIGHED.get(unit, unit)
        return self._knob(
            place,
            Kind.NUMBER,
            int(number) if number.is_integer() else number,
            says,
            unit="" if unit == "1" else unit,
            said_unit="" if said == "1" else said,
            said_factor=GRAMS if unit in WEIGHED else 1.0,
            reach=reach_of(number, quantity, is_place(place), usual, self.changed.get(place, ())),
        )

    def _knob(self, place: Steps, kind: Kind, value: Any, says: str, **more: Any) -> Knob:
        return Knob(
            path=path_of(place),
            label=key_name(self.scenario, place),
            group=_group(place),
            kind=kind,
            value=value,
            says=says,
            often=self._often(place),
            **more,
        )

    def _often(self, place: Steps) -> bool:
        if place in OFTEN or any(place[: len(where)] == where for where in self.changed):
            return True
        match place:
            case ("ground", "pieces", _, key):
                return key in ("slope", "ledge", "grip")
            case ("driver", str(table), int(row), _):
                return table != "brake" and row > 0
            case ("rig", _, "shock", "springs", _, "rate"):
                return True
            case ("rig", "parts", int(k), "at", _):
                return self.scenario.rig.parts[k].name.casefold().startswith("battery")
        return False


def _changed(whole: Scenario) -> dict[Steps, list[float]]:
    """Keys that the other cases and the axes of a scenario change, and the numbers that they then have."""
    found: dict[Steps, list[float]] = {}
    sets = [whole.edits_of(name) for name in whole.variants]
    sets += [edits(settings_of(path, value)) for path, values in whole.vary.items() for value in values]
    for one in sets:
        own = [edit for edit in one if not edit.names_a_rig]
        applied = apply(whole.raw_case, own, Scenario, str(whole.path))
        for place in applied.placed:
            found.setdefault(place, []).extend(_in_bench_unit(place, _at(applied.raw, place)))
    return found


def _at(value: Any, place: Steps) -> Any:
    """What stands at a place of a raw scenario; None if a setting took it out."""
    for step in place:
        value = value.get(step) if isinstance(value, Mapping) else value[step]
    return value


def _in_bench_unit(place: Steps, value: Any) -> list[float]:
    quantity = plain(follow(Scenario, place))[1]
    if quantity is None or value is None:
        return []
    try:
        return [quantity.bench(value)]
    except ValueError:  # of a file that was changed since it was checked
        return []


def _leaves(value: Any, place: Steps, says: str = "") -> Iterator[tuple[Steps, Any, str]]:
    """Place, value and meaning of everything in a written scenario that is no table and no list."""
    if isinstance(value, Mapping):
        model = submodel(follow(Scenario, place)) if place else Scenario
        known = fields(model) if model is not None else {}
        for key, inside in value.items():
            if key not in UNTURNED:
                own = known[key].description if key in known else ""
                yield from _leaves(inside, (*place, key), " ".join((own or says).split()))
    elif isinstance(value, list):
        for k, inside in enumerate(value):
            yield from _leaves(inside, (*place, k), says)
    else:
        yield place, value, says


# --- places ---


def is_place(place: Steps) -> bool:
    """Whether a key is the x or z of a place."""
    kinds = items(follow(Scenario, place[:-1]))
    quantities = [plain(kind)[1] for kind in kinds or ()]
    return len(quantities) == 2 and all(one is not None and one.unit == "mm" for one in quantities)


def _group(place: Steps) -> str:
    if place[0] == "driver" and place[1] in DRIVEN_BY:
        return f"Driver, while control is {place[1]}"
    if place[0] != "rig":
        return GROUPS.get(str(place[0]), str(place[0]).capitalize())
    if place[1] in SIDES:
        return f"{str(place[1]).capitalize()} {OF_AXLE.get(str(place[2]), 'axle')}"
    return GROUPS.get(str(place[1]), "Rig")
