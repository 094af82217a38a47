"""A scenario asked of another rig, and the figures that are its answer."""

from collections.abc import Mapping, Sequence
from typing import Any

from simcore.errors import InputError
from simcore.files.reading import scenario_of
from simcore.files.scenario import Scenario
from simcore.files.variants import place_of
from simcore.results.catalogue import NUMBERS, just_seen
from simcore.results.conditions import Conditions
from simcore.results.metric_selection import telling_differences, telling_of_run
from simcore.results.metrics import Summary
from simcore.results.moved import Figure
from simcore.studies.simulate import simulate

ROUGH = 0.02
"""Share of a metric that counts as visible where the catalogue has no such difference (common practice, no
source)."""


def asked_of(scenario: Scenario, rig: Mapping[str, Any]) -> tuple[Scenario, list[str]]:
    """A scenario with a rig in place of its own, and what of it had to be left out, in words.

    Its variants stay where they can be put over that rig; its axes go, and of its conclusion all but the
    metrics that it speaks of.

    Parameters
    ----------
    scenario : as its file has it
    rig : table of a rig file

    Raises
    ------
    InputError
        When scenario and rig do not go together.
    """
    raw = {key: value for key, value in scenario.raw.items() if key not in ("conclusion", "vary")}
    raw |= {"rig": dict(rig), "conclusion": {"shown": list(_spoken_of(scenario))}}
    left_out = ["its [vary]: the rig is moved at the file's own values"] if scenario.vary else []
    bare = {key: value for key, value in raw.items() if key not in ("variants", "common")}
    with_all = scenario.changed({"rig": dict(rig)}, keep_variants=True)
    kept, taken = {}, set[str]()
    for name in scenario.variants:
        try:
            with_all.variant(name)
        except InputError as error:
            left_out.append(f'its case "{name}": {"; ".join(_fault(one) for one in error.issues)}')
            continue
        kept[name] = raw["variants"][name]
        taken |= {edit.where for edit in scenario.edits_of(name)}
    common = {name: one for name, one in raw.get("common", {}).items() if place_of("common", name) in taken}
    tables = {"variants": kept, "common": common}
    return scenario_of(bare | {key: one for key, one in tables.items() if one}, scenario.path), left_out


def _fault(issue: Any) -> str:
    return f"{issue.key.rpartition('.')[2] or issue.key} got {issue.got}, must be {issue.must_be}"


def _spoken_of(scenario: Scenario) -> dict[str, None]:
    """Metrics that a conclusion speaks of: those that it shows, then those of its claims."""
    conclusion = scenario.conclusion
    return dict.fromkeys((*conclusion.shown, *(metric for _, metric, *_ in conclusion.claims)))


def figures_of(asked: Scenario, rows: Mapping[str, Summary]) -> tuple[Figure, ...]:
    """The figures that are the answer of a scenario, with their values.

    Those of the metrics that it speaks of, else of those that tell most; of several cases what each adds to
    the first.

    Parameters
    ----------
    asked : the scenario
    rows : of its cases, the base first
    """
    visible = Conditions.of(asked).visible
    base, *others = rows
    found = []
    for metric in _metrics(asked, rows, visible):
        first = rows[base].get(metric)
        if not isinstance(first, float):
            continue
        sizes = [abs(first)]
        pairs = [(base, "", first)]
        if others:
            known = {name: rows[name].get(metric) for name in others}
            there = {name: value for name, value in known.items() if isinstance(value, float)}
            sizes += [abs(value) for value in there.values()]
            pairs = [(name, base, value - first) for name, value in there.items()]
        seen = just_seen(metric, visible) or max(ROUGH * max(sizes), 1e-12)
        found += [Figure(metric, case, less, value, seen) for case, less, value in pairs]
    return tuple(found)


def _metrics(asked: Scenario, rows: Mapping[str, Summary], visible: Mapping[str, float]) -> Sequence[str]:
    """Metrics that are numbers: those that the scenario speaks of, else the telling ones."""
    named = [metric for metric in asked.conclusion.shown if metric in NUMBERS]
    if named:
        return named
    if len(rows) > 1:
        told = telling_differences(list(rows.values()), visible)
    else:
        try:
            run = simulate(asked)
        except InputError:  # it cannot stand: there are no metrics
            return []
        told = telling_of_run(run.summary, run.series.iloc[0], visible)
    return [metric for metric in told if metric in NUMBERS and metric != "time_s"]


def figure_values(
    figures: Sequence[Figure], rows: Mapping[str, Summary], comparable: Mapping[str, bool]
) -> tuple[float | None, ...]:
    """The figures of other runs of the same cases; None where one is not known or cannot be compared."""
    found: list[float | None] = []
    for figure in figures:
        needed = [name for name in (figure.case, figure.less) if name]
        values = [rows[name].get(figure.metric) for name in needed if comparable[name]]
        known = [value for value in values if isinstance(value, float)]
        if len(known) < len(needed):
            found.append(None)
        else:
            found.append(known[0] - known[1] if figure.less else known[0])
    return tuple(found)
