"""What was driven: the main numbers of a rig, what held in the runs, and what each case changes."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from simcore.errors import InputError, RejectedValue
from simcore.files.scenario import Scenario
from simcore.files.schema import leaves
from simcore.files.steps import steps
from simcore.results.conditions import NOTHING, STATED, Conditions, words
from simcore.results.formatting import three_digits
from simcore.rig.masses import SIDES
from simcore.studies.key_names import key_name
from simcore.studies.plan import axis_label, axis_value
from simcore.views.console.layout import Block, Grid, Line

WHOLE = {
    "wheelbase": "wheelbase",
    "chassis.mass": "bare chassis",
    "chassis.cg.1": "its centre, above the table",
    "driveline.drive": "driven axles",
    "driveline.ratio": "motor turns per turn of the wheels",
    "driveline.overdrive": "overdrive",
    "motor.kv": "motor kv",
    "motor.voltage": "supply voltage",
}
ENDS = {
    "housing.mass": "axle housing",
    "tyre.wheel_mass": "one wheel",
    "tyre.radius": "tyre radius",
    "tyre.stiffness": "tyre stiffness",
    "tyre.peak_grip": "grip",
    "shock.springs.0.rate": "spring rate, of one shock",
    "shock.damper.compression": "damping, compression",
    "shock.damper.rebound": "damping, rebound",
    "shock.friction.breakaway": "shock friction, breaking away",
    "lower_link.chassis.1": "lower link, height at the chassis",
    "lower_link.axle.1": "lower link, height at the axle",
    "upper_link.chassis.1": "upper link, height at the chassis",
    "upper_link.axle.1": "upper link, height at the axle",
}
"""Keys of the main numbers, of the whole rig and of each end, in words."""
ASKED = ("rig", "ground", "start", "driver", "end", "goal")  # tables in which cases differ
FEW = 4  # values of an axis, that are listed
MOST_CHANGES = 12  # of one case, that are listed


class Change(NamedTuple):
    """One number that a case changes, in words."""

    case: str
    what: str
    before: str
    after: str


def rig_blocks(scenario: Scenario) -> list[Block]:
    """Main numbers of the base's rig."""
    raw = scenario.table["rig"]
    whole = [((words,), [_said(path, _at(raw, path))]) for path, words in WHOLE.items()]
    ends = [
        ((words,), [_said(f"{end}.{path}", _at(raw, f"{end}.{path}")) for end in SIDES])
        for path, words in ENDS.items()
    ]
    ends = [(words, cells) for words, cells in ends if any(cells)]
    found: list[Block] = [
        Grid(("whole rig",), [words for words, _ in whole], [("",)], [cells for _, cells in whole]),
        Grid(
            ("each end",),
            [words for words, _ in ends],
            [(end,) for end in SIDES],
            [[cell or "-" for cell in cells] for _, cells in ends],
        ),
    ]
    parts = [(part["name"], _said("parts.0.mass", part["mass"]), part["on"]) for part in raw.get("parts", ())]
    if parts:
        cells = [[mass, on] for _, mass, on in parts]
        found.append(Grid(("loose parts",), [(name,) for name, _, _ in parts], [("mass",), ("on",)], cells))
    return found


def conditions(scenario: Scenario) -> list[tuple[str, str]]:
    """Rig, ground, driver, grip and drive in words."""
    held = Conditions.of(scenario)
    axes = [(axis_label(path), [axis_value(path, one) for one in own]) for path, own in scenario.vary.items()]
    return [
        ("rig", held.rig),
        *(pair for pair in zip(STATED, held.stated, strict=True) if pair[1] != NOTHING),
        *((label.name, _ends(values, label.unit)) for label, values in axes),
    ]


def _ends(values: Sequence[Any], unit: str) -> str:
    """From where to where, or each where there are few or no numbers."""
    said = [f"{one:g}" if isinstance(one, float) else str(one) for one in values]
    few = len(said) <= FEW or not all(isinstance(one, int | float) for one in values)
    if few:
        return f"{', '.join(said)} {unit}".strip()
    return " ".join(f"{said[0]} to {said[-1]} {unit}".split()) + f", {len(said)} values"


def change_blocks(scenario: Scenario, only: Collection[str] = ()) -> list[Block]:
    """What each case changes against the base; `only`: some of them."""
    rows: list[Change] = []
    left: list[Block] = []
    for name in only or scenario.variants:
        try:
            own = scenario.variant(name)
        except InputError:  # a case that cannot be built is told where its result would be
            continue
        found = list(_changes(name, scenario, own))
        rows += found[:MOST_CHANGES]
        if own.rig.name != scenario.rig.name:
            left.append(Line(f"{name}: another rig, {own.rig.name}."))
        if len(found) > MOST_CHANGES:
            left.append(Line(f"{name}: {len(found) - MOST_CHANGES} more changes stand in the inputs below."))
    if not rows:
        return left
    columns = [("changes",), (scenario.case,), ("to",)]
    return [
        Grid(
            ("what each case changes",), [(one.case,) for one in rows], columns, [[*one[1:]] for one in rows]
        ),
        *left,
    ]


def _changes(case: str, base: Scenario, own: Scenario) -> Iterator[Change]:
    """What a case changes: the driver's doing in words, where these tell it, the rest number by number."""
    drivers = [words(one)[STATED.index("driver")] for one in (base, own)]
    if drivers[0] != drivers[1]:
        yield Change(case, "driver", *drivers)
    asked = [key for key in ASKED if key != "driver" or drivers[0] == drivers[1]]
    old, new = (_values({key: one.table.get(key, {}) for key in asked}) for one in (base, own))
    for path in dict.fromkeys([*old, *new]):
        if old.get(path) != new.get(path) and not path.endswith((".name", ".note")):
            bare = path.removeprefix("rig.")
            name = _name(own if path in new else base, path)
            yield Change(case, name, *(_said(bare, one.get(path)) or "-" for one in (old, new)))


def _values(table: Mapping[str, Any]) -> dict[str, Any]:
    """Every single value of a table by its dotted path."""
    return {".".join(map(str, place)): value for place, value in leaves(table)}


def _at(raw: Any, path: str) -> Any:
    """The value at a path; None where there is none."""
    for step in path.split("."):
        try:
            raw = raw[int(step)] if step.isdigit() else raw[step]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def _name(scenario: Scenario, path: str) -> str:
    """What to call a value of a scenario: its path in words."""
    try:
        return key_name(scenario, steps(path, Scenario)).removeprefix("rig ")
    except (RejectedValue, KeyError, IndexError, ValueError, TypeError):
        return path.replace(".", " ").replace("_", " ")


def _said(path: str, value: Any) -> str:
    """A value with its unit; empty where there is none."""
    if value is None:
        return ""
    try:
        number, unit = axis_value(path, value), axis_label(path).unit
    except (RejectedValue, KeyError, IndexError, ValueError, TypeError):
        return str(value)
    if isinstance(number, bool) or not isinstance(number, int | float):
        return str(number)
    text = f"{number}" if isinstance(number, int) else three_digits(number)
    return f"{text} {unit}".strip()
