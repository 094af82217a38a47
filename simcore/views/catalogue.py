"""Which pictures there are of which kind of result; each module of `views.pictures` enters its own."""

import dataclasses
import importlib
import pkgutil
from collections.abc import Callable
from functools import cache, partial
from typing import TYPE_CHECKING, Any, TypeVar

from simcore.files import Scenario
from simcore.results.result import Result

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LOOKS = ("screen", "print")
Draw = Callable[[], "Figure"]
Drawer = TypeVar("Drawer", bound=Callable[[Any], "Figure"])


@dataclasses.dataclass(frozen=True)
class Picture:
    """A picture of a kind of result.

    Attributes
    ----------
    of : the kind
    name : of its file, without ending
    caption : how to read it, in two sentences
    draw : takes the result, gives the figure
    rank : place among the pictures of its kind; the lowest one is the kind's first picture
    when : whether there can be one of a result of this scenario
    says : whether that of a result says anything; one that does not is drawn only where it is asked for
    """

    of: type[Result]
    name: str
    caption: str
    draw: Callable[[Any], "Figure"]
    rank: int
    when: Callable[[Scenario], bool]
    says: Callable[[Any], bool]


_ENTERED: list[Picture] = []


def picture(
    of: type[Result],
    name: str,
    caption: str,
    rank: int = 9,
    when: Callable[[Scenario], bool] = lambda scenario: True,
    says: Callable[[Any], bool] = lambda result: True,
) -> Callable[[Drawer], Drawer]:
    """Enter a function that draws a kind of result; parameters as the attributes of `Picture`."""

    def entered(draw: Drawer) -> Drawer:
        _ENTERED.append(Picture(of, name, caption, draw, rank, when, says))
        return draw

    return entered


@cache
def _all() -> tuple[Picture, ...]:
    """Every picture, each module of the pictures being read once."""
    package = importlib.import_module("simcore.views.pictures")
    for module in pkgutil.iter_modules(package.__path__):
        importlib.import_module(f"{package.__name__}.{module.name}")
    return tuple(sorted(_ENTERED, key=lambda one: (one.rank, one.name)))


def pictures_for(kind: type[Result], scenario: Scenario | None = None) -> list[Picture]:
    """Pictures of a kind of result, the first one first; of a scenario those that there can be of it."""
    return [one for one in _all() if one.of is kind and (scenario is None or one.when(scenario))]


def pictures_of(result: Result) -> dict[str, Draw]:
    """What draws each picture of a result that says something, by its name."""
    known = pictures_for(type(result), result.scenario)
    return {one.name: partial(one.draw, result) for one in known if one.says(result)}


def draw(result: Result, name: str | None = None) -> "Figure":
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
