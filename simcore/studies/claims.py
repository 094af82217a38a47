"""The conclusion of a scenario file: do its claims hold, and what does it say of these runs?"""

import math
import re
from collections.abc import Collection, Iterable, Mapping

from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.files.words import nearest
from simcore.results.catalogue import NUMBERS
from simcore.results.formatting import in_text
from simcore.results.metrics import Summary

LESS = " less "
_BLANK = re.compile(r"\{([^{}|]*)\|([^{}|]*)\}")


def check_conclusion(scenario: Scenario, names: Iterable[str]) -> None:
    """Refuse a conclusion that speaks of cases or metrics that there will not be.

    Parameters
    ----------
    scenario : with its conclusion
    names : of the cases that will be run

    Raises
    ------
    InputError
        naming each of them.
    """
    conclusion, known, issues = scenario.conclusion, list(names), []

    def expect(key: str, kind: str, word: str, among: list[str]) -> None:
        if word not in among:
            must_be = f"one of {', '.join(among[:12])}{', ...' if len(among) > 12 else ''}"
            issues.append(
                InputIssue(str(scenario.path), key, f'the {kind} "{word}"', must_be, nearest(word, among))
            )

    for k, (case, metric, _, other, _) in enumerate(conclusion.claims):
        for word in (case, other) if isinstance(other, str) else (case,):
            expect(f"conclusion.claims[{k}]", "case", word, known)
        expect(f"conclusion.claims[{k}]", "metric", metric, NUMBERS)
    for match in _BLANK.finditer(_line(conclusion.says)):
        metric = match[2].strip()
        for word in _terms(match[1].strip(), known):
            expect("conclusion.says", "case", word, known)
        expect("conclusion.says", "metric", metric, NUMBERS)
    for k, metric in enumerate(conclusion.shown):
        expect(f"conclusion.shown[{k}]", "metric", metric, NUMBERS)
    if issues:
        raise InputError(dict.fromkeys(issues))


def _line(text: str) -> str:
    return " ".join(text.split())


def _terms(text: str, names: Collection[str]) -> list[str]:
    """The case that a blank names, or the two whose difference it is: "one less other"."""
    words = text.split(LESS)
    parts = [[LESS.join(words[:k]).strip(), LESS.join(words[k:]).strip()] for k in range(1, len(words))]
    known = [part for part in parts if part[0] in names and part[1] in names]
    return [text] if text in names or not parts else (known or parts)[0]


def broken_claims(scenario: Scenario, cases: Mapping[str, Summary]) -> list[str]:
    """Claims of a file's conclusion that these runs do not bear out, in words.

    Parameters
    ----------
    scenario : with its conclusion, checked by `check_conclusion`
    cases : name to summary
    """
    broken = []
    for case, metric, relation, other, by in scenario.conclusion.claims:
        value = _value(cases, case, metric)
        against = _value(cases, other, metric) if isinstance(other, str) else other
        margin = {
            "above": value - against - by,
            "below": against - value - by,
            "near": by - abs(value - against),
        }
        if not margin[relation] >= 0.0:
            claimed = (
                f"{relation} {other if isinstance(other, str) else 'the number'}'s {against:.4g} by {by:g}"
            )
            broken.append(f"{metric} of {case} is {value:.4g}, claimed {claimed}")
    return broken


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
