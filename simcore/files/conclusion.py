"""What a scenario file says that its runs have shown, and what that is tried on."""

from collections.abc import Iterator
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, StrictBool, StrictFloat, WithJsonSchema, model_validator

from simcore.files.fields import Contradiction, Name, Settings, Table, refuse
from simcore.units import Q

Relation = Literal["above", "below", "near"]
Other = StrictFloat | str
"""A number, which true is not, or a name."""
Claim = Annotated[
    tuple[Name, Name, Relation, Other, Annotated[float, Q("1", ge=0, le=1e9)]],
    "[case, metric, relation, other case or number, by]",
]
CAUSES = ("rig", "ground", "start", "driver")
"""Where a scenario has what can be a cause; the other keys say how a run is measured, judged and named."""


def cases_in(claim: tuple[str, str, str, float | str, float]) -> list[str]:
    """Give the cases that a claim is of."""
    case, _, _, other, _ = claim
    return [case, other] if isinstance(other, str) else [case]


def _less_nought(row: Any) -> Any:
    """An effect that is a metric itself, as a difference to nought."""
    return [*row, 0] if isinstance(row, list | tuple) and len(row) == 2 else row


Effect = Annotated[
    tuple[Name, Name, Other],
    BeforeValidator(_less_nought),
    WithJsonSchema(
        {
            "type": "array",
            "prefixItems": [*2 * [{"type": "string", "minLength": 1}], {"type": ["number", "string"]}],
            "minItems": 2,
            "maxItems": 3,
        }
    ),
    "[case, metric] or [case, metric, other case, other metric or number]",
]


class Because(Table):
    """A cause that the conclusion names, tried: it is switched off, and its effect must go.

    Every case of its rows is run with the cause off: its variant's settings first, then those of this table.
    Such a row breaks where the effect is too small to be seen as given, where more of it is left than stated,
    or where a case no longer does the job that it does as given, for then the effect may have gone with it.
    """

    cause: Name
    """What is switched off, in words that go on after "without"."""
    settings: Settings = Field(default_factory=dict)
    """What switches it off, settings as in a variant: of the rig, the ground, the start or the driver."""
    without_support: StrictBool = False
    """Whether squat support is cancelled: by itself, or beside the settings."""
    effect: Effect
    """What must go: a metric of a case, less that of another case, another metric of the same case, or a
    number."""
    left: Annotated[float, Q("%", ge=0, le=50)] = 25
    """How much of the effect may be left at most, whichever way it points."""
    claims: tuple[Claim, ...] = ()
    """What else must hold of the cases with the cause off, rows as in [conclusion]."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(self._contradictions())
        return self

    def _contradictions(self) -> Iterator[Contradiction]:
        if not self.settings and not self.without_support:
            yield Contradiction(("settings",), "nothing", "at least one setting, or without_support = true")
        case, metric, other = self.effect
        if other in (case, metric):
            yield Contradiction(("effect",), f'"{other}" less itself', "a difference of two things")


class HoldsOn(Table):
    """Another rig, or other settings, on which the claims of the conclusion are tried."""

    on: Name
    """What they are tried on, in words that go on after "also on"."""
    settings: Settings
    """Settings as in a variant, put over every case after the variant's own; `rig` names another rig."""
    claims: tuple[Claim, ...] = ()
    """What is tried, rows as in [conclusion]; left out: the claims of [conclusion], "above" and "below" by
    what can just be seen where they ask for more."""
    holds: StrictBool = True
    """What was found: whether all of that holds there; a run that finds otherwise is told."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if not self.settings:
            refuse([Contradiction(("settings",), "nothing", "at least one setting")])
        return self


class Conclusion(Table):
    """What the file says that its runs have shown; checked against the metrics of every new run.

    A case bears the name of its variant (or `case`); in a sweep it bears its values, as "30" or "30, 0.5",
    and of several cases also its name, as "battery lower, 30".
    What `because` and `holds_on` ask for takes runs of its own, which the gallery does.
    """

    claims: tuple[Claim, ...] = ()
    """Rows [case, metric, relation, other, by]: the metric of a case is "above" or "below" that of
    another case (or a number) by at least so much, or "near" it, within so much."""
    chapter: (
        Literal["throttle", "links", "shocks", "weight", "tyres and ground", "driveline", "the usual advice"]
        | None
    ) = None
    """The part of the gallery that it belongs to."""
    picture: Name | None = None
    """The picture that the gallery shows, by its file name without ending; left out: the study's first."""
    also: tuple[Name, ...] = ()
    """Further pictures that the gallery shows, likewise."""
    report: StrictBool = False
    """Whether the gallery also writes the page to send of it."""
    shown: tuple[Name, ...] = ()
    """Metrics that are drawn of a sweep or as differences; left out: those that change."""
    says: str = ""
    """The conclusion in a sentence or two; {case | metric} stands for a metric of a case, {case less other |
    metric} for a difference."""
    because: tuple[Because, ...] = ()
    """[[conclusion.because]]: causes that it names; each is switched off, and its effect must go."""
    holds_on: tuple[HoldsOn, ...] = ()
    """[[conclusion.holds_on]]: other rigs or settings on which its claims are tried."""

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(
            Contradiction(("holds_on", k, "claims"), "nothing to try", "claims here, or in [conclusion]")
            for k, row in enumerate(self.holds_on)
            if not row.claims and not self.claims
        )
        return self

    @property
    def tried(self) -> dict[str, Because | HoldsOn]:
        """What takes runs of its own, by its key."""
        rows = {f"conclusion.because[{k}]": row for k, row in enumerate(self.because)}
        return rows | {f"conclusion.holds_on[{k}]": row for k, row in enumerate(self.holds_on)}
