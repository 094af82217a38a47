"""What audits in compiled code share, which go through a run instant by instant.

Nothing here is taken from the laws: an audit that turned points as they do would not see them turned wrongly.
"""

import math

from simcore.compiled import PlaceRecord, PoseRecord, kernel


@kernel
def arm_of(pose: PoseRecord, place: PlaceRecord) -> tuple[float, float]:
    """Vector from a body's centre of mass to a point fixed to it, world axes."""
    c, s = math.cos(pose.angle), math.sin(pose.angle)
    return c * place.x - s * place.z, s * place.x + c * place.z


@kernel
def worse(worst: float, found: float) -> float:
    """The larger of two residuals; one that is no number is worse than any and stays."""
    return found if found > worst or math.isnan(found) else worst
