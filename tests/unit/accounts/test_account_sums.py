"""Accounts that do not add up to the tyres' loads fail the audit of their run."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.accounts import sums
from simcore.accounts.audit import ACCOUNT_BOUND, Check, audit
from simcore.accounts.budget import TERMS

SCENARIO = Path(__file__).parents[3] / "scenarios" / "rear_compressed.toml"
LOAD_TERMS = (
    *("support", "spring", "damper", "friction", "bump_stop"),
    *("unsprung_weight", "unsprung_inertia", "rolling"),
)


@pytest.fixture(scope="module")
def trace() -> Any:
    """A punch up a slope onto the rear stops."""
    scenario = simcore.load_scenario(SCENARIO).changed({"rear.shock.stroke": 14, "end.duration": 0.5})
    return simcore.simulate(scenario).trace


def off(account: Callable[..., dict[str, Any]], name: str, factor: float) -> Callable[..., dict[str, Any]]:
    """The account with one term times a factor."""

    def wrong(*given: Any) -> dict[str, Any]:
        terms = account(*given)
        return terms | {name: factor * terms[name]}

    return wrong


def test_right_accounts_add_up(trace: Any) -> None:
    assert audit(trace).faults == []
    assert sums.account_residual(trace).max() < 1e-12 < ACCOUNT_BOUND == 1e-8


@pytest.mark.parametrize("factor", [-1.0, 1.0001])
@pytest.mark.parametrize(
    ("account", "name"),
    [("front_budget", name) for name in TERMS if name != "skid"]
    + [("load_terms", name) for name in LOAD_TERMS],
)
def test_a_wrong_term_fails(
    trace: Any, monkeypatch: pytest.MonkeyPatch, account: str, name: str, factor: float
) -> None:
    monkeypatch.setattr(sums, account, off(getattr(sums, account), name, factor))
    (fault,) = audit(trace).faults
    assert fault.check is Check.ACCOUNTS


def test_a_budget_that_is_no_number_fails(trace: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sums, "front_budget", off(sums.front_budget, "slope", math.nan))
    (fault,) = audit(trace).faults
    assert str(fault).startswith("sum of the load accounts is off by nan")
