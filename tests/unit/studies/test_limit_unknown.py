"""A search for the steepest slope some of whose runs give no answer: an unknown is never a limit."""

import dataclasses
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from simcore import InputIssue, load_scenario
from simcore.accounts.verdict import Failure, Verdict
from simcore.cli import app
from simcore.solve.integrate import integrate
from simcore.solve.refusal import CannotStand, NoStand
from simcore.solve.trace import Outcome, Trace
from simcore.studies import simulate
from simcore.studies.climb import Attempt, Climber
from simcore.studies.limit import Limits, find_limit

BASE = load_scenario(Path(__file__).parents[3] / "scenarios" / "slow_creep.toml")


@pytest.fixture
def gaps(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Let slopes up to a threshold be climbed, and those of a gap give no answer, without any run."""

    def between(low: float, high: float, threshold: float) -> Limits:
        def attempt(self: Climber, slope: float) -> Attempt:
            if low <= slope <= high:
                return Attempt(Verdict(Failure.NO_START_FOUND))
            return Attempt(None if slope <= threshold else Verdict(Failure.SPINS))

        monkeypatch.setattr(Climber, "_try", attempt)
        return find_limit(BASE)

    return between


@pytest.mark.parametrize(
    ("low", "high"), [(31.0, 33.2), (33.4, 34.6), (28.0, 46.0)], ids=["below", "narrow", "wide"]
)
def test_a_gap_without_answers_is_bracketed_at_both_ends_and_is_no_limit(gaps, low, high):
    """The case climbs up to 34 deg; a search that took the gap for a failure would end at its lower edge."""
    limits = gaps(low, high, 34.0)
    (limit,) = limits.cases.values()
    hides = low <= 34.0 <= high
    assert limit.climbs_deg <= 34.0 < limit.fails_deg
    if hides:
        assert limit.climbs_deg <= low <= limit.climbs_deg + 0.1
        assert limit.fails_deg - 0.1 <= high <= limit.fails_deg
    else:
        assert limit.fails_deg - limit.climbs_deg <= 0.1
    assert limit.sharp is not hides
    if limit.unknown:
        assert not limits.decided and "no standing start was found" in limit.unknown
        slopes = [slope for slope, _ in limit.open_slopes]
        first, last = min(slopes), max(slopes)
        assert low <= first <= last <= high
    assert hides <= bool(limit.unknown)


@pytest.mark.parametrize(("low", "high"), [(0.0, 80.0), (40.0, 80.0)])
def test_what_is_never_answered_is_not_known(gaps, low, high):
    limits = gaps(low, high, 90.0)
    (limit,) = limits.cases.values()
    assert limit.fails_deg is None and limit.verdict is None and limit.why == "not known"
    assert not limit.sharp and not limits.decided
    assert limit.climbs_deg is None if low == 0.0 else 39.9 <= limit.climbs_deg < 40.0


def test_a_limit_that_is_not_known_has_no_difference_and_is_said(gaps, tmp_path):
    limits = gaps(28.0, 46.0, 34.0)
    table = limits.table
    assert np.isnan(table["climbs_change_deg"].iloc[0])
    assert 28.0 <= table["unknown_from_deg"].iloc[0] <= 28.1
    assert 45.9 <= table["unknown_to_deg"].iloc[0] <= 46.0
    limits.save(tmp_path)
    assert "NO_START_FOUND" in (tmp_path / "limits.csv").read_text()


def test_the_command_says_what_it_does_not_know_and_counts_it(gaps, tmp_path):
    gaps(28.0, 46.0, 34.0)  # leaves the pretence in place
    arguments = ["limit", str(BASE.path), "--out", str(tmp_path)]
    answer = CliRunner().invoke(app, arguments)
    assert answer.exit_code == 1
    assert answer.output.startswith("NOT KNOWN (as given): no answer at 28.")
    gaps(90.0, 90.0, 34.0)
    assert CliRunner().invoke(app, arguments).exit_code == 0


def test_a_start_that_is_not_found_and_a_run_that_breaks_off_are_not_known(monkeypatch):
    def refuse(*_: Any, **__: Any) -> Trace:
        raise CannotStand([InputIssue("x.toml", "ground", "no stand", "one")], NoStand.NOT_FOUND)

    monkeypatch.setattr(simulate, "integrate", refuse)
    attempt = Climber(BASE, 0.1, 0.25).on(10.0)
    assert not attempt.known and not attempt.climbs and not attempt.fails
    run = integrate(BASE.changed({"end.duration": 0.05}))
    broken = dataclasses.replace(run, outcome=Outcome.NOT_SOLVED)
    monkeypatch.setattr(simulate, "integrate", lambda *_, **__: broken)
    climber = Climber(BASE, 0.1, 0.25)
    assert not climber.on(10.0).known and "broke off" in str(climber.unsound[0])
