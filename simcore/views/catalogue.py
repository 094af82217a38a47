"""Which pictures there are of which kind of result; modules of `views.pictures` draw them."""

import dataclasses
import importlib
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from simcore.files import Scenario
    from simcore.results.result import Result

LOOKS = ("screen", "print")
PICTURES_IN = "simcore.views.pictures"
Draw = Callable[[], "Figure"]
Drawer = TypeVar("Drawer", bound=Callable[[Any], "Figure"])


class _How(NamedTuple):
    """What the module of a picture says of it."""

    caption: str
    draw: "Callable[[Any], Figure]"
    says: Callable[[Any], bool]


_ENTERED: dict[str, _How] = {}


def picture(caption: str, says: Callable[[Any], bool] = lambda result: True) -> Callable[[Drawer], Drawer]:
    """Enter a function that draws a kind of result, and stands in `PICTURES`.

    Parameters
    ----------
    caption : how to read it, in two sentences
    says : whether that of a result says anything; one that does not is drawn only where it is asked for
    """

    def entered(draw: Drawer) -> Drawer:
        _ENTERED[f"{draw.__module__.removeprefix(PICTURES_IN + '.')}.{draw.__name__}"] = _How(
            caption, draw, says
        )
        return draw

    return entered


@dataclasses.dataclass(frozen=True)
class Picture:
    """A picture of a kind of result; its module is read when it is looked at.

    Attributes
    ----------
    kind : name of the kind
    name : of its file, without ending
    drawn_by : the function that takes the result and gives the figure, in its module of `views.pictures`
    when : whether there can be one of a result of this scenario
    """

    kind: str
    name: str
    drawn_by: str
    when: "Callable[[Scenario], bool]" = lambda scenario: True

    @property
    def caption(self) -> str:
        """How to read it, in two sentences."""
        return self._how.caption

    def draw(self, result: "Result") -> "Figure":
        """Draw it of a result."""
        return self._how.draw(result)

    def says(self, result: "Result") -> bool:
        """Whether that of a result says anything."""
        return self._how.says(result)

    @property
    def _how(self) -> _How:
        module, _, _ = self.drawn_by.partition(".")
        importlib.import_module(f"{PICTURES_IN}.{module}")
        return _ENTERED[self.drawn_by]


def _of_cases(scenario: "Scenario") -> bool:
    return bool(scenario.vary and scenario.variants)


PICTURES = (
    Picture("run", "pitch_and_travel", "timelines.of_run"),
    Picture("run", "load_account", "loads.of_run"),
    Picture("run", "shock_loops", "loops.of_run"),
    Picture("run", "with_and_without", "overlays.of_support", lambda scenario: scenario.without_support),
    Picture("run", "link_forces", "link_forces.of_run"),
    Picture("comparison", "comparison", "overlays.of_comparison"),
    Picture("comparison", "pitch_and_front_load", "loads.of_comparison"),
    Picture("comparison", "differences", "differences.of_comparison"),
    Picture("comparison", "shock_loops", "loops.of_comparison"),
    Picture("comparison", "link_forces", "link_forces.of_comparison"),
    Picture("sweep", "outcomes", "cases_along.of_cases", _of_cases),
    Picture(
        "sweep",
        "outcomes",
        "maps.of_sweep",
        lambda scenario: len(scenario.vary) > 1 and not scenario.variants,
    ),
    Picture(
        "sweep",
        "outcomes",
        "outcomes.of_sweep",
        lambda scenario: len(scenario.vary) == 1 and not scenario.variants,
    ),
    Picture("sweep", "curve_differences", "cases_along.differences_of_cases", _of_cases),
    Picture("limits", "limits", "slopes.of_limits"),
    Picture("ranges", "limits", "ranges.of_ranges", lambda scenario: not scenario.vary),
    Picture("ranges", "limits_along", "limit_lines.of_limits_along", lambda scenario: bool(scenario.vary)),
    Picture("ranking", "ranking", "ranking.of_ranking"),
    Picture("inspection", "side_view", "side_view.of_inspection"),
    Picture("measurement", "how_well_known", "measured.of_measurement"),
    Picture("measurement", "rig_known", "measured_rig.of_measurement"),
    Picture("sensitivity", "matters", "tornado.of_sensitivity"),
    Picture("field_trial", "field_trial", "trial.of_field_trial"),
    Picture("spread", "intervals", "scatter.of_spread"),
    Picture("spread", "bands", "scatter.bands_of_spread"),
    Picture("fit", "log_over_run", "logs.of_fit"),
    Picture("fit", "errors", "logs.of_errors"),
)
"""Every picture, those of a kind in their order, its first picture first. A table, so that the files of a
result are known without reading what draws them.
"""


def pictures_for(kind: "type[Result]", scenario: "Scenario | None" = None) -> list[Picture]:
    """Pictures of a kind of result, the first one first; of a scenario those that there can be of it."""
    return [one for one in PICTURES if one.kind == kind.kind and (scenario is None or one.when(scenario))]


def pictures_of(result: "Result") -> dict[str, Draw]:
    """What draws each picture of a result that says something, by its name."""
    known = pictures_for(type(result), result.scenario)
    return {one.name: partial(one.draw, result) for one in known if one.says(result)}


def draw(result: "Result", name: str | None = None) -> "Figure":
    """Draw a picture of a result.

    Parameters
    ----------
    result : from a study, or read from a folder
    name : of the picture; the first one if left out

    Raises
    ------
    ValueError
        When there is no such picture of this result.
    """
    known = {one.name: one.draw for one in pictures_for(type(result), result.scenario)}
    if name is not None and name not in known:
        raise ValueError(f"no picture {name!r} of this {result.kind}; there are {', '.join(known)}")
    return known[name or next(iter(known))](result)
