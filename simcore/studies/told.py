"""The finding of a scenario file: does it still hold, and what does it say with the figures of these runs?"""

import math
import re
from collections.abc import Collection, Iterable, Mapping

from simcore.faults import BadInput, Fault
from simcore.files.scenario import Scenario
from simcore.files.words import nearest
from simcore.results.catalogue import NUMBERS
from simcore.results.formatting import in_text
from simcore.results.metrics import Summary

LESS = " less "
_BLANK = re.compile(r"\{([^{}|]*)\|([^{}|]*)\}")


def check_finding(scenario: Scenario, names: Iterable[str]) -> None:
    """Refuse a finding that speaks of cases or figures that there will not be.

    Parameters
    ----------
    scenario : with its finding
    names : of the cases that will be run

    Raises
    ------
    BadInput
        naming each of them.
    """
    finding, known, faults = scenario.finding, list(names), []

    def expect(key: str, kind: str, word: str, among: list[str]) -> None:
        if word not in among:
            must_be = f"one of {', '.join(among[:12])}{', ...' if len(among) > 12 else ''}"
            faults.append(
                Fault(str(scenario.path), key, f'the {kind} "{word}"', must_be, nearest(word, among))
            )

    for k, (case, figure, _, other, _) in enumerate(finding.holds):
        for word in (case, other) if isinstance(other, str) else (case,):
            expect(f"finding.holds[{k}]", "case", word, known)
        expect(f"finding.holds[{k}]", "figure", figure, NUMBERS)
    for match in _BLANK.finditer(_line(finding.says)):
        figure = match[2].strip()
        for word in _terms(match[1].strip(), known):
            expect("finding.says", "case", word, known)
        expect("finding.says", "figure", figure, NUMBERS)
    for k, figure in enumerate(finding.shown):
        expect(f"finding.shown[{k}]", "figure", figure, NUMBERS)
    if faults:
        raise BadInput(dict.fromkeys(faults))


def _line(text: str) -> str:
    return " ".join(text.split())


def _terms(text: str, names: Collection[str]) -> list[str]:
    """The case that a blank names, or the two whose difference it is: "one less other"."""
    words = text.split(LESS)
    parts = [[LESS.join(words[:k]).strip(), LESS.join(words[k:]).strip()] for k in range(1, len(words))]
    known = [part for part in parts if part[0] in names and part[1] in names]
    return [text] if text in names or not parts else (known or parts)[0]


def broken_claims(scenario: Scenario, cases: Mapping[str, Summary]) -> list[str]:
    """Claims of a file's finding that these runs do not bear out, in words.

    Parameters
    ----------
    scenario : with its finding, checked by `check_finding`
    cases : name to summary
    """
    broken = []
    for case, figure, relation, other, by in scenario.finding.holds:
        value = _value(cases, case, figure)
        against = _value(cases, other, figure) if isinstance(other, str) else other
        margin = {
            "above": value - against - by,
            "below": against - value - by,
            "near": by - abs(value - against),
        }
        if not margin[relation] >= 0.0:
            claimed = (
                f"{relation} {other if isinstance(other, str) else 'the number'}'s {against:.4g} by {by:g}"
            )
            broken.append(f"{figure} of {case} is {value:.4g}, claimed {claimed}")
    return broken


def told(scenario: Scenario, cases: Mapping[str, Summary]) -> str:
    """The finding in words, its blanks filled with the figures of these runs."""

    def fill(match: re.Match[str]) -> str:
        figure = match[2].strip()
        first, *others = (_value(cases, name, figure) for name in _terms(match[1].strip(), cases))
        return in_text(figure, first - sum(others))

    return _BLANK.sub(fill, _line(scenario.finding.says))


def _value(cases: Mapping[str, Summary], case: str, figure: str) -> float:
    """Figure of a case; NaN where its run has none."""
    value = cases.get(case, {}).get(figure)
    return float(value) if isinstance(value, int | float) else math.nan
