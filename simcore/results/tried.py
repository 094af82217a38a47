"""What came of trying a conclusion: causes switched off, claims on other rigs. Numbers and codes."""

import dataclasses
import enum
import math

from simcore.files.conclusion import Because, Claim, HoldsOn


@dataclasses.dataclass(frozen=True)
class Weighed:
    """A claim, and what some runs have of it.

    Attributes
    ----------
    claim : as it stands in the file
    value : the metric of its case, in the unit of its name; NaN where the run has none
    against : what it is compared with, likewise
    """

    claim: Claim
    value: float
    against: float

    @property
    def known(self) -> bool:
        """Whether the runs have both."""
        return math.isfinite(self.value) and math.isfinite(self.against)

    @property
    def holds(self) -> bool:
        """Whether the claim holds; what is not known does not."""
        _, _, relation, _, by = self.claim
        margins = {
            "above": self.value - self.against - by,
            "below": self.against - self.value - by,
            "near": by - abs(self.value - self.against),
        }
        return margins[relation] >= 0.0

    def same_as(self, other: "Weighed") -> bool:
        """Whether other runs have the same of it, to nine digits."""
        pairs = ((self.value, other.value), (self.against, other.against))
        return all(math.isclose(one, two, rel_tol=1e-9) for one, two in pairs)


@dataclasses.dataclass(frozen=True)
class Effect:
    """What a cause is said to do, as given and with the cause off.

    Attributes
    ----------
    metric : whose unit it has
    before, after : as given, and with the cause off; NaN where a run has no such metric
    seen : smallest size that counts
    """

    metric: str
    before: float
    after: float
    seen: float

    @property
    def visible(self) -> bool:
        """Whether there is an effect to be explained."""
        return self.before != 0.0 and abs(self.before) >= self.seen

    @property
    def left(self) -> float:
        """Share that is left, negative where it points the other way."""
        return self.after / self.before if self.before else math.nan


class Fault(enum.Enum):
    """Why a trial does not bear out what the file says; the name is the code, the value for sentences."""

    NOT_RUN = "cannot be run"
    UNSOUND = "broke the self-check or was not finished"
    CHANGES_NOTHING = "the settings change nothing of what is claimed"
    UNKNOWN = "a metric that these runs have not"
    TOO_SMALL = "an effect too small to be seen"
    STAYS = "more of the effect is left"
    JOB_LOST = "no longer does the job that it does as given"
    BROKEN = "a claim does not hold"
    FLIPPED = "all claims hold, stated is that they do not"


@dataclasses.dataclass(frozen=True)
class Found:
    """One fault of a trial.

    Attributes
    ----------
    fault : which
    case : that it was found in; empty where it is one of the whole trial
    why : what a run that cannot be done was refused for
    claim : that is broken or not known
    """

    fault: Fault
    case: str = ""
    why: str = ""
    claim: Weighed | None = None


@dataclasses.dataclass(frozen=True)
class Trial:
    """One trial of a conclusion.

    Attributes
    ----------
    key : where it stands in the file
    found : its faults
    claims : all that were weighed, of its own runs
    """

    key: str
    found: tuple[Found, ...]
    claims: tuple[Weighed, ...]


@dataclasses.dataclass(frozen=True)
class WithoutCause(Trial):
    """A cause that was switched off.

    Attributes
    ----------
    row : what was tried
    effect : what became of its effect
    """

    row: Because
    effect: Effect


@dataclasses.dataclass(frozen=True)
class Elsewhere(Trial):
    """Another rig or other settings; `row` says which."""

    row: HoldsOn
