"""The motion between two corners of the driver's tables: what each way of integrating is given, and gives."""

import dataclasses
import enum
from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from simcore.compiled import LEDGER, STATES, LedgerRecord, Records, blank
from simcore.files.scenario import Scenario
from simcore.rig.model import Model
from simcore.solve.events import margins

Vector = npt.NDArray[np.float64]
Progress = Callable[[float, float], None]
WATCH_RATE = 500.0  # 1/s, fixed raster of the metrics, so that they do not depend on the output asked for
FIRST_STEP = 1e-5  # s; left to itself LSODA may begin so finely that rounding keeps its step there for ever
MOST_CALLS = 1_000_000  # derivative calls per second of the run; shipped runs take some 1,500


class Status(enum.Enum):
    """How a piece came out."""

    REACHED = "solved to its last instant"
    ENDED = "an ending came before"
    BROKEN = "broken off"


@dataclasses.dataclass(frozen=True)
class Piece:
    """The motion between two corners.

    Attributes
    ----------
    first, last : the corners, s
    start : state at the first, (STATES,)
    limits : as for `margins`
    progress : called with (time reached, duration) as the integration goes on
    """

    scenario: Scenario
    model: Model
    first: float
    last: float
    start: Vector
    limits: Vector
    progress: Progress | None
    leds: Records[LedgerRecord] = dataclasses.field(default_factory=lambda: blank(LEDGER))

    def times(self, until: float) -> Vector:
        """Instants at which states are wanted up to a time: both rasters and that time, s."""
        own = self.scenario.output.rate
        raster = _raster(WATCH_RATE, self.first, until)
        if own != WATCH_RATE:
            raster = np.union1d(_raster(own, self.first, until), raster)
        return np.append(raster, until)

    def nearest(self, y: Vector) -> float:
        """Margin of the nearest ending; falls through zero where it comes."""
        return float(self.margins(y).min())

    def margins(self, y: Vector) -> Vector:
        """Margins of the watched endings."""
        return margins(y, self.model.rigs, self.model.pieces, self.leds, self.limits)

    def tell(self, time: float) -> None:
        """Tell how far the integration has come."""
        if self.progress is not None:
            self.progress(time, self.scenario.end.duration)

    @property
    def first_step(self) -> float:
        """Step to begin with, s."""
        return min(FIRST_STEP, self.scenario.solver.max_step, self.last - self.first)

    @property
    def most_calls(self) -> float:
        """Derivative calls that a way of integrating may spend."""
        return MOST_CALLS * max(self.scenario.end.duration, 1.0)


def _raster(rate: float, first: float, last: float) -> Vector:
    """Regular instants in [first, last), numbered from 0 so that all pieces of a run share one raster."""
    numbers = np.arange(np.ceil(first * rate - 1e-9), np.ceil(last * rate - 1e-9))
    return np.clip(numbers / rate, first, None)


@dataclasses.dataclass(frozen=True)
class Solved:
    """What came of a piece.

    Attributes
    ----------
    times : (n,) s; the last one is that of the ending, where one came
    rows : states at these times, (n, STATES)
    status : how it came out; broken off, the rows up to there are kept
    calls : derivative calls spent
    """

    times: Vector
    rows: Vector
    status: Status
    calls: int

    @classmethod
    def nothing(cls, calls: int) -> "Solved":
        """Nothing came of it."""
        return cls(np.empty(0), np.empty((0, STATES)), Status.BROKEN, calls)

    @property
    def finite(self) -> "Solved":
        """Up to the first number that is none."""
        good = np.logical_and.accumulate(np.isfinite(self.rows).all(axis=1))
        if good.all():
            return self
        return Solved(self.times[good], self.rows[good], Status.BROKEN, self.calls)
