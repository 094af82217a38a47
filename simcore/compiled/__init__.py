"""What compiled code sees: the `kernel` decorator and the named records."""

from simcore.compiled.kernel import kernel as kernel
from simcore.compiled.records import (
    AXLE as AXLE,
)
from simcore.compiled.records import (
    AXLE_LEDGER as AXLE_LEDGER,
)
from simcore.compiled.records import (
    BODY as BODY,
)
from simcore.compiled.records import (
    BRANCH as BRANCH,
)
from simcore.compiled.records import (
    CONTACT as CONTACT,
)
from simcore.compiled.records import (
    CONTROL_SPEED as CONTROL_SPEED,
)
from simcore.compiled.records import (
    CONTROL_THROTTLE as CONTROL_THROTTLE,
)
from simcore.compiled.records import (
    CONTROL_TORQUE as CONTROL_TORQUE,
)
from simcore.compiled.records import (
    DRIVE_LEDGER as DRIVE_LEDGER,
)
from simcore.compiled.records import (
    DRIVER as DRIVER,
)
from simcore.compiled.records import (
    FRICTION as FRICTION,
)
from simcore.compiled.records import (
    FRONT as FRONT,
)
from simcore.compiled.records import (
    LEDGER as LEDGER,
)
from simcore.compiled.records import (
    LINK as LINK,
)
from simcore.compiled.records import (
    MAX_DAMPER_ROWS as MAX_DAMPER_ROWS,
)
from simcore.compiled.records import (
    MAX_SKIDS as MAX_SKIDS,
)
from simcore.compiled.records import (
    MAX_SPRINGS as MAX_SPRINGS,
)
from simcore.compiled.records import (
    MAX_TABLE_ROWS as MAX_TABLE_ROWS,
)
from simcore.compiled.records import (
    MOTOR as MOTOR,
)
from simcore.compiled.records import (
    MOTOR_LEDGER as MOTOR_LEDGER,
)
from simcore.compiled.records import (
    PATH as PATH,
)
from simcore.compiled.records import (
    PIECE as PIECE,
)
from simcore.compiled.records import (
    POSE as POSE,
)
from simcore.compiled.records import (
    REAR as REAR,
)
from simcore.compiled.records import (
    RIG as RIG,
)
from simcore.compiled.records import (
    ROW as ROW,
)
from simcore.compiled.records import (
    SHOCK as SHOCK,
)
from simcore.compiled.records import (
    SHOCK_LEDGER as SHOCK_LEDGER,
)
from simcore.compiled.records import (
    SKID as SKID,
)
from simcore.compiled.records import (
    SKID_LEDGER as SKID_LEDGER,
)
from simcore.compiled.records import (
    SPRING as SPRING,
)
from simcore.compiled.records import (
    STATE as STATE,
)
from simcore.compiled.records import (
    STATES as STATES,
)
from simcore.compiled.records import (
    STOP as STOP,
)
from simcore.compiled.records import (
    STORES as STORES,
)
from simcore.compiled.records import (
    TABLE as TABLE,
)
from simcore.compiled.records import (
    TYRE as TYRE,
)
from simcore.compiled.records import (
    TYRE_LEDGER as TYRE_LEDGER,
)
from simcore.compiled.records import (
    VECTOR as VECTOR,
)
from simcore.compiled.records import (
    Record as Record,
)
from simcore.compiled.records import (
    blank as blank,
)
