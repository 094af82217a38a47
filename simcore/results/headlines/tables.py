"""What a table of many runs shows, in one sentence."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.accounts.job import AS_ASKED
from simcore.results.catalogue import CATALOGUE, label_of
from simcore.results.formatting import in_picture
from simcore.results.metric_selection import first_seen, spread
from simcore.results.quantities import Group, Label
from simcore.results.reliability import reliability_note, unreliable_runs, usable


def against(table: pd.DataFrame, base: str, keys: Sequence[str]) -> pd.DataFrame:
    """Metrics of every other case less those of the base."""
    numbers = table[list(keys)].astype(float)
    return (numbers - numbers.loc[base]).drop(index=base)


def spoken_of(table: pd.DataFrame, visible: Mapping[str, float]) -> pd.DataFrame:
    """Runs that a sentence may be made of: they did their job; and no pitch of one that still swings."""
    known = usable(table)
    if "job" in known:
        known = known[known["job"].isin(AS_ASKED)]
    if "pitch_swing_deg" in known and "deg" in visible:
        pitch = [key for key in known if key in CATALOGUE and CATALOGUE[key].group is Group.PITCH]
        swings = known["pitch_swing_deg"] > visible["deg"]
        known = known.assign(**{key: known[key].mask(swings) for key in pitch})
    return known


def places(values: pd.Series) -> tuple[npt.NDArray[np.float64], list[str] | None]:
    """Where the values of an axis stand, and their names if they are words."""
    if pd.api.types.is_numeric_dtype(values):
        return values.to_numpy(float), None
    names = list(dict.fromkeys(values.astype(str)))
    return np.array([names.index(name) for name in values.astype(str)], float), names


def curves_headline(
    table: pd.DataFrame, axis: str, label: Label, shown: Sequence[str], visible: Mapping[str, float]
) -> str:
    """One sentence: the first metric that changes visibly, and from where to where.

    Parameters
    ----------
    table, axis, label, shown : as for the picture of curves; runs that broke their audit do not count
    visible : smallest visible difference, by "deg" and "mm"
    """
    trouble = reliability_note(table)
    known = spoken_of(table, visible)
    what, unit = label
    if len(known) == 0:
        return "No run could be done" if unreliable_runs(table)["no result"].all() else trouble
    if len(known) == 1:
        alone = f"Only {what} {at(known[axis].iloc[0], unit)} has a result to compare"
        return ". ".join(part for part in (alone, trouble) if part)
    key = first_seen({key: spread(known[key]) for key in shown if key in known}, visible)
    text = _course(known, axis, key, what, unit) if key else f"No visible difference over {what}"
    return ". ".join(part for part in (text, trouble) if part)


def _course(known: pd.DataFrame, axis: str, key: str, what: str, unit: str) -> str:
    """From where to where a metric goes; where it turns, its highest or lowest too."""
    x, names = places(known[axis])
    order = np.argsort(x, kind="stable")
    y = known[key].to_numpy(float)[order]
    where = [at(known[axis].iloc[k], "" if names else unit) for k in order]
    there = np.flatnonzero(np.isfinite(y))
    first, last = there[0], there[-1]
    if names is not None:
        high, low = there[np.argmax(y[there])], there[np.argmin(y[there])]
        return (
            f"{label_of(key).capitalize()}: {in_picture(key, y[high])} with {where[high]}, "
            f"{in_picture(key, y[low])} with {where[low]}"
        )
    text = f"{label_of(key).capitalize()} goes from {in_picture(key, y[first])} "
    text += f"to {in_picture(key, y[last])} as {what} goes from {where[first]} to {where[last]}"
    crosses = _zero(x[order][there], y[there])
    if crosses is not None:
        text += f", through 0 at {at(float(f'{crosses:.3g}'), unit)}"
    for turn, word in ((there[np.argmax(y[there])], "highest"), (there[np.argmin(y[there])], "lowest")):
        beyond = min(abs(y[turn] - y[first]), abs(y[turn] - y[last]))
        if beyond > 0.15 * (np.nanmax(y) - np.nanmin(y)):
            text += f", {word} at {where[turn]} ({in_picture(key, y[turn])})"
    return text


def _zero(x: npt.NDArray[np.float64], y: npt.NDArray[np.float64]) -> float | None:
    """Where a metric goes through zero, straight between two runs; None if never or more than once."""
    turns = np.flatnonzero(np.sign(y[1:]) * np.sign(y[:-1]) < 0.0)
    if len(turns) != 1:
        return None
    (k,) = turns
    return float(x[k] - y[k] * (x[k + 1] - x[k]) / (y[k + 1] - y[k]))


def at(value: Any, unit: str) -> str:
    """A value of an axis with its unit."""
    return f"{named(value)} {unit}".strip()


def named(value: Any) -> str:
    """A value of an axis as a picture writes it."""
    return value if isinstance(value, str) else f"{value:g}".replace("-", "\N{MINUS SIGN}")


def maps_headline(
    table: pd.DataFrame,
    axes: tuple[str, str],
    labels: tuple[Label, Label],
    shown: Sequence[str],
    visible: Mapping[str, float] | None = None,
) -> str:
    """One sentence: where the first metric that changes is highest and lowest.

    Parameters
    ----------
    table, axes, labels, shown : as for the picture of maps
    visible : smallest visible difference, by "deg" and "mm"; without it every change counts
    """
    trouble = reliability_note(table)
    known = spoken_of(table, visible or {})
    changes = {key: spread(known[key]) for key in shown if key in known}
    every = next((key for key, change in changes.items() if change > 0.0), "")
    key = every if visible is None else first_seen(changes, visible)
    if len(known) < 2:
        text = "Only one run has a result to compare" if len(known) else ""
    elif not key:
        text = "Nothing changes" + (" visibly" if visible else "") + " over both axes"
    else:
        text = f"{label_of(key).capitalize()}: from {_extreme(known, axes, labels, key, False)} "
        text += f"to {_extreme(known, axes, labels, key, True)}"
    return ". ".join(part for part in (text, trouble) if part)


def _extreme(
    known: pd.DataFrame, axes: tuple[str, str], labels: tuple[Label, Label], key: str, highest: bool
) -> str:
    """Highest or lowest value of a metric, and where."""
    values = known[key].to_numpy(float)
    row = int(np.nanargmax(values) if highest else np.nanargmin(values))
    return f"{in_picture(key, float(values[row]))} at {_place(known.iloc[row], axes, labels)}"


def _place(row: pd.Series, axes: tuple[str, str], labels: tuple[Label, Label]) -> str:
    said = []
    for path, (name, unit) in zip(axes, labels, strict=True):
        said.append(f"{name} {at(row[path], unit)}")
    return " and ".join(said)
