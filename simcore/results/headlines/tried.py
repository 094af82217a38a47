"""What came of trying a conclusion, in sentences: its reasons, and where else it holds."""

import math
from collections.abc import Iterable

from simcore.files.conclusion import cases_in
from simcore.results.catalogue import CATALOGUE, label_of
from simcore.results.formatting import in_text
from simcore.results.tried import Elsewhere, Fault, Found, Trial, Weighed, WithoutCause


def broken_claim(one: Weighed) -> str:
    """A claim that does not hold: what was found, and what was claimed."""
    case, metric, relation, other, by = one.claim
    than = f"that of {other}, " if isinstance(other, str) else ""
    claimed = f"{relation} {than}{in_text(metric, one.against)}, by {in_text(metric, by)}"
    return f"{label_of(metric)} of {case} is {in_text(metric, one.value)}, claimed {claimed}"


def trial_faults(trials: Iterable[Trial]) -> list[str]:
    """Every fault of every trial, with its key in the file."""
    return [f"{one.key}, {_tried(one)}: {_fault(one, found)}" for one in trials for found in one.found]


def tried_reasons(trials: Iterable[Trial], several: bool) -> str:
    """What is left of each effect without its cause; empty without causes.

    Parameters
    ----------
    trials : of a conclusion
    several : whether the file has several cases, so that an effect needs to say whose it is
    """
    tried = [one for one in trials if isinstance(one, WithoutCause)]
    borne_out = [f"W{_tried(one)[1:]}: {_left(one, several)}." for one in tried if not one.found]
    return _parts({"Tested reasons.": " ".join(borne_out), "Not borne out:": _doubts(tried)})


def tried_elsewhere(trials: Iterable[Trial], several: bool) -> str:
    """On what else the conclusion holds, and on what not; empty where nothing else was tried.

    Parameters
    ----------
    trials, several : as for `tried_reasons`
    """
    tried = [one for one in trials if isinstance(one, Elsewhere)]
    sound = [one for one in tried if not one.found]
    also = [one.row.on for one in sound if one.row.holds]
    not_on = [f"{one.row.on} ({_instead(one, several)})" for one in sound if not one.row.holds]
    said = {"Also on": _stopped("; ".join(also)), "Not on": _stopped("; ".join(not_on))}
    return _parts(said | {"Not borne out:": _doubts(tried)})


def _parts(said: dict[str, str]) -> str:
    return " ".join(f"**{head}** {text}" for head, text in said.items() if text)


def _stopped(text: str) -> str:
    return f"{text}." if text else ""


def _doubts(trials: Iterable[Trial]) -> str:
    """Every trial that does not bear out the file, and why."""
    return _stopped(
        "; ".join(f"{_tried(one)}: {_fault(one, found)}" for one in trials for found in one.found)
    )


def _tried(trial: Trial) -> str:
    if isinstance(trial, WithoutCause):
        return f"without {trial.row.cause}"
    return f"on {trial.row.on}" if isinstance(trial, Elsewhere) else ""


def _instead(trial: Trial, several: bool) -> str:
    """What was found in place of what is claimed: "front lift 1.1 mm instead of above 2.0 mm"."""
    said = []
    for one in trial.claims:
        case, metric, relation, other, _ = one.claim
        whose, than = f" of {case}" if several else "", f"that of {other}, " if isinstance(other, str) else ""
        found, claimed = in_text(metric, one.value), in_text(metric, one.against)
        if not one.holds:
            said.append(f"{label_of(metric)}{whose} {found} instead of {relation} {than}{claimed}")
    return "; ".join(said)


def _left(trial: WithoutCause, several: bool) -> str:
    """The effect without its cause and as given: "pitch 0.12 deg instead of 2.2 deg (5 % left)"."""
    effect = trial.effect
    after, before = in_text(effect.metric, effect.after), in_text(effect.metric, effect.before)
    return f"{_subject(trial, several)} {after} instead of {before} ({_share(effect.left)})"


def _share(left: float) -> str:
    """How much is left; what points the other way now is said to."""
    size = f"{round(100.0 * abs(left))} %" if math.isfinite(left) else "unknown"
    return f"{size} left, the other way" if left < 0.0 and size != "0 %" else f"{size} left"


def _subject(trial: WithoutCause, several: bool) -> str:
    """What an effect is, in words."""
    case, metric, other = trial.row.effect
    whose, label = f" of {case}" if several else "", label_of(metric)
    if not isinstance(other, str):
        return f"{label}{whose}" + (f" less {in_text(metric, other)}" if other else "")
    if other in CATALOGUE:
        return f"{label} less {label_of(other)}{whose}"
    return f"{label} of {case} less that of {other}"


def _fault(trial: Trial, found: Found) -> str:
    """One fault in words."""
    if found.claim is not None:
        return broken_claim(found.claim) if found.fault is Fault.BROKEN else _unknown(found.claim)
    if isinstance(trial, WithoutCause):
        if found.fault is Fault.UNKNOWN:
            return f"{_subject(trial, True)} is not known"
        if found.fault is Fault.TOO_SMALL:
            size = in_text(trial.effect.metric, trial.effect.before)
            return f"{_subject(trial, True)} is {size} as given, too small to be seen"
        if found.fault is Fault.STAYS:
            return f"{_left(trial, True)}, stated at most {round(100.0 * trial.row.left)} %"
    why = f": {found.why}" if found.why else ""
    return f'"{found.case}" {found.fault.value}{why}' if found.case else f"{found.fault.value}{why}"


def _unknown(one: Weighed) -> str:
    return f"{label_of(one.claim[1])} of {' or '.join(cases_in(one.claim))} is not known"
