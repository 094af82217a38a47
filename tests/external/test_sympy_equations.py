"""Equations of motion of a rig in the air against SymPy's, at random rigs, poses and rates.

Witness: Lagrange's equations derived by `sympy.physics.mechanics` (see symbolic.py), solved for the same
numbers. The forces of springs and dampers are worked out here from their rates and SymPy's shock length.
"""

import dataclasses
import math
from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from symbolic import AirborneRig, Path

from simcore.compiled import LEDGER, PIECE, RIG, STATE, STATES, TYRE, blank
from simcore.dynamics.motion import evaluate_all

REL = 1e-9
LAYOUTS = {  # which axles stand on an arm; which link carries the shock, None: the housing does
    "links, rear shock on housing": ((False, False), (None, 0)),
    "links, both shocks on links": ((False, False), (1, 0)),
    "rear arm": ((True, False), (None, 1)),
    "front arm": ((False, True), (0, None)),
}
ALWAYS = ("links, rear shock on housing", "rear arm")  # arms, links, shocks on both links and on housings
RATES = ["still", "allowed by the links", "any", "any, and drifted"]
CASES = [(layout, rates, seed) for layout in LAYOUTS for rates in RATES for seed in range(3)]
RANGES = {  # SI, by the last word of a parameter's path
    "x": (-0.15, 0.15),
    "z": (-0.15, 0.15),
    "mass": (0.3, 3.0),
    "inertia": (2e-3, 3e-2),
    "spin_inertia": (1e-4, 1e-3),
    "fraction": (0.2, 0.9),
    "gravity": (5.0, 15.0),
    "drift_rate": (50.0, 500.0),
    "length": (0.05, 0.3),
}
# a branch without gear loss: torque = ratio * (stiffness * wind-up + damping * its rate); a turning rotor
RATIO, STIFFNESS, DAMPING, ROTOR = 30.0, 0.7, 1e-4, 250.0


@cache
def derived(layout: str) -> AirborneRig:
    return AirborneRig(*LAYOUTS[layout])


@dataclasses.dataclass
class Shock:
    """A spring that pushes out, one that pulls in, and a damper; N/m, m, N*s/m."""

    extended: float
    push_rate: float
    push_loose: float
    pull_rate: float
    pull_loose: float
    compression: float
    rebound: float

    def force(self, length: float, length_rate: float) -> float:
        """What pushes the mounts apart, N."""
        travel, speed = self.extended - length, -length_rate
        spring = self.push_rate * max(travel - self.push_loose, 0.0)
        spring -= self.pull_rate * max(self.pull_loose - travel, 0.0)
        return spring + (self.compression if speed > 0.0 else self.rebound) * speed


class Instant:
    """One random rig in one random state, its numbers known by symbol and by record.

    Attributes
    ----------
    numbers : every parameter of the derivation by its path
    q, u : coordinates and rates in the order of the derivation, SI
    shocks, forces, torques : shocks of both axles, their forces (N), the wheel torques (N*m)
    """

    def __init__(self, layout: str, rates: str, seed: int) -> None:
        self.arms, self.mounts = LAYOUTS[layout]
        self.rig = derived(layout)
        self.random = np.random.default_rng([seed, list(LAYOUTS).index(layout), RATES.index(rates)])
        self.numbers = {path: self.random.uniform(*RANGES[path[-1]]) for path in self.rig.numbers}
        drifted = rates == "any, and drifted"
        if not drifted:
            self.numbers["drift_rate",] = 0.0
        turns = [2, 5, 8, 9, 10]
        self.q, self.u = self.random.uniform(-0.3, 0.3, 11), self.random.uniform(-3.0, 3.0, 11)
        self.q[turns] = self.random.uniform(-math.pi, math.pi, 5)
        self.u[turns] *= 5.0
        self._close(self.random.uniform(-1e-3, 1e-3, 4) if drifted else np.zeros(4))
        self._restrict(rates)
        lengths, length_rates = (np.ravel(part) for part in self.ask(self.rig.shocks_of))
        self.shocks = [self._shock(length) for length in lengths]
        self.forces = [s.force(*at) for s, *at in zip(self.shocks, lengths, length_rates, strict=True)]
        self.length_rates = length_rates
        self.torques = self.random.uniform(-2.0, 2.0, 2)
        self.turning_apart = self.u[[5, 8]] - self.u[9:]  # housings against their wheels, rad/s

    def ask(self, function: Callable[..., list], *more: object) -> list:
        return function(self.q, self.u, *more[:1], list(self.numbers.values()), *more[1:])

    def _close(self, errors: np.ndarray) -> None:
        """Place the axles and choose the links' lengths so that the constraints have these errors, m."""
        for i, arm in enumerate(self.arms):
            rows, centre = slice(2 * i, 2 * i + 2), slice(3 * i + 3, 3 * i + 5)
            off = np.ravel(self.ask(self.rig.held_of)[0])[rows] - errors[rows]
            if arm:  # its errors count in the axes of the axle
                c, s = math.cos(self.q[3 * i + 5]), math.sin(self.q[3 * i + 5])
                self.q[centre] += np.array([[c, -s], [s, c]]) @ off
            else:
                for k in range(2):
                    self.numbers["axle", i, "link", k, "length"] += off[k]

    def _restrict(self, rates: str) -> None:
        if rates == "still":
            self.u[:] = 0.0
        elif rates == "allowed by the links":
            jacobian = self.ask(self.rig.held_of)[2]
            self.u -= np.linalg.lstsq(jacobian, jacobian @ self.u, rcond=None)[0]

    def _shock(self, length: float) -> Shock:
        draw = self.random.uniform
        springs = [draw(200.0, 3000.0), draw(0.0, 0.06), draw(200.0, 3000.0), draw(0.0, 0.06)]
        return Shock(length + draw(0.01, 0.05), *springs, draw(5.0, 60.0), draw(5.0, 60.0))

    def witness(self) -> np.ndarray:
        """The 11 accelerations, then the 4 link forces, as SymPy has them."""
        numbers = list(self.numbers.values())
        matrix, right = self.rig.equations_of(self.q, self.u, numbers, self.forces, self.torques)
        return np.linalg.solve(matrix, np.ravel(right))

    def answer(self) -> np.ndarray:
        """The same as simcore has them."""
        rigs, state, led = self._record(), self._state(), blank(LEDGER, math.nan)
        evaluate_all(led, np.zeros(1), state.view(np.float64).reshape(1, STATES), rigs, far_below())
        bodies = [(a.x, a.z, a.angle) for a in led[0].acceleration]
        wheels = [-part.spin_acceleration for part in led[0].axle]
        return np.concatenate([np.ravel(bodies), wheels, np.ravel([part.link_force for part in led[0].axle])])

    def _state(self) -> np.ndarray:
        state = blank(STATE)
        for whole, values in ((state[0].pose, self.q), (state[0].rate, self.u)):
            for body in range(3):
                whole[body].x, whole[body].z, whole[body].angle = values[3 * body : 3 * body + 3]
        state[0].spin[:] = -self.u[9:]  # rolling forward is nose-down
        state[0].motor = ROTOR
        winding = ROTOR - RATIO * self.turning_apart
        state[0].wind_up[:] = (self.torques / RATIO - DAMPING * winding) / STIFFNESS
        return state

    def _record(self) -> np.ndarray:
        rigs = blank(RIG, math.nan)
        rig = rigs[0]
        for path, value in self.numbers.items():
            put(rig, path, value)
        rig.without_support = 0.0
        for skid in rig.skid:
            skid.present = 0.0
        stand_idle(rig.motor, rig.driver)
        for i, axle in enumerate(rig.axle):
            axle.arm, axle.slide.present = float(self.arms[i]), 0.0
            axle.tyre = blank(TYRE, 0.1)[0]  # touches nothing
            axle.centre.x, axle.centre.z = 0.01, 0.02
            branch = axle.branch
            branch.driven, branch.ratio, branch.stiffness, branch.damping = 1.0, RATIO, STIFFNESS, DAMPING
            fill_shock(axle, self.mounts[i], self.shocks[i])
        return rigs


def put(record: np.record, path: Path, value: float) -> None:
    for word in path[:-1]:
        record = record[word]
    record[path[-1]] = value


def stand_idle(motor: np.record, driver: np.record) -> None:
    """A motor that is off; its gears lose nothing."""
    for name in motor.dtype.names:
        motor[name] = 1.0
    driver.control, driver.proportional, driver.integral, driver.release = 0.0, 0.0, 0.0, 0.0
    for table in (driver.request, driver.brake):
        table.rows, table.time[0], table.value[0] = 1.0, 0.0, 0.0


def fill_shock(axle: np.record, carrier: int | None, numbers: Shock) -> None:
    """Springs, damper and a mount on the link or on the housing; no friction, stops out of reach."""
    shock = axle.shock
    if carrier is None:
        shock.fraction, shock.link_pin.x, shock.link_pin.z = 1.0, 0.3, -0.2  # a pin of no account
    else:
        shock.link_pin, shock.axle = axle.link[carrier].chassis, axle.link[carrier].axle
    shock.extended_length, shock.stroke = numbers.extended, 0.1
    rows = [(1.0, numbers.push_rate, numbers.push_loose), (-1.0, numbers.pull_rate, numbers.pull_loose)]
    for k, spring in enumerate(shock.spring):
        spring.push, spring.rate, spring.loose_at = rows[k] if k < len(rows) else (1.0, 0.0, 0.0)
    shock.compression, shock.rebound, shock.damper_rows = numbers.compression, numbers.rebound, 0.0
    for name in shock.friction.dtype.names:
        shock.friction[name] = 1.0
    shock.friction.breakaway = 0.0
    for stop in (shock.bump_stop, shock.droop_stop):
        stop.length, stop.rate, stop.damping = 0.002, 1e5, 0.0


def far_below() -> np.ndarray:
    pieces = blank(PIECE, math.nan)
    piece = pieces[0]
    (piece.start.x, piece.start.z), (piece.along.x, piece.along.z) = (-10.0, -50.0), (1.0, 0.0)
    piece.length, piece.behind, piece.grip = 20.0, 0.0, 1.0
    return pieces


def marked(cases: list[tuple]) -> list:
    """Cases of some layouts at every run; SymPy takes ten seconds to derive one."""
    return [pytest.param(*case, marks=() if case[0] in ALWAYS else pytest.mark.thorough) for case in cases]


@pytest.mark.parametrize(("layout", "rates", "seed"), marked(CASES))
def test_accelerations_and_link_forces_are_those_of_lagrange(layout: str, rates: str, seed: int) -> None:
    instant = Instant(layout, rates, seed)
    assert instant.answer() == pytest.approx(instant.witness(), rel=REL, abs=0.0)


@pytest.mark.parametrize(("layout", "seed"), marked([(name, seed) for name in LAYOUTS for seed in range(3)]))
def test_energy_grows_by_the_power_of_shocks_and_wheel_torques_alone(layout: str, seed: int) -> None:
    instant = Instant(layout, "allowed by the links", seed)
    growth = instant.ask(instant.rig.energy_rate_of, instant.answer()[:11])[0]
    shocks = instant.forces * instant.length_rates
    assert growth == pytest.approx(sum(shocks) + instant.torques @ instant.turning_apart, rel=REL)


def test_the_random_states_try_every_term() -> None:
    """Each term of the equations is large enough somewhere that leaving it out would be seen."""
    moving = [Instant(*case) for case in CASES if case[0] in ALWAYS and case[1] == "any"]
    speeds = np.ravel([instant.length_rates for instant in moving])
    assert speeds.min() < -0.1 and speeds.max() > 0.1  # rebound and compression
    for instant in moving:
        rates = np.ravel(instant.ask(instant.rig.held_of)[1])
        assert np.abs(rates).min() > 1e-3  # against the links
        assert np.abs(instant.torques).min() > 1e-3 and np.abs(instant.forces).min() > 1e-3
