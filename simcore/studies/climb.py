"""One case put on one slope after another: does it climb, does it fail, or is that not known?"""

import dataclasses
import math
from collections.abc import Callable

from simcore.accounts.verdict import Cause, Failure, Verdict, why_not
from simcore.files.scenario import Scenario
from simcore.files.schema import follow, plain
from simcore.rig.model import build
from simcore.solve.refusal import CannotStand, NoStand
from simcore.solve.trace import Outcome
from simcore.studies.search import State
from simcore.studies.simulate import sound
from simcore.units import column_factor

PATIENCE = 4.0  # times the duration asked for: as long a slow rig may take


def most(*place: str) -> float:
    """Largest value that a scenario file may give, in its bench unit."""
    _, quantity = plain(follow(Scenario, place))
    return math.inf if quantity is None or quantity.le is None else float(quantity.le)


@dataclasses.dataclass(frozen=True)
class Attempt:
    """What came of one slope.

    Attributes
    ----------
    verdict : why it is not climbed, or why that is not known; None when it is climbed
    """

    verdict: Verdict | None

    @property
    def known(self) -> bool:
        """Whether it is known that it is climbed, or is not."""
        return self.verdict is None or self.verdict.known

    @property
    def climbs(self) -> bool:
        """Whether the slope is climbed for certain."""
        return self.verdict is None

    @property
    def fails(self) -> bool:
        """Whether the slope is not climbed for certain."""
        return self.verdict is not None and self.verdict.known

    @property
    def state(self) -> State:
        """What the search makes of it."""
        return State.DONE if self.climbs else State.FAILS if self.fails else State.UNKNOWN


@dataclasses.dataclass(frozen=True)
class Unsound:
    """A run of a search that broke off or broke its audit.

    Attributes
    ----------
    slope : deg
    text : what is wrong with it, as a sentence
    """

    slope: float
    text: str

    def __str__(self) -> str:
        """Give slope and sentence."""
        return f"at {self.slope:g} deg {self.text}"


@dataclasses.dataclass
class Climber:
    """One case and the slopes it was put on so far.

    Attributes
    ----------
    attempts : slope (deg) to what came of it
    unsound : runs that broke off or broke their audit
    tell : called before each new run with the number of those done
    """

    case: Scenario
    distance: float
    front_up: float
    tell: Callable[[int], None] = lambda tried: None
    attempts: dict[float, Attempt] = dataclasses.field(default_factory=dict)
    unsound: list[Unsound] = dataclasses.field(default_factory=list)

    def on(self, slope: float) -> Attempt:
        """What comes of a slope, deg; tried once."""
        if slope not in self.attempts:
            self.tell(len(self.attempts))
            self.attempts[slope] = self._try(slope)
        return self.attempts[slope]

    @property
    def tried(self) -> list[tuple[float, State]]:
        """Slopes tried, from the lowest up, and what came of each."""
        return [(slope, self.attempts[slope].state) for slope in sorted(self.attempts)]

    def scenario(self, slope: float) -> Scenario:
        """The case on a slope, with time enough."""
        return self.case.changed(
            {
                "ground.slope": slope,
                "end.distance": self.distance * column_factor("distance_mm"),
                "end.duration": min(PATIENCE * self.case.end.duration, most("end", "duration")),
                "end.when": [],
                "output.rate": 10,  # metrics come from the fixed raster
            }
        )

    def _try(self, slope: float) -> Attempt:
        """Run the case up a slope. A start for which no stand was found tells nothing, nor does a run that
        broke off or broke its audit.
        """
        try:
            scenario = self.scenario(slope)
            trace, residuals = sound(scenario, build(scenario))
        except CannotStand as error:
            if error.why is NoStand.NOT_FOUND:
                return Attempt(Verdict(Failure.NO_START_FOUND))
            return Attempt(Verdict(Failure.CANNOT_STAND, Cause.of(error.why)))
        verdict, broken = why_not(trace, self.front_up), [str(fault) for fault in residuals.faults]
        if trace.outcome is Outcome.NOT_SOLVED:
            broken.append(Failure.BROKE_OFF.value)
        elif broken:
            verdict = Verdict(Failure.AUDIT_FAILED)
        if broken:
            self.unsound.append(Unsound(slope, "; ".join(broken)))
        return Attempt(verdict)
