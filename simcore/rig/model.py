"""Everything that is needed to move a scenario's rig, and to say what it did."""

import dataclasses

from simcore.compiled import LEDGER, LedgerRecord, PieceRecord, Records, RigRecord, StateRecord, blank
from simcore.dynamics.motion import evaluate
from simcore.files.rig import Rig
from simcore.files.scenario import Scenario
from simcore.rig.course import course_of
from simcore.rig.linkage_range import check_linkage_range
from simcore.rig.masses import StaticPose, static_pose
from simcore.rig.preload import hold_ride_height
from simcore.rig.records import fill_driver, fill_rig
from simcore.rig.torque_twist import TorqueTwist, torque_twist


@dataclasses.dataclass(frozen=True)
class Model:
    """What compiled code needs to move a rig: parameters and ground; the rig on the bench and across.

    Attributes
    ----------
    rigs : RIG record, as an array of length one
    pieces : array of PIECE records
    bench : standing facts
    twist : what it does across the side view; None unless stated
    source : the rig as its file describes it
    """

    rigs: Records[RigRecord]
    pieces: Records[PieceRecord]
    bench: StaticPose
    twist: TorqueTwist | None
    source: Rig = dataclasses.field(repr=False)

    @property
    def rig(self) -> RigRecord:
        """The one RIG record."""
        return self.rigs[0]

    def ledger(self, state: StateRecord) -> LedgerRecord:
        """Every force of the rig in a state, at the start of the run."""
        led = blank(LEDGER)[0]
        evaluate(led, 0.0, state, self.rig, self.pieces)
        return led

    def without_support(self) -> "Model":
        """The same rig with its squat support cancelled on the shock line."""
        rigs = self.rigs.copy()
        rigs["without_support"] = 1.0
        return dataclasses.replace(self, rigs=rigs)


def build(scenario: Scenario, before: Model | None = None) -> Model:
    """Fill the records of a scenario.

    Parameters
    ----------
    scenario : what is to be run
    before : what this gave before; where it is of the very same rig, only ground and driver are filled in
        anew

    Raises
    ------
    InputError
        when the rig cannot be built as described (see the message).
    """
    if before is not None and before.source is scenario.rig:
        rigs = before.rigs.copy()
        fill_driver(rigs[0].driver, scenario, before.bench)
        return dataclasses.replace(before, rigs=rigs, pieces=course_of(scenario))
    source = str(scenario.path)
    bench = static_pose(scenario.rig, source)
    rigs = fill_rig(scenario, bench)
    check_linkage_range(rigs, bench, source)
    hold_ride_height(rigs, scenario.rig, bench, source)
    return Model(rigs, course_of(scenario), bench, torque_twist(scenario.rig), scenario.rig)
