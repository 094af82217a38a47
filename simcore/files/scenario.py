"""The scenario file: a rig, a course, a driver, and when to stop."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Literal, Self

import tomli_w
from pydantic import (
    BeforeValidator,
    Field,
    PrivateAttr,
    StrictBool,
    ValidationError,
    ValidationInfo,
    WithJsonSchema,
    model_validator,
)

from simcore.errors import InputError, InputIssue
from simcore.files.axes import FORM, Values, axis_values
from simcore.files.cases import case_issues
from simcore.files.conclusion import Conclusion
from simcore.files.course import Ground
from simcore.files.fields import (
    Contradiction,
    Name,
    OrText,
    Schema,
    Settings,
    Table,
    Time,
    bench,
    refuse,
    rising,
)
from simcore.files.goal import Goal
from simcore.files.rank import Rank
from simcore.files.rig import Rig
from simcore.files.rigs import names_rigs, with_named_rigs
from simcore.files.schema import written, written_without
from simcore.files.settings import Applied, Edit, apply, edits
from simcore.files.settings import Settings as Changes
from simcore.files.source import version
from simcore.files.spread import Spread, contradictions, there
from simcore.files.steps import Steps
from simcore.files.variants import VARIANT, edits_of, issues_of
from simcore.files.words import nearest
from simcore.units import Q

TorqueTable = tuple[tuple[Time, Annotated[float, Q("N*mm", ge=-10000, le=10000)]], ...]
ThrottleTable = tuple[tuple[Time, Annotated[float, Q("%", ge=-100, le=100)]], ...]
SpeedTable = tuple[tuple[Time, Annotated[float, Q("m/s", ge=-20, le=20)]], ...]
BrakeTable = tuple[tuple[Time, Annotated[float, Q("%", ge=0, le=100)]], ...]
Tolerance = Annotated[float, Q("1", ge=1e-12, le=1e-3)]
_ROWS = 64
_MOST_OUTPUT = 200_000


class Start(Table):
    """Where the rig stands, settled, before it moves."""

    rear_axle: Annotated[float, Q("mm", ge=-100000, le=100000)] = 0
    """Place of the rear axle's centre along x, level, from the origin of the course."""


class Driver(Table):
    """What the driver asks for: the table of the chosen control, and the drag brake.

    Tables are rows [time, value], straight between the rows, constant before the first and after the last.
    Times of `torque`, `throttle` and `speed` count from `release`, before which nothing is asked; those of
    `brake` count from the start of the run. An empty table counts as left out.
    """

    control: Literal["torque", "throttle", "speed"]
    """Which of the three tables drives; the others may stand ready for a variant."""
    torque: TorqueTable = Field(default=(), max_length=_ROWS)
    """Rows [time s, torque N*mm] at the motor shaft; negative = reverse."""
    throttle: ThrottleTable = Field(default=(), max_length=_ROWS)
    """Rows [time s, % of the supply voltage]; negative = reverse."""
    speed: SpeedTable = Field(default=(), max_length=_ROWS)
    """Rows [time s, m/s of the rear tyre tread] that the driver holds."""
    brake: BrakeTable = Field(default=(), max_length=_ROWS)
    """Rows [time s, % of the motor's brake_torque]; left out: full until `release`, gone 10 ms later."""
    release: Time = 0.2
    """When the driver lets go of the brake and begins to ask."""
    governor_time: Annotated[float, Q("s", ge=0.001, le=10)] = 0.03
    """Response time of the held speed (control = "speed")."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(self._contradictions())
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        for key in ("torque", "throttle", "speed", "brake"):
            rows = getattr(self, key)
            if key == self.control and not rows:
                yield Contradiction((key,), "no rows", f'a table of [time, value] rows (control is "{key}")')
            if not rising(rows):
                yield Contradiction((key,), "times that do not rise", "rows of strictly rising time")


class End(Table):
    """When the run stops. Rolling over, sliding away and high-centring always stop it."""

    duration: Annotated[float, Q("s", ge=0.001, le=120)] = 2
    """Longest time."""
    distance: Annotated[float, Q("mm", gt=0, le=100000)] | None = None
    """Stop when the rig has come this far along the ground, forward or back."""
    when: tuple[Literal["front_lifts", "rear_lifts", "stands_still"], ...] = ()
    """Further events that stop the run."""
    slid_back: Annotated[float, Q("mm", gt=0, le=10000)] = 100
    """Sliding back further than this from the furthest point reached counts as slid away, unless the driver
    reverses."""


class Output(Table):
    """The series that are kept."""

    rate: Annotated[float, Q("1/s", ge=10, le=20000)] = 500
    """Rows per second."""


COMPILED: Literal["compiled"] = "compiled"


class Solver(Table):
    """How finely the motion is integrated; the defaults are safe."""

    method: Literal["compiled", "LSODA", "BDF", "Radau"] = COMPILED
    """Integration method: BDF in compiled code, or a much slower one of SciPy's, as SciPy names it."""
    relative: Tolerance = 1e-7
    """Relative tolerance."""
    absolute: Tolerance = 1e-7
    """Scale of the absolute tolerances."""
    max_step: Annotated[float, Q("s", gt=0, le=1)] = 0.02
    """Longest step."""


class Visible(Table):
    """The smallest difference that a viewer sees."""

    travel: Annotated[float, Q("mm", gt=0, le=100)] = 0.5
    """Of shock travel."""
    pitch: Annotated[float, Q("deg", gt=0, le=90)] = 0.25
    """Of pitch."""


Axis = Annotated[
    Values,
    BeforeValidator(axis_values),
    WithJsonSchema(FORM),
    "a list of values, or a range start:stop:step as text",
]
Variant = Annotated[Settings, WithJsonSchema(VARIANT)]


STUDIED = ("variants", "common", "vary", "conclusion", "rigs", "spread", "rank")
"""Keys that speak of several cases; a single case of a scenario has none of them."""
OTHER_CASES = ("variants", "common", "vary")
"""Those of them that make the other cases."""


@dataclass
class _Case:
    """The raw values of a scenario without its other cases, once they were asked for."""

    raw: dict[str, Any] | None = field(default=None, compare=False)

    def __reduce__(self) -> tuple[type["_Case"], tuple[()]]:
        """Leave them behind: whoever gets a copy works them out anew."""
        return _Case, ()


@dataclass(frozen=True)
class Origin:
    """Where a scenario came from; two scenarios that say the same are equal wherever they came from."""

    path: Path = field(compare=False)
    rig_file: str = field(default="", compare=False)


def _with_own(model: Table, raw: Mapping[str, Any], changed: Iterable[Steps]) -> dict[str, Any]:
    """Give a raw table with the tables of a model in place of those in which nothing changed."""
    below: dict[str | int, list[Steps]] = {}
    for first, *rest in changed:
        below.setdefault(first, []).append(tuple(rest))
    found = dict(raw)
    for key, value in raw.items():
        own = getattr(model, key, None)
        if isinstance(own, Table) and isinstance(value, Mapping) and () not in below.get(key, ()):
            found[key] = _with_own(own, value, below[key]) if key in below else own
    return found


class Scenario(Table):
    """One question: a rig on a course with a driver."""

    schema_version: Schema = Field(1, alias="schema")
    """Version of this file format."""
    title: Name
    """The question that this scenario asks."""
    note: str = ""
    """Free text."""
    case: Name = "as given"
    """What to call this case beside its variants."""
    rig: Annotated[Rig, OrText("a table or the path of a rig file")]
    """A rig file, relative to this file, as text; or the table [rig] itself."""
    ground: Ground = Field(default_factory=Ground)
    """The course."""
    start: Start = Field(default_factory=Start)
    """Where the rig stands."""
    driver: Driver
    """What the driver asks for."""
    end: End = Field(default_factory=End)
    """When the run stops."""
    goal: Goal = Field(default_factory=Goal)
    """What counts as the job done."""
    output: Output = Field(default_factory=Output)
    """The series that are kept."""
    solver: Solver = Field(default_factory=Solver)
    """How finely the motion is integrated."""
    visible: Visible = Field(default_factory=Visible)
    """The smallest difference that a viewer sees."""
    without_support: StrictBool = False
    """Whether every case is run once more with its squat support cancelled, to see what the support does."""
    variants: dict[Name, Variant] = Field(default_factory=dict)
    """[variants."a name"]: settings "dotted.path" = value that make another case of this one, see
    *Settings* in scenarios/README.md. `from` = the variant that it builds on, `with` = the common settings
    that it takes."""
    common: dict[Name, Settings] = Field(default_factory=dict)
    """[common."a name"]: settings that several variants take."""
    rigs: dict[Name, Annotated[Rig, "a table"]] = Field(default_factory=dict)
    """[rigs."a name"]: rigs by the names under which variants and axes set `rig`. A name that is missing here
    is that of a rig file, relative to this file; what the program writes has them all."""
    spread: Spread = Field(default_factory=dict)
    """How far numbers of the scenario may be off, as in a rig file, which it goes before."""
    rank: Rank = Field(default_factory=Rank)
    """How its changes are ranked."""
    vary: dict[Name, Axis] = Field(default_factory=dict)
    """Axes of a sweep: "dotted.path" = a list of values or "start:stop:step"; paths joined by "+" take the
    same value together. Every value is run with every value of the other axes; beside variants by each case,
    the variant's settings first."""
    conclusion: Conclusion = Field(default_factory=Conclusion)
    """What the runs have shown."""

    @model_validator(mode="after")
    def _agree(self, info: ValidationInfo) -> Self:
        rows = self.end.duration * self.output.rate
        if rows > _MOST_OUTPUT:
            got = f"{bench(self.output.rate, '1/s')} over {bench(self.end.duration, 's')}, {rows:.0f} rows"
            refuse([Contradiction(("output", "rate"), got, f"low enough for at most {_MOST_OUTPUT} rows")])
        refuse(self._goal_contradictions())
        refuse(contradictions(self, self.spread, info))
        return self

    def _goal_contradictions(self) -> Iterator[Contradiction]:
        """A goal that the run ends before."""
        goal, end = self.goal, self.end
        if goal.reach is not None and end.distance is not None and goal.reach > end.distance:
            must_be = f"at most end.distance, {bench(end.distance, 'mm')}"
            yield Contradiction(("goal", "reach"), bench(goal.reach, "mm"), must_be)
        if goal.past is not None and goal.past <= self.start.rear_axle:
            must_be = f"ahead of start.rear_axle, {bench(self.start.rear_axle, 'mm')}"
            yield Contradiction(("goal", "past"), bench(goal.past, "mm"), must_be)
        left = end.duration - self.driver.release
        if goal.within is not None and goal.within > left:
            must_be = f"at most {bench(max(left, 0.0), 's')}: end.duration less driver.release"
            yield Contradiction(("goal", "within"), bench(goal.within, "s"), must_be)

    _origin: Origin = PrivateAttr(default=Origin(Path("scenario")))
    _case: _Case = PrivateAttr(default_factory=_Case)

    @property
    def path(self) -> Path:
        """The file it came from; of a scenario built in Python a name for messages."""
        return self._origin.path

    @property
    def name(self) -> str:
        """The file's name without folder and ending."""
        return self._origin.path.stem

    @property
    def raw(self) -> dict[str, Any]:
        """Its values as they would stand in a file, with the rig put in and without defaults."""
        return written(self, Scenario)

    @property
    def raw_case(self) -> Mapping[str, Any]:
        """The same without variants and axes, for settings to be put over; nobody may change it."""
        if self._case.raw is None:
            self._case.raw = written_without(self, OTHER_CASES)
        return self._case.raw

    @property
    def table(self) -> dict[str, Any]:
        """The whole of it as it would stand in a file, with the rig and every default."""
        return written(self, Scenario, every=True)

    @property
    def rig_file(self) -> str:
        """The file that its rig stands in, as its user would name it."""
        return self._origin.rig_file or str(self.path)

    def from_file(self, path: Path, rig_file: str = "") -> Self:
        """Remember the file, and that of the rig where it is another one."""
        self._origin = Origin(path, rig_file)
        return self

    def changed(self, settings: Changes, *, keep_variants: bool = False) -> "Scenario":
        """Give a copy with some values changed, checked like a file.

        Parameters
        ----------
        settings : mapping, or pairs
            Dotted path to value, the value as it would stand in the file; one that ends in ``+=``, ``-=`` or
            ``*=`` changes the value that is there. They are done in their order.
        keep_variants : bool
            Whether the copy has the variants, axes and conclusion of the original.

        Raises
        ------
        InputError
            If a path is unknown or the changed scenario would be a faulty file.
        """
        return self.edited(edits(settings), keep_variants=keep_variants)

    def edited(self, changes: Sequence[Edit], *, keep_variants: bool = False) -> "Scenario":
        """Give a copy with some settings done in their order, as `changed` does."""
        kept: Mapping[str, Any] = self.raw if keep_variants else self.raw_case
        if not keep_variants:
            kept = {key: value for key, value in kept.items() if key not in STUDIED or key == "rigs"}
        applied, error = apply(kept, changes, Scenario, str(self.path)), None
        raw = applied.raw
        if names_rigs(raw):
            raw = with_named_rigs(raw, self.path)
        else:
            raw.pop("rigs", None)
        try:
            changed = Scenario.model_validate(self.with_own(raw, applied), context=self.stated_errors)
        except ValidationError as caught:
            error = caught
        issues = list(case_issues(applied, error, Scenario, str(self.path)))
        if issues:
            raise InputError(dict.fromkeys(issues))
        if not all(isinstance(one.value, int | float) for one in changes):  # which take nothing away
            changed = changed._without_lost_errors()
        same_rig = not any(one.names_a_rig for one in changes)
        return changed.from_file(self.path, self._origin.rig_file if same_rig else "")

    @property
    def stated_errors(self) -> frozenset[str]:
        """Paths of every number whose error the file or its rig states; a case may lack such a number."""
        return frozenset((*self.spread, *self.rig.spread))

    def _without_lost_errors(self) -> Self:
        """Give it without the stated errors of numbers that it has not; itself where there are none."""
        own, of_rig = there(self, self.spread), there(self.rig, self.rig.spread)
        if len(own) + len(of_rig) == len(self.spread) + len(self.rig.spread):
            return self
        return self.model_copy(update={"rig": self.rig.model_copy(update={"spread": of_rig}), "spread": own})

    def with_own(self, raw: Mapping[str, Any], applied: Applied) -> dict[str, Any]:
        """Give a raw scenario with the tables of this one, checked already, in place of those in which no
        setting changed anything.
        """
        return _with_own(self, raw, applied.placed)

    def variant(self, name: str) -> "Scenario":
        """Give the scenario with the settings of one variant.

        Raises
        ------
        InputError
            If there is no such variant.
        """
        return self.edited(self.edits_of(name))

    def edits_of(self, name: str) -> list[Edit]:
        """Give every setting of a variant, none for the `case` itself; raises as `variant`."""
        if name == self.case and name not in self.variants:
            return []
        if name not in self.variants:
            must_be = (
                f"one of {', '.join(self.variants)}" if self.variants else "left out: there are no variants"
            )
            issue = InputIssue(str(self.path), "variants", f'"{name}"', must_be, nearest(name, self.variants))
            raise InputError([issue])
        issues = list(issues_of(name, self.variants, self.common, str(self.path)))
        if issues:
            raise InputError(issues)
        return edits_of(name, self.variants, self.common)

    def case_names(self) -> list[str]:
        """Give the name of every case: its `case`, then each variant.

        Raises
        ------
        InputError
            If a variant bears the name of the case.
        """
        if self.case in self.variants:
            got = f'"{self.case}", which is also the name of a variant'
            raise InputError([InputIssue(str(self.path), "case", got, "a name of its own")])
        return [self.case, *self.variants]

    def cases(self) -> dict[str, "Scenario"]:
        """Give every case by its name, the base (this scenario) first; raises as `case_names`."""
        return {name: self if k == 0 else self.variant(name) for k, name in enumerate(self.case_names())}

    def to_toml(self) -> str:
        """Give the whole scenario as one file, with the rig and every default; reading it gives this one."""
        return f"# simcore {version()}\n" + tomli_w.dumps(self.table)
