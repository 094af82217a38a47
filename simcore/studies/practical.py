"""A practical step of every number that a builder can change: how much he changes it by when he tries one.

All steps are common practice, no source. A scenario's own [rank.steps] go before them.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from simcore.errors import RejectedValue
from simcore.files.path_patterns import row_of
from simcore.files.relative import ADD, SUBTRACT, TIMES
from simcore.files.scenario import Scenario
from simcore.files.schema import follow, plain
from simcore.files.settings import Edit
from simcore.files.steps import Steps, steps
from simcore.results.formatting import MINUS
from simcore.studies.live.knobs import Kind, Knob, is_place, knobs
from simcore.units import with_unit

PRACTICE = "common practice, no source"
WAYS = (("further back", "further forward"), ("lower", "higher"))


@dataclass(frozen=True)
class Practical:
    """The step of some numbers.

    Attributes
    ----------
    path : pattern of their dotted paths
    step : in the unit of the key; where `factor`, what it is multiplied and divided by
    factor : whether it is one
    together : what numbers that are changed as one are called; "" where each is changed alone. What the
        pattern keeps in brackets goes before it.
    """

    path: str
    step: float
    factor: bool = False
    together: str = ""


STEPS = (
    Practical(r"(rear|front)\.(lower_link|upper_link|arm)\.(chassis|axle)\.[01]", 5.0),
    Practical(r"(rear|front)\.shock\.(chassis|axle)\.[01]", 5.0),
    Practical(r"(rear|front)\.shock\.springs\.\d+\.rate", 1.25, True),
    Practical(r"(rear|front)\.shock\.damper\.(?:compression|rebound)", 1.5, True, "damping"),
    Practical(r"(rear|front)\.shock\.friction\.(?:breakaway|sliding)", 1.5, True, "shock friction"),
    Practical(r"(rear|front)\.tyre\.stiffness", 1.3, True),
    Practical(r"(rear|front)\.tyre\.(?:peak_grip|sliding_grip)", 1.1, True, "tyre grip"),
    Practical(r"(rear|front)\.tyre\.wheel_mass", 25.0),
    Practical(r"(rear|front)\.housing\.mass", 25.0),
    Practical(r"chassis\.mass", 50.0),
    Practical(r"chassis\.cg\.[01]", 5.0),
    Practical(r"parts\.\d+\.mass", 50.0),
    Practical(r"parts\.\d+\.at\.[01]", 10.0),
    Practical(r"driveline\.overdrive", 5.0),
    Practical(r"driveline\.ratio", 1.1, True),
    Practical(r"motor\.kv", 1.2, True),
    Practical(r"driver\.(torque|throttle|speed)\.\d+\.1", 1.1, True, "asked of the motor"),
    Practical(r"driver\.(torque|throttle|speed)\.\d+\.0", 2.0, True, "time of its rise"),
)
"""What has no row here is no change to be made: an efficiency, an inertia, the ground."""
TYRES = 5.0  # mm of radius


@dataclass(frozen=True)
class Candidate:
    """A change to be tried: its name, and its settings."""

    name: str
    edits: tuple[Edit, ...]


def candidates_of_variants(scenario: Scenario) -> list[Candidate]:
    """Give the variants of a scenario; raises as `Scenario.case_names`."""
    return [Candidate(name, tuple(scenario.edits_of(name))) for name in scenario.case_names()[1:]]


def candidates_of_each(scenario: Scenario) -> list[Candidate]:
    """Give a practical step, up and down, of every number of rig and driver that can be changed."""
    found: dict[str, list[tuple[Knob, float, bool]]] = {}
    own = {_bare(path): step for path, step in scenario.rank.steps.items()}
    turned = [one for one in knobs(scenario) if one.kind is Kind.NUMBER and one.value is not True]
    for knob in turned:
        step = _step_of(knob, own)
        if step is not None:
            name, size, factor = step
            if not factor or float(knob.value) != 0.0:
                found.setdefault(name, []).append((knob, size, factor))
    pairs = [_stepped(name, group, up) for name, group in found.items() for up in (True, False)]
    return [*pairs, *_larger_tyres(turned)]


def unknown_steps(scenario: Scenario) -> Iterator[tuple[str, RejectedValue]]:
    """Give what is wrong with the steps that a scenario states: path, and why it is refused."""
    known = {knob.path: knob for knob in knobs(scenario) if knob.kind is Kind.NUMBER}
    for path, given in scenario.rank.steps.items():
        knob = known.get(_bare(path))
        if knob is None:
            yield path, RejectedValue("no number of this scenario", "the path of one that changes the run")
            continue
        try:
            size, factor = _given(knob, given)
        except RejectedValue as refusal:
            yield path, refusal
            continue
        if not size > (1.0 if factor else 0.0):
            yield path, RejectedValue(f"{given}", "a step above 0")


def _bare(path: str) -> str:
    return path.strip().removeprefix("rig.")


def _step_of(knob: Knob, own: Mapping[str, Any]) -> tuple[str, float, bool] | None:
    """Name of what is changed, step, and whether that is a factor; None for what has no step."""
    if knob.path in own:
        return knob.label, *_given(knob, own[knob.path])
    found = row_of(STEPS, knob.path)
    return None if found is None else (found[1] or knob.label, found[0].step, found[0].factor)


def _given(knob: Knob, given: Any) -> tuple[float, bool]:
    """A step as a scenario states it, and whether it is a factor."""
    text = str(given).strip()
    if knob.unit != "%" and text.endswith("%"):
        try:
            return 1.0 + 0.01 * float(text.removesuffix("%")), True
        except ValueError:
            raise RejectedValue(text, 'a share of the value, as "20 %"') from None
    quantity = plain(follow(Scenario, _place(knob)))[1]
    if quantity is None:
        raise RejectedValue(text, "a number")
    return type(quantity)(quantity.unit).bench(given), False


def _place(knob: Knob) -> Steps:
    return steps(knob.path, Scenario)


def _stepped(name: str, group: list[tuple[Knob, float, bool]], up: bool) -> Candidate:
    """One way of a change."""
    edits, (first, size, factor) = [], group[0]
    for knob, step, by_factor in group:
        if by_factor:
            edits.append(Edit(f"{knob.path} {TIMES}", step if up else 1.0 / step))
        else:
            edits.append(Edit(f"{knob.path} {ADD if up else SUBTRACT}", step))
    if factor:
        return Candidate(f"{name} \N{MULTIPLICATION SIGN}{size if up else 1.0 / size:.3g}", tuple(edits))
    said = with_unit(f"{size * first.said_factor:.3g}", first.said_unit)
    if is_place(_place(first)):
        way = WAYS[int(_place(first)[-1])][up]
        where = first.label.removesuffix(" x").removesuffix(" z").removesuffix(",")
        return Candidate(f"{where} {said} {way}", tuple(edits))
    return Candidate(f"{name} {'+' if up else MINUS}{said}", tuple(edits))


def _larger_tyres(turned: list[Knob]) -> list[Candidate]:
    """Larger and smaller tyres on both axles, with which every place rises or sinks as the rig does."""
    radii = [knob for knob in turned if re.fullmatch(r"(rear|front)\.tyre\.radius", knob.path)]
    raised = [
        knob for knob in turned if (place := _place(knob))[0] == "rig" and place[-1] == 1 and is_place(place)
    ]
    return [
        Candidate(
            f"tyres of both axles {TYRES:g} mm {word} in radius",
            tuple(Edit(f"{knob.path} {operator}", TYRES) for knob in (*radii, *raised)),
        )
        for operator, word in ((ADD, "larger"), (SUBTRACT, "smaller"))
    ]
