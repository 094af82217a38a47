"""What several cases have shown, in one sentence: which did their job, then how they differ."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from simcore.files.aim import Task, aim_of, leads_over_all
from simcore.files.scenario import Scenario
from simcore.results.catalogue import CATALOGUE, just_seen, label_of
from simcore.results.conditions import Conditions
from simcore.results.formatting import in_picture
from simcore.results.headlines.job import is_done, job_sentence, length, moves, passing, seconds
from simcore.results.headlines.run import still_swings
from simcore.results.quantities import Group

Summary = Mapping[str, Any]
Summaries = Mapping[str, Summary]
TELLING = (
    *("front_load_mean_N", "pitch_rise_deg", "pitch_dive_deg", "pitch_mean_deg", "rear_squat_mm"),
    *("rear_lift_mm", "front_squat_mm", "front_lift_mm", "front_load_low_N", "distance_mm"),
)
"""Metrics that a headline may speak of where the file names none."""
ALIKE = 0.1  # of the spread of the cases, within which one is as good as the extreme
NAMED = 2  # cases that are named one by one
MANY = 3  # failed cases, or reasons, that are told in full
PLURAL = {"climbs": "climb", "drives": "drive", "comes down": "come down"}
ONWARD = {"climb": "climb on", "drive": "drive on", "come down": "come on down", "come": "come on"}


def comparison_headline(
    summaries: Summaries, scenarios: Mapping[str, Scenario], conditions: Conditions
) -> str:
    """Which cases did their job, then the most telling difference between those that did.

    Parameters
    ----------
    summaries, scenarios : of each case, by its name; the base first
    conditions : of all of them
    """
    parts = (jobs_sentence(summaries, scenarios), difference_clause(summaries, conditions))
    return ". ".join(part for part in parts if part)


# --- the job ---


def jobs_sentence(summaries: Summaries, scenarios: Mapping[str, Scenario], many: str = "cases") -> str:
    """Which cases did their job and which did not, and why; `many` is what they are called."""
    done = {name: one for name, one in summaries.items() if is_done(one)}
    failed = {name: one for name, one in summaries.items() if name not in done}
    did = _together(done, scenarios, whole=not failed)
    if not failed:
        return did
    short = {"torque_share_pct": None} if len(failed) > MANY else {}  # it differs in every case
    reasons = grouped(
        {name: job_sentence({**one, **short}, scenarios[name], True) for name, one in failed.items()}
    )
    said = _listed(reasons, len(summaries), many)
    if not done:
        return said if len(reasons) == 1 else f"None does its job. {said}"
    return f"{said}; {did}"


def grouped(said: Mapping[str, str]) -> dict[str, list[str]]:
    """Reason to the cases that it is said of."""
    groups: dict[str, list[str]] = {}
    for name, reason in said.items():
        groups.setdefault(reason, []).append(name)
    return groups


def _listed(reasons: Mapping[str, Sequence[str]], of_all: int, many: str) -> str:
    """Reasons with the cases that they are said of."""
    told = dict(list(reasons.items())[: MANY if len(reasons) > MANY + 1 else None])
    left = sum(len(names) for reason, names in reasons.items() if reason not in told)
    text = "; ".join(f"{_names(names, of_all, many)}: {reason}" for reason, names in told.items())
    return f"{text}; {left} more fail in other ways" if left else text


def _names(names: Sequence[str], of_all: int, many: str) -> str:
    if len(names) == of_all > 1:
        return f"Both {many}" if of_all == 2 else f"All {of_all} {many}"
    if len(names) > NAMED:
        return f"{len(names)} of {of_all} {many}"
    return " and ".join(f'"{name}"' for name in names)


def _together(done: Summaries, scenarios: Mapping[str, Scenario], whole: bool) -> str:
    """What the cases that did their job did; their numbers as a range."""
    if not done:
        return ""
    if len(done) == 1:
        ((name, one),) = done.items()
        return f'"{name}" {job_sentence(one, scenarios[name], True)}'
    who = ("Both" if len(done) == 2 else f"All {len(done)}") if whole else f"the other {len(done)}"
    tasks = {Task[one["job_task"]] for one in done.values()}
    text = _TOGETHER.get(tasks.pop(), _as_asked)(done, scenarios) if len(tasks) == 1 else "do their job"
    spin = sum(bool(one["job_spinning"]) for one in done.values())
    return f"{who} {text}" + (f" ({spin} with spinning tyres)" if spin else "")


def _range(values: Iterable[float], said: Callable[[float], str]) -> str:
    """Lowest to highest, once where they read alike."""
    found = list(values)
    low, high = said(min(found)), said(max(found))
    (number, unit), (_, other) = low.split(" "), high.split(" ")
    return high if low == high else f"{number if unit == other else low} to {high}"


def _verb(done: Summaries) -> str:
    verbs = {moves(one) for one in done.values()}
    return PLURAL[verbs.pop()] if len(verbs) == 1 else "come"


def _go_on(done: Summaries, scenarios: Mapping[str, Scenario]) -> str:
    return f"{ONWARD[_verb(done)]}, {_range((one['distance_mm'] for one in done.values()), length)}"


def _reach(done: Summaries, scenarios: Mapping[str, Scenario]) -> str:
    ways = _range([1e3 * aim_of(scenarios[name]).way for name in done], length)
    times = _range((one["done_s"] for one in done.values()), seconds)
    over = {passing(scenarios[name]) if leads_over_all(scenarios[name]) else "" for name in done}
    what = over.pop() if len(over) == 1 else ""
    return f"get {what}, {ways} in {times}" if what else f"{_verb(done)} {ways} in {times}"


def _pass(done: Summaries, scenarios: Mapping[str, Scenario]) -> str:
    what = {passing(scenarios[name]) for name in done}
    times = _range((one["done_s"] for one in done.values()), seconds)
    return f"get {what.pop() if len(what) == 1 else 'past their course'}, in {times}"


def _stop(done: Summaries, scenarios: Mapping[str, Scenario]) -> str:
    return f"stop, in {_range((one['stopping_mm'] for one in done.values()), length)}"


def _stay(done: Summaries, scenarios: Mapping[str, Scenario]) -> str:
    return "stay where they are"


def _as_asked(done: Summaries, scenarios: Mapping[str, Scenario]) -> str:
    return "do what is asked of them"


_TOGETHER = {
    Task.GO_ON: _go_on,
    Task.REACH: _reach,
    Task.PASS: _pass,
    Task.STOP: _stop,
    Task.STAY: _stay,
}


# --- the difference ---


def comparable(summaries: Summaries, key: str, conditions: Conditions) -> dict[str, float]:
    """Values of a metric by case, of those that a sentence may speak of: sound, their job done, known.

    Of the pitch only where it has come to rest.
    """
    pitch = CATALOGUE[key].group is Group.PITCH
    return {
        name: float(one[key])
        for name, one in summaries.items()
        if is_done(one)
        and isinstance(one.get(key), int | float)
        and not (pitch and still_swings(one, conditions))
    }


def difference_clause(summaries: Summaries, conditions: Conditions) -> str:
    """The first metric in which cases that did their job differ visibly, with its extremes.

    Metrics that the file names come first; empty where fewer than two cases can be compared.
    """
    shown = conditions.scenario.conclusion.shown
    ranked = [
        key for key in dict.fromkeys((*shown, *TELLING)) if key in CATALOGUE and not CATALOGUE[key].text
    ]
    compared = False
    for key in ranked:
        values = comparable(summaries, key, conditions)
        if len(values) < 2:
            continue
        compared = True
        most, least = _extreme(key, values, 1.0), _extreme(key, values, -1.0)
        if values[most] - values[least] >= max(just_seen(key, conditions.visible), 1e-12):
            return _apart(key, values, most, least)
    swings = [name for name, one in summaries.items() if is_done(one) and still_swings(one, conditions)]
    if swings and len(swings) == len(summaries):
        return "All still swing at the end"
    return "No visible difference in pitch, travel or front load" if compared else ""


def _extreme(key: str, values: Mapping[str, float], sign: float) -> str:
    """Case with the highest (sign 1) or lowest value; of those too near to it to be told apart the first."""
    best = max(sign * value for value in values.values())
    near = min(CATALOGUE[key].kind.noise, ALIKE * (max(values.values()) - min(values.values())))
    return next(name for name, value in values.items() if sign * value >= best - near)


def _apart(key: str, values: Mapping[str, float], most: str, least: str) -> str:
    name = label_of(key)
    high, low = in_picture(key, values[most]), in_picture(key, values[least])
    return f'{name[:1].upper()}{name[1:]}: {high} with "{most}", {low} with "{least}"'


def front_load_headline(
    summaries: Summaries, scenarios: Mapping[str, Scenario], conditions: Conditions
) -> str:
    """Which cases did their job, then the spread of pitch beside that of the front load."""
    parts = (jobs_sentence(summaries, scenarios), _front_load_clause(summaries, conditions))
    return ". ".join(part for part in parts if part)


def _front_load_clause(summaries: Summaries, conditions: Conditions) -> str:
    """Spread of pitch over the cases beside that of the front load, of those that did their job."""
    parts = []
    for key, what in (("pitch_mean_deg", "Pitch"), ("front_load_mean_N", "the front load")):
        values = comparable(summaries, key, conditions)
        if len(values) > 1:
            most, apart = _extreme(key, values, 1.0), max(values.values()) - min(values.values())
            whole = f" of {in_picture(key, values[most])}" if key.endswith("_N") else ""
            parts.append(f'{what} differs by {in_picture(key, apart)}{whole} (most with "{most}")')
    return ", ".join(parts)
