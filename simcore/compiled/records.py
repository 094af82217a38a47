"""The named records that compiled code sees.

Parameters, state and forces travel through compiled code as nested NumPy records, read and written by name
(`rig.axle[i].shock.friction.sliding`). The dtypes are built on `np.record`, so the same function runs
compiled and as plain Python (`kernel.py_func`). Everything is in SI units; new parameter records start as NaN
so that a value nobody filled cannot pass as zero.
"""

from typing import Any

import numpy as np

Record = Any  # a NumPy record as numba sees it: attributes named by the dtype


def _record(*fields: Any) -> np.dtype[Any]:
    return np.dtype((np.record, list(fields)))


def blank(dtype: np.dtype[Any], number: float = 0.0) -> Record:
    """One record, as an array of length one, with every number set.

    Python hands arrays of records to compiled code 30 times faster than single records (0.2 against 6
    microseconds), so what is called in every step takes such arrays.
    """
    return np.full(dtype.itemsize // 8, number).view(dtype)


MAX_SPRINGS, MAX_SKIDS, MAX_DAMPER_ROWS, MAX_TABLE_ROWS = 4, 4, 17, 68
REAR, FRONT = 0, 1

f8 = np.float64
VECTOR = _record(("x", f8), ("z", f8))
POSE = _record(("x", f8), ("z", f8), ("angle", f8))  # of a centre of mass; angle nose-up

# --- parameters ---
TABLE = _record(("time", f8, (MAX_TABLE_ROWS,)), ("value", f8, (MAX_TABLE_ROWS,)), ("rows", f8))
BODY = _record(("mass", f8), ("inertia", f8))
LINK = _record(("chassis", VECTOR), ("axle", VECTOR), ("length", f8))
SPRING = _record(("push", f8), ("rate", f8), ("loose_at", f8))  # push +1 pushes out, -1 pulls in
STOP = _record(("length", f8), ("rate", f8), ("damping", f8))
FRICTION = _record(
    ("sliding", f8), ("breakaway", f8), ("presliding", f8), ("stribeck_speed", f8), ("settling_time", f8)
)
SHOCK = _record(
    ("chassis", VECTOR),  # upper mount, on the chassis
    ("link_pin", VECTOR),  # chassis pin of the link that carries the lower mount
    ("axle", VECTOR),  # housing pin of that link, or the mount itself when it sits on the housing
    ("fraction", f8),  # way from link_pin to axle; 1 = on the housing
    ("extended_length", f8),
    ("stroke", f8),
    ("spring", SPRING, (MAX_SPRINGS,)),
    ("compression", f8),
    ("rebound", f8),
    ("damper_speed", f8, (MAX_DAMPER_ROWS,)),
    ("damper_force", f8, (MAX_DAMPER_ROWS,)),
    ("damper_rows", f8),
    ("friction", FRICTION),
    ("bump_stop", STOP),
    ("droop_stop", STOP),
)
TYRE = _record(
    ("radius", f8),
    ("stiffness", f8),
    ("damping", f8),
    ("peak", f8),  # level of the standing tyre: the stated peak grip
    ("sliding", f8),  # level at great sliding speed (see `tyre.sliding_level`)
    ("slip_stiffness", f8),
    ("relaxation_length", f8),
    ("stribeck_speed", f8),
    ("settling_time", f8),
    ("rolling_resistance", f8),
)
BRANCH = _record(("driven", f8), ("ratio", f8), ("stiffness", f8), ("damping", f8))  # at the motor
AXLE = _record(
    ("body", BODY),
    ("centre", VECTOR),  # of the wheels, in the axes of the axle body
    ("spin_inertia", f8),
    ("arm", f8),  # 1: one arm fixed to the housing; 0: two links
    ("link", LINK, (2,)),
    ("shock", SHOCK),
    ("tyre", TYRE),
    ("branch", BRANCH),
)
SKID = _record(
    ("present", f8),
    ("place", VECTOR),
    ("radius", f8),
    ("stiffness", f8),
    ("damping", f8),
    ("friction", FRICTION),
)
MOTOR = _record(
    ("constant", f8),
    ("voltage", f8),
    ("resistance", f8),
    ("current_limit", f8),
    ("inertia", f8),
    ("idle_torque", f8),
    ("brake_torque", f8),
    ("presliding", f8),
    ("settling_time", f8),
    ("efficiency", f8),
)
DRIVER = _record(
    ("control", f8),  # CONTROL_*
    ("request", TABLE),  # torque N*m, throttle fraction or motor speed rad/s, over run time
    ("brake", TABLE),
    ("release", f8),
    ("proportional", f8),
    ("integral", f8),
)
RIG = _record(
    ("gravity", f8),
    ("chassis", BODY),
    ("axle", AXLE, (2,)),
    ("skid", SKID, (MAX_SKIDS,)),
    ("motor", MOTOR),
    ("driver", DRIVER),
    ("drift_rate", f8),  # how fast the links pull numerical drift back, 1/s
    ("without_support", f8),  # 1: squat support is cancelled on the shock line; 0: as built
)
PIECE = _record(("start", VECTOR), ("along", VECTOR), ("length", f8), ("grip", f8))
CONTROL_TORQUE, CONTROL_THROTTLE, CONTROL_SPEED = 0.0, 1.0, 2.0

# --- whatever keeps energy for a while, one number each ---
STORES = _record(("shock", f8, (2,)), ("tyre", f8, (2,)), ("branch", f8, (2,)), ("skids", f8), ("rotor", f8))

# --- state: what the integrator moves ---
STATE = _record(
    ("pose", POSE, (3,)),  # chassis, rear axle, front axle
    ("rate", POSE, (3,)),
    ("spin", f8, (2,)),  # wheel pairs, absolute, forward rolling positive
    ("motor", f8),
    ("wind_up", f8, (2,)),  # of each branch, at the motor
    ("shock_bristle", f8, (2,)),
    ("tyre_bristle", f8, (2,)),
    ("rotor_bristle", f8),
    ("skid_bristle", f8, (MAX_SKIDS,)),
    ("governor", f8),  # integral of the speed error of the held-speed control
    ("distance", f8),  # travelled along the ground
    ("work_in", f8),
    ("dissipated", f8),
    ("gained", STORES),  # by each store since the start: work done on it less its losses
    ("electric", f8),
)
STATES = STATE.itemsize // 8

# --- ledger: every force, named, at one instant ---
CONTACT = _record(
    ("area", f8), ("push", VECTOR), ("normal", VECTOR), ("along", VECTOR), ("foot", VECTOR), ("grip", f8)
)
TYRE_LEDGER = _record(
    ("contact", CONTACT),
    ("deflection", f8),
    ("load", f8),
    ("thrust", f8),
    ("slip_speed", f8),
    ("slip", f8),
    ("rolling_radius", f8),
    ("rolling_moment", f8),
    ("bristle_rate", f8),
    ("ground_speed", f8),
    ("stored", f8),
    ("lost_slip", f8),
    ("lost_rolling", f8),
    ("lost_deflection", f8),
    ("lost", f8),  # all of these; likewise below
)
SHOCK_LEDGER = _record(
    ("travel", f8),
    ("speed", f8),
    ("along", VECTOR),  # unit vector from lower to upper mount
    ("spring", f8),
    ("damper", f8),
    ("friction", f8),
    ("bump_stop", f8),
    ("droop_stop", f8),
    ("cancelling", f8),  # in a run without support: takes the support off again
    ("force", f8),
    ("bristle_rate", f8),
    ("stored", f8),
    ("lost_damper", f8),
    ("lost_friction", f8),
    ("lost_stops", f8),
    ("lost", f8),
)
DRIVE_LEDGER = _record(
    ("shaft_torque", f8),
    ("wheel_torque", f8),
    ("wind_up_rate", f8),
    ("stored", f8),
    ("lost_gears", f8),
    ("lost_shaft", f8),
    ("lost", f8),
)
MOTOR_LEDGER = _record(
    ("torque", f8),
    ("current", f8),
    ("electric_power", f8),
    ("drag", f8),
    ("brake_share", f8),
    ("lost", f8),
    ("bristle_rate", f8),
    ("governor_rate", f8),
)
SKID_LEDGER = _record(
    ("contact", CONTACT), ("load", f8), ("drag", f8), ("bristle_rate", f8), ("stored", f8), ("lost", f8)
)
# one constraint equation: direction, levers on chassis and axle, what the motion adds, error and its rate
ROW = _record(
    ("u", VECTOR), ("chassis_lever", f8), ("axle_lever", f8), ("bias", f8), ("error", f8), ("error_rate", f8)
)
# how the axle would move against a chassis held still, as its links allow; of any size
PATH = _record(
    ("way", POSE),  # of the axle's centre of mass, and turn of the housing
    ("contact_along", f8),  # of the point where the thrust acts, moving as part of the housing
    ("contact_rise", f8),  # of the same point, across the ground
    ("shortening", f8),  # of the shocks
)
AXLE_LEDGER = _record(
    ("tyre", TYRE_LEDGER),
    ("shock", SHOCK_LEDGER),
    ("drive", DRIVE_LEDGER),
    ("row", ROW, (2,)),
    ("path", PATH),
    ("link_force", f8, (2,)),  # compression positive; arm: pin force x, z on the chassis
    ("spin_acceleration", f8),
)
LEDGER = _record(
    ("axle", AXLE_LEDGER, (2,)),
    ("skid", SKID_LEDGER, (MAX_SKIDS,)),
    ("motor", MOTOR_LEDGER),
    ("motor_acceleration", f8),
    ("force", POSE, (3,)),  # sum of applied forces and moment on each body, links left out
    ("acceleration", POSE, (3,)),
    ("stored", f8),  # in springs, stops, tyres and shafts
    ("power_in", f8),
    ("power_lost", f8),
    ("gain", STORES),  # power that each store takes from bodies, wheels and rotor, less what it loses
)
