"""What several cases do along one axis, in one sentence: job, which has most, where their order changes."""

import itertools
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from simcore.files.axes import CASE
from simcore.files.scenario import Scenario
from simcore.results.catalogue import just_seen, label_of
from simcore.results.formatting import in_picture
from simcore.results.headlines.cases import grouped
from simcore.results.headlines.crossings import crossings
from simcore.results.headlines.job import is_done, job_sentence
from simcore.results.headlines.tables import at, places, spoken_of
from simcore.results.quantities import Label
from simcore.results.reliability import reliability_note
from simcore.results.store import FAILED

NAMED = 3  # cases that are named one by one
THROUGHOUT, NOWHERE, UP_TO = "throughout", "nowhere", "up to"
TOLD = 2  # crossings, or reasons, that are told


class Told(NamedTuple):
    """A run of a case along an axis.

    Attributes
    ----------
    value : of the axis
    row : its metrics, or of one that could not start what is to be said of its job
    scenario : that was run
    """

    value: Any
    row: Mapping[str, Any]
    scenario: Scenario


# --- the job ---


def tally_of_cases(runs: Mapping[str, Sequence[Told]], label: Label) -> str:
    """Up to where along the axis each case did its job, and why those that failed did not.

    Parameters
    ----------
    runs : by case, those of which something is known
    label : of the axis
    """
    known = {name: _in_order(own) for name, own in runs.items() if own}
    if not known:
        return ""
    spans = grouped({name: _span(own, label) for name, own in known.items()})
    reasons = _reasons(known)
    if list(spans) == [NOWHERE]:
        return f"No case does its job: {' or '.join(reasons)}"
    if len(spans) == 1:
        who = f"{_who(list(known), len(known))} {'do their' if len(known) > 1 else 'does its'} job"
        text = f"{who} {next(iter(spans))}"
    else:
        said = ", ".join(f"{span} ({_who(names, len(known))})" for span, names in spans.items())
        first, axis, rest = said.partition(f" {label.name} ")
        text = f"Job done {first}{axis}{rest.replace(axis, ' ') if axis else ''}"  # the axis is named once
    beyond = all(span == THROUGHOUT or span.startswith(UP_TO) for span in spans)
    if len(reasons) != 1:  # whose is whose stands in the table
        return text
    return f"{text}; {'beyond that' if beyond else 'elsewhere'} it {reasons[0]}"


def _numbers(runs: Sequence[Told]) -> bool:
    return all(isinstance(run.value, int | float) for run in runs)


def _in_order(runs: Sequence[Told]) -> list[Told]:
    """Runs in the order of the axis; words stay as they are."""
    return sorted(runs, key=lambda run: run.value) if _numbers(runs) else list(runs)


def _turns(runs: Sequence[Told]) -> list[int]:
    """Numbers of the runs that fail after one that did its job, or the other way round."""
    done = [is_done(run.row) for run in runs]
    return [k for k in range(1, len(done)) if done[k] != done[k - 1]]


def _span(runs: Sequence[Told], label: Label) -> str:
    """Where along the axis a case does its job; its runs in order."""
    done, turns = [is_done(run.row) for run in runs], _turns(runs)
    if not turns:
        return THROUGHOUT if done[0] else NOWHERE
    if _numbers(runs) and len(turns) == 1:
        before, after = (at(runs[k].value, label.unit) for k in (turns[0] - 1, turns[0]))
        return f"{UP_TO} {label.name} {before}" if done[0] else f"from {label.name} {after} on"
    return f"in {sum(done)} of {len(done)} runs"


def _reasons(runs: Mapping[str, Sequence[Told]]) -> list[str]:
    """Why runs failed, the most frequent reason first; of a case that turns, those next to where it does."""
    without = {"torque_share_pct": None}  # it differs in every run
    said = {}
    for name, own in runs.items():
        turns = _turns(own)
        near = {k for turn in turns for k in (turn - 1, turn)} if turns else range(len(own))
        for k in near:
            if not is_done(own[k].row):
                said[f"{name} {k}"] = job_sentence({**own[k].row, **without}, own[k].scenario, True)
    often = sorted(grouped(said).items(), key=lambda reason: -len(reason[1]))
    told = [reason for reason, _ in often[:TOLD]]
    return [*told, *(["fails in other ways"] if len(often) > TOLD else [])]


def _who(names: Sequence[str], of_all: int) -> str:
    """Names of cases, or how many they are."""
    if len(names) == of_all > 1:
        return "Both cases" if of_all == 2 else f"All {of_all} cases"
    if len(names) > NAMED:
        return f"{len(names)} of {of_all} cases"
    *first, last = (f'"{name}"' for name in names)
    return f"{', '.join(first)} and {last}" if first else last


# --- the difference ---


def by_case(table: pd.DataFrame, axis: str, values: pd.Series) -> pd.DataFrame:
    """Values of a metric, a row for each place on the axis (rising) and a column for each case.

    Parameters
    ----------
    table : one row a run, with a column `case`
    axis : its column of the axis
    values : of the metric, in the order of these rows; NaN where they do not count
    """
    x, _ = places(table[axis])
    rows = pd.DataFrame({"x": x, CASE: table[CASE].to_numpy(), "value": values.to_numpy(float)})
    found = rows.groupby(["x", CASE])["value"].first().unstack(CASE)  # noqa: PD010, empty cases are kept
    return found[list(dict.fromkeys(table[CASE]))]


def cases_headline(
    table: pd.DataFrame, axis: str, label: Label, shown: Sequence[str], visible: Mapping[str, float]
) -> str:
    """One sentence: of the first metric in which cases differ visibly, which case has most, and where two of
    them change their order.

    Parameters
    ----------
    table : one row a run, with a column `case`, the base first
    axis, label : column of the axis and what to call it
    shown : metrics, the first one first
    visible : smallest visible difference, by "deg" and "mm"
    """
    trouble, table = _trouble(table), table.reset_index(drop=True)
    known, (_, names) = spoken_of(table, visible), places(table[axis])
    text, compared = "", False
    for key in shown:
        if key not in known:
            continue
        values = by_case(table, axis, known[key].reindex(table.index))
        both, seen = values[values.notna().sum(axis=1) > 1], max(just_seen(key, visible), 1e-12)
        compared |= len(both) > 0
        if len(both) and (both.max(axis=1) - both.min(axis=1)).max() >= seen:
            named = both if names is None else both.set_axis([names[int(k)] for k in both.index])
            orders = _orders(values, label, seen) if names is None else []
            said = [_most(named, key, label, seen), *orders]
            text = f"{label_of(key).capitalize()}: {'; '.join(said)}"
            break
    if not text:
        text = "No visible difference between the cases" if compared else "No two cases can be compared"
    return ". ".join(part for part in (text, trouble) if part)


def _trouble(table: pd.DataFrame) -> str:
    """What a reader must know of some runs, without those that the tally speaks of: they could not start."""
    if not {"job", FAILED} <= set(table):
        return reliability_note(table)
    told = table["job"].fillna("") != ""
    return reliability_note(table.assign(**{FAILED: table[FAILED].mask(told, "")}))


def _most(values: pd.DataFrame, key: str, label: Label, seen: float) -> str:
    """The case that is visibly ahead of all others at most places, and by how much of the base; else the one
    that differs most from the base.
    """
    ranked = np.sort(values.fillna(-np.inf).to_numpy(), axis=1)
    ahead = values[ranked[:, -1] - ranked[:, -2] >= seen].idxmax(axis=1)
    name, base = str(ahead.value_counts().index[0]) if len(ahead) else "", str(values.columns[0])
    count, of_all = int((ahead == name).sum()), len(values)
    if 2 * count <= of_all:
        return f"no case is visibly ahead over most of {label.name}{_farthest(values, key, label, seen)}"
    where = THROUGHOUT if count == of_all else f"at {count} of {of_all} values of {label.name}"
    more = (values[name] - values[base]).max()
    by = f', up to {in_picture(key, more)} more than "{base}"' if name != base and more >= seen else ""
    return f'most with "{name}" {where}{by}'


def _farthest(values: pd.DataFrame, key: str, label: Label, seen: float) -> str:
    """The case that differs most from the base, and where."""
    base = values.columns[0]
    apart = values.sub(values[base], axis=0)
    if not apart.abs().max(axis=None) >= seen:  # its own runs are missing
        return ""
    name = apart.abs().max().idxmax()
    place = apart[name].abs().idxmax()
    less = float(apart[name][place])
    way = "less" if less < 0.0 else "more"
    where = f" at {at(place, label.unit)}" if isinstance(place, float) else f" with {place}"
    return f'; farthest from "{base}" is "{name}", {in_picture(key, abs(less))} {way}{where}'


def _orders(values: pd.DataFrame, label: Label, seen: float) -> list[str]:
    """Where two cases change their order, along the axis."""
    x = values.index.to_numpy(float)
    lines = {str(name): values[name].to_numpy(float) for name in values}
    found = [
        (crossing, one, other)
        for one, other in itertools.combinations(lines, 2)
        for crossing in crossings(x, lines[one], lines[other], seen)
    ]
    found.sort(key=lambda each: each[0].at)
    said = []
    for crossing, one, other in found[:TOLD]:
        more, less = (one, other) if crossing.upward else (other, one)
        where = at(crossing.said, label.unit)
        said.append(f'"{more}" has more than "{less}" from about {where} on')
    left = len(found) - TOLD
    often = "once" if left == 1 else f"{left} times"
    return [*said, f"the order of two changes {often} more"] if left > 0 else said
