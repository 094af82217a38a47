"""What an integration leaves behind: states and forces at every output instant, and how it ended."""

import dataclasses
import enum
import functools
from collections.abc import Callable
from typing import Any, Concatenate, ParamSpec, Protocol, TypeVar

import numpy as np
import numpy.typing as npt

from simcore.compiled import LedgerRecord, Records, StateRecord
from simcore.rig.model import Model


class Outcome(enum.Enum):
    """How a run ended; every member is a result, none an error of the user.

    The name stands in files, the value in sentences.
    """

    TIME = "ran full time"
    DISTANCE = "covered the distance asked for"
    FRONT_LIFTED = "the front tyres left the ground"
    REAR_LIFTED = "the rear tyres left the ground"
    STOOD_STILL = "the rig came to a stand"
    ROLLED_OVER = "the rig rolled over"
    SLID_AWAY = "the rig slid back down"
    HIGH_CENTRED = "the rig hung on its skids with the wheels turning"
    NOT_SOLVED = (
        "the integration could not go on; look for a mass or an inertia in the wrong unit (spin_inertia and "
        "pitch_inertia in kg*mm^2, rotor_inertia in g*cm^2) or a very stiff stop, then try tighter solver "
        "tolerances"
    )


@dataclasses.dataclass(frozen=True)
class Trace:
    """Raw output of one run.

    Attributes
    ----------
    model : parameters, ground and bench facts of the run
    times : (n,) s
    states : (n,) array of STATE records
    ledgers : (n,) array of LEDGER records, the forces at the same instants
    output : (n,) which rows lie on the output raster that the scenario asks for
    watched : (n,) which rows lie on the fixed raster from which metrics are taken, whatever the output
    outcome : how it ended
    steps : derivative calls spent
    found : what `once` has worked out of it
    """

    model: Model
    times: npt.NDArray[np.float64]
    states: Records[StateRecord]
    ledgers: Records[LedgerRecord]
    output: npt.NDArray[np.bool_]
    watched: npt.NDArray[np.bool_]
    outcome: Outcome
    steps: int
    found: dict[Any, Any] = dataclasses.field(init=False, repr=False, compare=False, default_factory=dict)

    def part(self, i: int, *names: str) -> npt.NDArray[Any]:
        """Series (n,) out of axle i's ledger: one number, e.g. ``part(0, "shock", "travel")``, or records."""
        values = self.ledgers["axle"][:, i]
        for name in names:
            values = values[name]
        return np.asarray(values)

    @property
    def ground_speed(self) -> npt.NDArray[np.float64]:
        """Speed along the ground, mean of both axles, (n,) m/s."""
        return np.asarray(0.5 * (self.part(0, "tyre", "ground_speed") + self.part(1, "tyre", "ground_speed")))

    def rows(self, which: npt.NDArray[np.bool_]) -> "Trace":
        """Same run with some of its rows."""
        if np.all(which):
            return self
        kept = np.flatnonzero(which)
        run: Any = kept
        if len(kept) and kept[-1] - kept[0] == len(kept) - 1:
            run = slice(kept[0], kept[-1] + 1)  # rows in a row need no copy: ledgers are large
        names = ("times", "states", "ledgers", "output", "watched")
        return dataclasses.replace(self, **{name: getattr(self, name)[run] for name in names})

    def until(self, time: float, outcome: Outcome) -> "Trace":
        """Same run, cut after a time, with another ending; the last row belongs to every raster."""
        kept = self.rows(self.times <= time)
        output, watched = kept.output.copy(), kept.watched.copy()
        output[-1] = watched[-1] = True
        return dataclasses.replace(kept, outcome=outcome, output=output, watched=watched)


class Keeps(Protocol):
    """Something of which `once` keeps what it has worked out, in `found`."""

    @property
    def found(self) -> dict[Any, Any]: ...  # noqa: D102


Of = TypeVar("Of", bound=Keeps)
Parameters = ParamSpec("Parameters")
Found = TypeVar("Found")


def once(
    function: Callable[Concatenate[Of, Parameters], Found],
) -> Callable[Concatenate[Of, Parameters], Found]:
    """Work out something of a run once, however often it is asked for; what is given is not written to."""

    @functools.wraps(function)
    def kept(of: Of, /, *args: Parameters.args, **kwargs: Parameters.kwargs) -> Found:
        key = (function, *args, *kwargs.items())
        if key not in of.found:
            of.found[key] = function(of, *args, **kwargs)
        found: Found = of.found[key]
        return found

    return kept
