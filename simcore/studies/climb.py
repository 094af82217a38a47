"""One case put on one slope after another: does it climb, does it fail, or is that not known?"""

import dataclasses
import math
from collections.abc import Callable

from simcore.accounts.audit import audit
from simcore.files.scenario import Scenario
from simcore.files.schema import follow, plain
from simcore.integrate import integrate
from simcore.refusal import CannotStand, NoStand
from simcore.studies.verdict import why_not
from simcore.trace import Outcome
from simcore.units import column_factor

PATIENCE = 4.0  # times the duration asked for: as long a slow rig may take


def most(*place: str) -> float:
    """Largest value that a scenario file may give, in its bench unit."""
    _, quantity = plain(follow(Scenario, place))
    return quantity.le if quantity is not None and quantity.le is not None else math.inf


@dataclasses.dataclass(frozen=True)
class Attempt:
    """What came of one slope.

    Attributes
    ----------
    reason : why it is not climbed, or why that is not known; empty when it is climbed
    known : whether it is known that it is climbed, or is not
    """

    reason: str
    known: bool = True

    @property
    def climbs(self) -> bool:
        """Whether the slope is climbed for certain."""
        return self.known and not self.reason

    @property
    def fails(self) -> bool:
        """Whether the slope is not climbed for certain."""
        return self.known and bool(self.reason)


@dataclasses.dataclass
class Climber:
    """One case and the slopes it was put on so far.

    Attributes
    ----------
    attempts : slope (deg) to what came of it
    faults : what broke an audit
    tell : called before each new run with the number of those done
    """

    case: Scenario
    distance: float
    front_up: float
    tell: Callable[[int], None] = lambda tried: None
    attempts: dict[float, Attempt] = dataclasses.field(default_factory=dict)
    faults: list[str] = dataclasses.field(default_factory=list)

    def on(self, slope: float) -> Attempt:
        """What comes of a slope, deg; tried once."""
        if slope not in self.attempts:
            self.tell(len(self.attempts))
            self.attempts[slope] = self._try(slope)
        return self.attempts[slope]

    def scenario(self, slope: float) -> Scenario:
        """The case on a slope, with time enough."""
        return self.case.changed(
            {
                "ground.slope": slope,
                "end.distance": self.distance * column_factor("distance_mm"),
                "end.duration": min(PATIENCE * self.case.end.duration, most("end", "duration")),
                "end.when": [],
                "output.rate": 10,  # figures come from the fixed raster
            }
        )

    def _try(self, slope: float) -> Attempt:
        """Run the case up a slope. A start for which no stand was found tells nothing, nor does a run that
        broke off or broke its audit.
        """
        try:
            trace = integrate(self.scenario(slope))
        except CannotStand as error:
            if error.why is NoStand.NOT_FOUND:
                return Attempt(error.why.value, known=False)
            return Attempt(f"cannot stand there: {error.why.value}")
        broken = audit(trace).faults
        if trace.outcome is Outcome.NOT_SOLVED:
            broken.append("the integration broke off")
        if broken:
            self.faults.append(f"at {slope:g} deg {'; '.join(broken)}")
            return Attempt(broken[0], known=False)
        return Attempt(why_not(trace, self.front_up))
