"""The conclusion of a scenario file: do its claims hold, and what does it say of these runs?"""

import math
import re
import warnings
from collections.abc import Collection, Iterable, Iterator, Mapping

from simcore.errors import InputIssue
from simcore.files.scenario import Scenario
from simcore.files.words import nearest
from simcore.results.catalogue import NUMBERS, label_of
from simcore.results.formatting import in_text
from simcore.results.metrics import Summary

LESS = " less "
_BLANK = re.compile(r"\{([^{}|]*)\|([^{}|]*)\}")


def conclusion_issues(scenario: Scenario, names: Iterable[str]) -> list[InputIssue]:
    """What of a conclusion speaks of cases or metrics that there are not: in a copied file it may.

    Parameters
    ----------
    scenario : with its conclusion
    names : of the cases that are run
    """
    conclusion, known = scenario.conclusion, list(names)
    found: list[InputIssue] = []
    for k, claim in enumerate(conclusion.claims):
        for kind, word in _spoken_of(claim):
            found += _unknown(scenario, f"conclusion.claims[{k}]", kind, word, known)
    for match in _BLANK.finditer(_line(conclusion.says)):
        for word in _terms(match[1].strip(), known):
            found += _unknown(scenario, "conclusion.says", "case", word, known)
        found += _unknown(scenario, "conclusion.says", "metric", match[2].strip(), known)
    for k, metric in enumerate(conclusion.shown):
        found += _unknown(scenario, f"conclusion.shown[{k}]", "metric", metric, known)
    return list(dict.fromkeys(found))


def _unknown(scenario: Scenario, key: str, kind: str, word: str, cases: list[str]) -> Iterator[InputIssue]:
    """The issue with a case or a metric that there is not."""
    among = cases if kind == "case" else NUMBERS
    if word not in among:
        must_be = f"one of {', '.join(among[:12])}{', ...' if len(among) > 12 else ''}"
        yield InputIssue(str(scenario.path), key, f'the {kind} "{word}"', must_be, nearest(word, among))


def _spoken_of(claim: tuple[str, str, str, float | str, float]) -> Iterator[tuple[str, str]]:
    """Cases and metric of a claim."""
    case, metric, _, other, _ = claim
    for word in (case, other) if isinstance(other, str) else (case,):
        yield "case", word
    yield "metric", metric


def warn_of_conclusion(scenario: Scenario, names: Iterable[str]) -> None:
    """Warn of what `conclusion_issues` finds; the runs can be done all the same."""
    for issue in conclusion_issues(scenario, names):
        warnings.warn(f"{issue}; this of the conclusion is not checked", stacklevel=3)


def _line(text: str) -> str:
    return " ".join(text.split())


def _terms(text: str, names: Collection[str]) -> list[str]:
    """The case that a blank names, or the two whose difference it is: "one less other"."""
    words = text.split(LESS)
    parts = [[LESS.join(words[:k]).strip(), LESS.join(words[k:]).strip()] for k in range(1, len(words))]
    known = [part for part in parts if part[0] in names and part[1] in names]
    return [text] if text in names or not parts else (known or parts)[0]


def broken_claims(scenario: Scenario, names: Iterable[str], cases: Mapping[str, Summary]) -> list[str]:
    """Claims of a file's conclusion that these runs do not bear out, in words.

    Claims of cases or metrics that there are not are left to `conclusion_issues`.

    Parameters
    ----------
    scenario : with its conclusion
    names : of the cases that were run
    cases : name to summary, of those that have metrics
    """
    known = list(names)
    broken = []
    for claim in scenario.conclusion.claims:
        if any(word not in (known if kind == "case" else NUMBERS) for kind, word in _spoken_of(claim)):
            continue
        case, metric, relation, other, by = claim
        value = _value(cases, case, metric)
        against = _value(cases, other, metric) if isinstance(other, str) else other
        margin = {
            "above": value - against - by,
            "below": against - value - by,
            "near": by - abs(value - against),
        }
        if not margin[relation] >= 0.0:
            than = f"that of {other}, " if isinstance(other, str) else ""
            claimed = f"{relation} {than}{in_text(metric, against)}, by {in_text(metric, by)}"
            broken.append(f"{label_of(metric)} of {case} is {in_text(metric, value)}, claimed {claimed}")
    return broken


def why_not_conclude(scenario: Scenario, names: Collection[str], cases: Mapping[str, Summary]) -> str:
    """Why a file's conclusion cannot be said of these runs, as a sentence; empty when it can.

    Parameters
    ----------
    scenario, names, cases : as for `broken_claims`
    """
    broken = broken_claims(scenario, names, cases)
    if broken:
        return f"The conclusion of this file is not borne out by these runs: {'; '.join(broken)}."
    if conclusion_issues(scenario, names):
        return "The conclusion of this file speaks of cases or metrics that are not here."
    return ""


def conclude(scenario: Scenario, cases: Mapping[str, Summary]) -> str:
    """The conclusion in words, its blanks filled with the metrics of these runs."""

    def fill(match: re.Match[str]) -> str:
        metric = match[2].strip()
        first, *others = (_value(cases, name, metric) for name in _terms(match[1].strip(), cases))
        return in_text(metric, first - sum(others))

    return _BLANK.sub(fill, _line(scenario.conclusion.says))


def _value(cases: Mapping[str, Summary], case: str, metric: str) -> float:
    """Metric of a case; NaN where its run has none."""
    value = cases.get(case, {}).get(metric)
    return float(value) if isinstance(value, int | float) else math.nan
