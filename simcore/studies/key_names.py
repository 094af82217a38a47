"""What to call a key of a scenario at hand: as on the axis of a sweep, but things by their own names."""

from simcore.files.scenario import Scenario
from simcore.files.steps import Steps
from simcore.studies.plan import ASKED, axis_label


def path_of(place: Steps) -> str:
    """Path of a key as a setting names it."""
    return ".".join(str(step) for step in (place[1:] if place[0] == "rig" else place))


def key_name(scenario: Scenario, place: Steps) -> str:
    """What to call a key: parts by their names, a ramp of the driver by what is reached and when.

    Parameters
    ----------
    scenario : that has it
    place : steps to it, from the scenario on

    Raises
    ------
    RejectedValue
        when the place is none of the scenario's.
    """
    words = axis_label(path_of(place)).name
    match place:
        case ("rig", "parts", int(k), *rest):
            own = words.removeprefix(f"parts {k + 1} ").removeprefix("at ")
            return f"{scenario.rig.parts[k].name}, {own}" if rest else words
        case ("rig", "skids", int(k), *_):
            return words.replace(f"skids {k + 1} ", f"skid {k + 1}, ").replace(", at ", ", ")
        case ("rig", str(axle), "shock", "springs", int(k), *_):
            alone = len(getattr(scenario.rig, axle).shock.springs) == 1
            return words.replace(f"springs {k + 1} ", "spring " if alone else f"spring {k + 1} ")
        case ("driver", str(table), int(k), int(column)):
            what = ASKED.get(table, table)
            return f"{what}{_of_ramp(len(getattr(scenario.driver, table)), k, bool(column))}"
    return words


def _of_ramp(rows: int, k: int, height: bool) -> str:
    """What a number is in a table of so many rows: its height or its time."""
    if rows == 1:
        return "" if height else ", from when on"
    if rows == 2:
        return (", at first", " reached")[k] if height else (", begins after", ", reached after")[k]
    return f", point {k + 1}" if height else f", time of point {k + 1}"
