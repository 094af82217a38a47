"""Records of what the integrator moves, and of the stores of energy; kernels give their rates."""

from typing import Annotated

from simcore.compiled.declaration import (
    Joule,
    Metre,
    NamedRecord,
    Numbers,
    Radian,
    RadianPerSecond,
    Records,
    Watt,
    record_dtype,
)
from simcore.compiled.parameters import MAX_SKIDS
from simcore.compiled.plane import PoseRecord, RateRecord


class StoresRecord(NamedRecord):
    """A number for whatever keeps energy for a while."""

    shock: Numbers
    tyre: Numbers
    branch: Numbers
    slide: Numbers
    skids: float
    rotor: float


class StoredRecord(StoresRecord):
    """Energy of each store."""

    shock: Annotated[Numbers, "J", 2]
    tyre: Annotated[Numbers, "J", 2]
    branch: Annotated[Numbers, "J", 2]
    slide: Annotated[Numbers, "J", 2]  # keeps none: what it gains is an error
    skids: Joule
    rotor: Joule


class GainRecord(StoresRecord):
    """Power of each store."""

    shock: Annotated[Numbers, "W", 2]
    tyre: Annotated[Numbers, "W", 2]
    branch: Annotated[Numbers, "W", 2]
    slide: Annotated[Numbers, "W", 2]
    skids: Watt
    rotor: Watt


class StateRecord(NamedRecord):
    """State of a rig; a rate of the state is the same record, with every number per second."""

    pose: Annotated[Records[PoseRecord], 3]  # chassis, rear axle, front axle
    rate: Annotated[Records[RateRecord], 3]
    spin: Annotated[Numbers, "rad/s", 2]  # wheel pairs, absolute, forward rolling positive
    motor: RadianPerSecond
    wind_up: Annotated[Numbers, "rad", 2]  # of each branch, at the motor
    shock_bristle: Annotated[Numbers, "m", 2]
    tyre_bristle: Annotated[Numbers, "m", 2]
    slide_bristle: Annotated[Numbers, "m", 2]
    rotor_bristle: Radian
    skid_bristle: Annotated[Numbers, "m", MAX_SKIDS]
    governor: Radian  # integral of the speed error of the held-speed control
    distance: Metre  # travelled along the ground
    work_in: Joule
    dissipated: Joule
    gained: StoredRecord  # by each store since the start: work done on it less its losses
    electric: Joule


STORES = record_dtype(StoredRecord)
STATE = record_dtype(StateRecord)
STATES = STATE.itemsize // 8
