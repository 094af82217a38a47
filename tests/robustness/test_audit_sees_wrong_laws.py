"""The audit must fail when a law is wrong: each error is put into the law itself, and the motion integrated
with it.

The wrong law and every law that calls it run as plain Python, so that an error needs no compiling of its own.
The Jacobian and the margins of an ending stay compiled: they only steer the solver.
"""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from numba.core.dispatcher import Dispatcher
from sparing import few

import simcore
from simcore.accounts.audit import Audit, audit
from simcore.compiled import AxleRecord, ShockLedgerRecord, ShockRecord, StateRecord, TyreLedgerRecord
from simcore.laws.frame import Frame
from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.settle import settle

FOLDER = Path(__file__).parents[2] / "scenarios"
STEERING = ("jacobian", "margins")
CASES = {
    "creep": (
        "slow_creep",
        {"end.duration": 0.15, "driver.release": 0.0, "driver.speed": [[0, 0], [0.05, 0.15]]},
    ),
    "punch": (
        "rear_compressed",
        {
            "end.duration": 0.1,
            "driver.release": 0.0,
            "driver.torque": [[0, 0], [0.02, 40]],
            "rear.shock.stroke": 12,
        },
    ),
}
Law = Callable[..., Any]
Start = tuple[simcore.Scenario, Any, StateRecord]


STARTS: dict[str, Start] = {}


def started(name: str) -> Start:
    """A case, its model and its settled start; the compiled laws are loaded by one sound run."""
    if name not in STARTS:
        stem, changes = CASES[name]
        scenario = simcore.load_scenario(FOLDER / f"{stem}.toml").changed(changes)
        model = build(scenario)
        STARTS[name] = scenario, model, settle(scenario, model)
        assert audit(integrate(*STARTS[name])).faults == []
    return STARTS[name]


def reaches(kernel: Any, law: str, seen: frozenset[str] = frozenset()) -> bool:
    """Whether a compiled function is a law or calls it, itself or through others; an attribute may bear the
    name of a law, hence the names seen on the way.
    """
    function = kernel.py_func
    here = seen | {function.__name__}
    called = {name: function.__globals__.get(name) for name in set(function.__code__.co_names) - here}
    below = [each for each in called.values() if isinstance(each, Dispatcher)]
    return bool(function.__name__ == law or any(reaches(each, law, here) for each in below))


def audited(monkeypatch: pytest.MonkeyPatch, case: str, law: str, wrong: Law) -> Audit:
    """Audit of a case run with one law replaced by `wrong(right, *arguments)`, wherever it is called."""
    start, replaced = started(case), []
    for name, module in list(sys.modules.items()):
        for key, value in list(vars(module).items()) if name.startswith("simcore") else ():
            if isinstance(value, Dispatcher) and key not in STEERING and reaches(value, law):
                replaced.append((module, key, value.py_func))
    for module, key, right in replaced:
        spoilt = (lambda *given, right=right: wrong(right, *given)) if key == law else right
        monkeypatch.setattr(module, key, spoilt)
    return audit(integrate(*start))


RIGHT = {"spring_force": "punch", "link_row": "punch", "tyre_forces": "creep", "branch_forces": "creep"}


@pytest.mark.thorough
@pytest.mark.parametrize("law", RIGHT)
def test_right_laws_put_in_the_same_way_are_sound(monkeypatch: pytest.MonkeyPatch, law: str) -> None:
    assert audited(monkeypatch, RIGHT[law], law, lambda right, *given: right(*given)).faults == []


def loss(name: str, factor: float) -> Law:
    """A law that adds up its losses with one of them times a factor."""

    def wrong(right: Law, led: Any, *rest: Any) -> None:
        right(led, *rest)
        led.lost += (factor - 1.0) * getattr(led, name)

    return wrong


def field(name: str, factor: float, which: int | None = None) -> Law:
    """A law one number of whose ledger comes out wrong, for one axle (the fourth argument) or for both."""

    def wrong(right: Law, led: Any, *rest: Any) -> None:
        right(led, *rest)
        if which is None or rest[2] == which:
            setattr(led, name, factor * getattr(led, name))

    return wrong


def spring_too_strong(right: Law, *given: Any) -> Any:
    force, stored = right(*given)
    return 1.01 * force, stored


def stop_energy(right: Law, *given: Any) -> Any:
    force, elastic, stored = right(*given)
    return force, elastic, 1.01 * stored


def overlap(right: Law, *given: Any) -> Any:
    return 1.01 * right(*given)


def speed_off(
    right: Law, led: ShockLedgerRecord, shock: ShockRecord, travel: float, speed: float, bristle: float
) -> None:
    right(led, shock, travel, 1.01 * speed, bristle)


def front_slip(
    right: Law, led: TyreLedgerRecord, axle: AxleRecord, frame: Frame, state: StateRecord, i: int, *rest: Any
) -> None:
    right(led, axle, frame, state, i, *rest)
    led.lost -= i * led.lost_slip


WRONG = {
    "friction loss left out": ("creep", "shock_forces", loss("lost_friction", 0.0), "shocks"),
    "spring force 1 % off its energy": ("creep", "spring_force", spring_too_strong, "shocks"),
    "centripetal term of the links turned round": ("creep", "link_row", field("bias", -1.0), "of the links"),
    "friction loss doubled": ("creep", "shock_forces", loss("lost_friction", 2.0), "shocks"),
    "damper loss halved": ("punch", "shock_forces", loss("lost_damper", 0.5), "shocks"),
    "stop energy 1 % off": ("punch", "stop_force", stop_energy, "shocks"),
    "rate of travel not that of the length": ("punch", "shock_forces", speed_off, "shocks"),
    "tyre energy 1 % off": ("creep", "overlap_energy", overlap, "tyres"),
    "rolling loss left out": ("creep", "tyre_forces", loss("lost_rolling", 0.0), "tyres"),
    "loss of compressing left out": ("punch", "tyre_forces", loss("lost_deflection", 0.0), "tyres"),
    "slip loss of one axle left out": ("creep", "tyre_forces", front_slip, "front tyres"),
    "lever of the thrust 1 % off": ("creep", "tyre_forces", field("rolling_radius", 1.01), "tyres"),
    "shaft energy 1 % off": ("creep", "branch_forces", field("stored", 1.01), "shaft"),
    "gear loss turned round": ("creep", "branch_forces", loss("lost_gears", -1.0), "shaft"),
    "motor drag loss left out": ("creep", "motor_forces", field("lost", 0.0), "rotor"),
}


@pytest.mark.parametrize("error", few(WRONG, 5))
def test_a_wrong_law_fails_the_audit(monkeypatch: pytest.MonkeyPatch, error: str) -> None:
    case, law, wrong, part = WRONG[error]
    found = audited(monkeypatch, case, law, wrong).faults
    assert [fault for fault in found if part in (fault.store or fault.check.value)], found
