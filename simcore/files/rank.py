"""What of a scenario is to be ranked: by which metric, under which other conditions, in which steps."""

from typing import Annotated, Any, Literal

from pydantic import Field, WithJsonSchema

from simcore.files.fields import Name, Settings, Table
from simcore.units import Q

Step = Annotated[Any, WithJsonSchema({"type": ["number", "string"]})]


class Rank(Table):
    """How changes are ranked (`simcore rank`)."""

    by: Name | None = None
    """The metric that they are ranked by, or "slope": the steepest slope climbed. Left out, it follows from
    the job: the time to do it; where it is not done, the share of the torque needed, else the way covered."""
    better: Literal["more", "less"] | None = None
    """Which way of it is better; left out where the metric says so itself."""
    draws: Annotated[float, Q("1", ge=0, le=4096)] | None = None
    """How often what may be off is drawn, at least 4, or 0; the same draws for every change. Left out: 40."""
    conditions: dict[Name, Settings] = Field(default_factory=dict)
    """[rank.conditions."a name"]: settings under which every change is tried too: another throttle, grip or
    slope. They are done before those of the change."""
    steps: dict[Name, Step] = Field(default_factory=dict)
    """[rank.steps] "dotted.path" = practical step of a number, in its unit, or "20 %" of the value; for
    `--each`, in place of the usual step."""
