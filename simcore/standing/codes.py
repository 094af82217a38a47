"""Standing facts that are no numbers: their codes, which stand in files, and the words for them."""

import enum


class Stops(enum.Enum):
    """Whether a shock stands on a stop: bottomed out is fully compressed, topped out fully extended."""

    FREE = "free of both stops"
    ON_BUMP_STOP = "bottomed out"
    ON_DROOP_STOP = "topped out"


class Swing(enum.Enum):
    """Which end of the rig moves in a mode."""

    REAR_END = "mostly the rear end"
    FRONT_END = "mostly the front end"
    ENDS_TOGETHER = "both ends together"
    ENDS_OPPOSED = "both ends against each other"


class FirstLimit(enum.Enum):
    """What comes first on ever steeper ground."""

    TIPS_BACK = "tips back before its tyres slip"
    SLIPS = "slips before it tips back"


class Remark(enum.Enum):
    """What is special about a standing rig, and why facts are empty."""

    REAR_NO_PATH = "rear wheels can only move along the ground: no rates, no percentages"
    REAR_PARALLEL_LINKS = "rear links are parallel: no instant centre, the path's slope is theirs"
    REAR_ON_BUMP_STOP = "rear shocks stand bottomed out: the stop's rubber sets the wheel rate"
    REAR_ON_DROOP_STOP = "rear shocks stand topped out: the stop's rubber sets the wheel rate"
    REAR_NO_SPRING = "no spring of the rear shocks is in touch"
    REAR_NOT_CENTRED = "rear springs do not centre the axle: no ride height band"
    FRONT_NO_PATH = "front wheels can only move along the ground: no rates, no percentages"
    FRONT_PARALLEL_LINKS = "front links are parallel: no instant centre, the path's slope is theirs"
    FRONT_ON_BUMP_STOP = "front shocks stand bottomed out: the stop's rubber sets the wheel rate"
    FRONT_ON_DROOP_STOP = "front shocks stand topped out: the stop's rubber sets the wheel rate"
    FRONT_NO_SPRING = "no spring of the front shocks is in touch"
    FRONT_NOT_CENTRED = "front springs do not centre the axle: no ride height band"
    NO_SWING = "the rig does not swing about where it stands: no pitch and bounce"


CODES: dict[str, type[enum.Enum]] = {
    "rear_shocks_stand": Stops,
    "front_shocks_stand": Stops,
    "pitch_moves": Swing,
    "bounce_moves": Swing,
    "first_limit": FirstLimit,
    "remarks": Remark,
}
"""Facts that hold codes, several of them with blanks between them."""


def spelled(fact: str, codes: str) -> str:
    """Codes of a fact in words; what holds no codes stays."""
    kind = CODES.get(fact)
    return codes if kind is None else "; ".join(str(kind[code].value) for code in codes.split())
