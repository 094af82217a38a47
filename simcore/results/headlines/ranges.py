"""Between which values of a number the job is done, and how that moves, in one sentence."""

import enum
from collections.abc import Callable, Sequence

import numpy as np
import pandas as pd

from simcore.files.aim import Task, aim_of
from simcore.files.scenario import Scenario
from simcore.results.headlines.job import length, passing
from simcore.results.headlines.tables import at, named, places
from simcore.results.quantities import Label

Axes = Sequence[tuple[str, Label]]
Said = Callable[[float], str]
SIDES = {"high": "highest", "low": "lowest"}
FURTHER = {"high": "at least", "low": "at most"}  # where the range ends before the edge
OUTWARD = {"high": "above", "low": "below"}
FEW = 3  # values of an axis that are listed
TURNS = 0.15  # of all that a limit moves, from which a turn on the way is told


class Ending(enum.Enum):
    """What lies beyond an edge; the name stands in files, the value in sentences."""

    FAILS = "the job is not done"
    CANNOT_BE_BUILT = "rig and course cannot be built so"
    OTHER_JOB = "the manoeuvre asks for another job"
    RANGE_ENDS = "not searched further"
    NOT_KNOWN = "runs gave no answer"
    NEVER_DONE = "the job is not done anywhere in the range"


KNOWN = frozenset({Ending.FAILS, Ending.CANNOT_BE_BUILT, Ending.OTHER_JOB})
"""Edges that are found."""


def ending(row: pd.Series, side: str) -> Ending:
    """What lies beyond one edge of a row."""
    return Ending[str(row[f"{side}_edge"])]


def job_words(scenario: Scenario) -> str:
    """The job of a scenario in an infinitive: "cover 800 mm", "get over the ledge"."""
    aim, goal = aim_of(scenario), scenario.goal
    text = "" if aim.task is Task.NONE else aim.task.value
    if aim.task is Task.REACH:
        text = f"cover {length(1000.0 * aim.way)}"
    elif aim.task is Task.PASS:
        text = f"get {passing(scenario)}"
    elif aim.task is Task.STOP and goal.stop_within is not None:
        text = f"stop within {length(1000.0 * goal.stop_within)}"
    bounds = bool(goal.at_least or goal.at_most or goal.front_load)
    return " and ".join(part for part in (text, "keep the bounds of its goal" if bounds else "") if part)


def ranges_headline(table: pd.DataFrame, label: Label, said: Said, axes: Axes = ()) -> str:
    """One sentence: between which values the job is done, and how the edges differ or move.

    Parameters
    ----------
    table : one row a case, the base first; columns as in `simcore.studies.ranges.MEANING`, and of the axes
    label, said : what the number is called, and one of its values in words
    axes : columns and labels of the axes along which it was sought
    """
    if len(table) == 1:
        return _alone(table.iloc[0], label, said)
    never = [str(name) for name, row in table.iterrows() if ending(row, "high") is Ending.NEVER_DONE]
    if len(never) == len(table):
        return f"The job is not done in any case, {_searched(table.iloc[0], label, said)}"
    parts = [text for side in SIDES if (text := _side(table, side, label, said, axes))]
    if not parts:
        hidden = [name for name in table.index if _hidden(table.loc[name])]
        where = _searched(table.iloc[0], label, said)
        parts = [f"Not known {where}" if hidden else f"The job is done throughout, {where}"]
    if never:
        parts.append(f"Not done at all {_listed(never, len(table), axes)}")
    hidden = [str(name) for name, row in table.iterrows() if _hidden(row)]
    if hidden:
        parts.append(f"Not known {_listed(hidden, len(table), axes)}: runs gave no answer")
    more = [str(name) for name, row in table.iterrows() if row["also_done"]]
    if more:
        parts.append(f"Done again beyond the edge {_listed(more, len(table), axes)}")
    return ". ".join(parts)


def _searched(row: pd.Series, label: Label, said: Said) -> str:
    return f"{label.name} from {said(row['searched_from'])} to {said(row['searched_to'])}"


def _hidden(row: pd.Series) -> bool:
    return any(ending(row, side) is Ending.NOT_KNOWN for side in SIDES)


def _listed(names: Sequence[str], count: int, axes: Axes) -> str:
    """Which cases; of several axes how many combinations."""
    if len(axes) > 1 or (axes and len(names) > FEW):
        return f"in {len(names)} of {count} cases"
    if axes:
        return f"at {axes[0][1].name} {at(' and '.join(names), axes[0][1].unit)}"
    return f"({', '.join(names)})"


def _alone(row: pd.Series, label: Label, said: Said) -> str:
    low, high = ending(row, "low"), ending(row, "high")
    if high is Ending.NEVER_DONE:
        return f"The job is not done, {_searched(row, label, said)}: {row['high_why']}"
    if pd.isna(row["high_done"]):
        return f"Not known, {_searched(row, label, said)}: runs gave no answer"
    if low is high is Ending.RANGE_ENDS:
        return f"The job is done throughout, {_searched(row, label, said)}"
    if low is Ending.RANGE_ENDS:
        text = f"up to {said(row['high_done'])}"
    elif high is Ending.RANGE_ENDS:
        text = f"from {said(row['low_done'])} on"
    else:
        text = f"from {said(row['low_done'])} to {said(row['high_done'])}"
    parts = [f"Does its job with {label.name} {text}"]
    parts += [f"{word}: {_beyond(row, side)}" for side, word in (("high", "Above"), ("low", "Below"))]
    parts = [part for part in parts if not part.endswith(": ")]
    if row["also_done"]:
        parts.append(f"But also {row['also_done']}")
    return ". ".join(parts)


def _beyond(row: pd.Series, side: str) -> str:
    """What happens beyond an edge; nothing where the range ends there."""
    found = ending(row, side)
    if found is Ending.FAILS:
        return str(row[f"{side}_why"])
    return "" if found is Ending.RANGE_ENDS else found.value


def _side(table: pd.DataFrame, side: str, label: Label, said: Said, axes: Axes) -> str:
    """How the edge of one side differs between cases or moves along axes; nothing where none is found."""
    edges = [ending(row, side) for _, row in table.iterrows()]
    if not KNOWN & set(edges):
        return ""
    known = table[[one in KNOWN or one is Ending.RANGE_ENDS for one in edges]]
    values = known[f"{side}_done"].to_numpy(float)
    what = f"{SIDES[side].capitalize()} {label.name}"
    least = float(table["resolution"].iloc[0])
    if values.max() - values.min() < 1.001 * least:
        alike = _alike(known, side)
        return f"{what}: {_value(known.iloc[0], side, said)} in every case{alike}"
    if len(axes) == 1 and pd.api.types.is_numeric_dtype(known[axes[0][0]]):
        return _course(known, side, what, said, axes[0]) + _alike(known, side)
    best, worst = (int(np.argmax(values)), int(np.argmin(values)))
    ends = [f"{_value(known.iloc[k], side, said)} {_place(known, k, axes)}" for k in (worst, best)]
    if axes:
        return f"{what}: from {ends[0]} to {ends[1]}{_alike(known, side)}"
    alike = _alike(known, side)
    if not alike:
        whys = [_beyond(known.iloc[k], side) for k in (worst, best)]
        ends = [f"{end[:-1]}: {why})" if why else end for end, why in zip(ends, whys, strict=True)]
    return f"{what}: {ends[1]}, {ends[0]}{alike}"


def _alike(known: pd.DataFrame, side: str) -> str:
    """What happens beyond the edge, where that is the same in all cases."""
    found = {_beyond(row, side) for _, row in known.iterrows()} - {""}
    return f"; {OUTWARD[side]} it: {found.pop()}" if len(found) == 1 else ""


def _value(row: pd.Series, side: str, said: Said) -> str:
    """An edge in words; where the range ends the edge lies further out."""
    text = said(row[f"{side}_done"])
    return f"{FURTHER[side]} {text}" if ending(row, side) is Ending.RANGE_ENDS else text


def _place(known: pd.DataFrame, k: int, axes: Axes) -> str:
    if not axes:
        return f"({known.index[k]})"
    row = known.iloc[k]
    return "at " + " and ".join(f"{label.name} {at(row[path], label.unit)}" for path, label in axes)


def _course(known: pd.DataFrame, side: str, what: str, said: Said, axis: tuple[str, Label]) -> str:
    """From where to where an edge goes along one axis of numbers, and where it turns."""
    path, label = axis
    x, _ = places(known[path])
    order = np.argsort(x, kind="stable")
    rows = [known.iloc[k] for k in order]
    y = known[f"{side}_done"].to_numpy(float)[order]
    first, last = rows[0], rows[-1]
    text = f"{what} goes from {_value(first, side, said)} to {_value(last, side, said)} as {label.name} goes "
    text += f"from {named(first[path])} to {at(last[path], label.unit)}"
    for turn, word in ((int(np.argmax(y)), "highest"), (int(np.argmin(y)), "lowest")):
        if min(abs(y[turn] - y[0]), abs(y[turn] - y[-1])) > TURNS * (y.max() - y.min()):
            text += f", {word} at {at(rows[turn][path], label.unit)} ({_value(rows[turn], side, said)})"
    return text
