"""The conclusion of a scenario file: do its claims hold, and what does it say of these runs?"""

import math
import re
import warnings
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any

from simcore.errors import InputIssue
from simcore.files.conclusion import Because, Claim, Conclusion, HoldsOn, cases_in
from simcore.files.scenario import Scenario
from simcore.files.trials import settings_issues
from simcore.files.words import nearest
from simcore.results.catalogue import NUMBERS
from simcore.results.formatting import in_text, said_unit
from simcore.results.headlines.tried import broken_claim
from simcore.results.metrics import Summary
from simcore.results.tried import Weighed

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
    found += _claims_issues(scenario, "conclusion", conclusion.claims, known)
    for key, row in conclusion.tried.items():
        found += [*settings_issues(scenario, key, row), *trial_issues(scenario, key, row, known)]
    for match in _BLANK.finditer(_line(conclusion.says)):
        for word in _terms(match[1].strip(), known):
            found += _unknown(scenario, "conclusion.says", "case", word, known)
        found += _unknown(scenario, "conclusion.says", "metric", match[2].strip(), known)
    for k, metric in enumerate(conclusion.shown):
        found += _unknown(scenario, f"conclusion.shown[{k}]", "metric", metric, known)
    return list(dict.fromkeys(found))


def _claims_issues(
    scenario: Scenario, key: str, claims: Iterable[Claim], cases: list[str]
) -> Iterator[InputIssue]:
    """What claims speak of and is not there."""
    for k, claim in enumerate(claims):
        for kind, word in _spoken_of(claim):
            yield from _unknown(scenario, f"{key}.claims[{k}]", kind, word, cases)


def trial_issues(
    scenario: Scenario, key: str, row: Because | HoldsOn | Conclusion, cases: list[str]
) -> Iterator[InputIssue]:
    """What a trial speaks of and is not there; one without claims of its own speaks of the conclusion's.

    Parameters
    ----------
    scenario : with its conclusion
    key : of the trial
    row : what is tried
    cases : names of those that are run
    """
    if isinstance(row, HoldsOn) and not row.claims:
        key, row = "conclusion", scenario.conclusion
    yield from _claims_issues(scenario, key, row.claims, cases)
    if not isinstance(row, Because):
        return
    case, metric, other = row.effect
    yield from _unknown(scenario, f"{key}.effect", "case", case, cases)
    yield from _unknown(scenario, f"{key}.effect", "metric", metric, cases)
    if other in NUMBERS and other not in cases and metric in NUMBERS:
        if said_unit(str(other)) != said_unit(metric):
            must_be = f"a metric in {said_unit(metric) or 'no unit'}, as {metric} is"
            yield InputIssue(str(scenario.path), f"{key}.effect", f'the metric "{other}"', must_be)
    elif isinstance(other, str):
        yield from _unknown(scenario, f"{key}.effect", "case", other, cases, or_else=NUMBERS)


def _unknown(
    scenario: Scenario, key: str, kind: str, word: str, cases: list[str], or_else: Sequence[str] = ()
) -> Iterator[InputIssue]:
    """The issue with a case or a metric that there is not; `or_else` are near words that would do too."""
    among = cases if kind == "case" else NUMBERS
    if word not in among:
        must_be = f"one of {', '.join(among[:12])}{', ...' if len(among) > 12 else ''}"
        near = nearest(word, [*among, *or_else])
        yield InputIssue(str(scenario.path), key, f'the {kind} "{word}"', must_be, near)


def _spoken_of(claim: Claim) -> Iterator[tuple[str, str]]:
    """Cases and metric of a claim."""
    for word in cases_in(claim):
        yield "case", word
    yield "metric", claim[1]


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
    there = [
        claim
        for claim in scenario.conclusion.claims
        if all(word in (known if kind == "case" else NUMBERS) for kind, word in _spoken_of(claim))
    ]
    return [broken_claim(one) for one in (weigh(claim, cases) for claim in there) if not one.holds]


def weigh(claim: Claim, cases: Mapping[str, Summary]) -> Weighed:
    """A claim, and what these runs have of it."""
    case, metric, _, other, _ = claim
    against = value_of(cases, other, metric) if isinstance(other, str) else other
    return Weighed(claim, value_of(cases, case, metric), against)


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
        first, *others = (value_of(cases, name, metric) for name in _terms(match[1].strip(), cases))
        return in_text(metric, first - sum(others))

    return _BLANK.sub(fill, _line(scenario.conclusion.says))


def value_of(cases: Mapping[str, Mapping[str, Any]], case: str, metric: str) -> float:
    """Metric of a case; NaN where its run has none."""
    value = cases.get(case, {}).get(metric)
    return float(value) if isinstance(value, int | float) else math.nan
