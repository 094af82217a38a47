"""Published worked examples of bench tests, read off as worksheets.

Whatever fits a worksheet goes through one; the rest through the law that worksheets use. Sizes out of the
range of a small rig are brought into it by similarity: masses by a factor take forces, rates, damping and
inertia along by the same factor; lengths of a weighed body by a factor take its heights along. Books take
g = 9.81 m/s^2, the program the standard 9.80665, which makes 0.034 % where a weight meets a length.

Sources, case by case: S. S. Rao, Mechanical Vibrations, example "shock absorber for a motorcycle" (5th ed.,
2.11) and example 2.14; R. N. Jazar, Vehicle Dynamics (Springer 2008), eq (2.32) and its worked example, whose
printed answer is a misprint; an open textbook on the raised axle; a laboratory manual of the University of
Hyderabad (bifilar); HyperPhysics (rod pendulum); a measured steel rod from a public physics forum (2008); a
public calculator of motor constants (fxsolver); a motor examination problem; problem sets on rolling bodies.
"""

import math
from pathlib import Path
from typing import Any

import pytest
from uncertainties import nominal_value

from simcore.files.worksheet import worksheet_of
from simcore.readings.derive import Derived, derive
from simcore.readings.drive_tests import speed_per_volt
from simcore.readings.shock_tests import damping_by_decay
from simcore.readings.tyre_tests import inertia_by_rolling_down
from simcore.readings.weighing import box_inertia, inertia_by_pendulum, inertia_by_two_cords

G_OF_BOOKS, G = 9.81, 9.80665
WEIGHT = G_OF_BOOKS / G  # of a body in a book per weight here


def read(**lines: Any) -> Derived:
    return derive(worksheet_of({"worksheet": 1, "name": "example", **lines}, Path("w.toml")))


def value(found: Derived, key: str) -> float:
    return found.entries[key].value


# --- a weight that swings on a shock -------------------------------------------------------------------

# Rao: 200 kg, damped period 2 s, amplitude to a quarter in half a swing (x_1.5 = x_1/4); printed c = 554.4981
# N s/m, k = 2358.2652 N/m, zeta = 0.4037 (recomputed 554.518, 2358.283, 0.403713: the book rounds zeta).
MOTORCYCLE = {"first": 40, "last": 10, "swings": 0.5, "time": 1}


def rows(rate: float, behind: float = 0.0) -> list[list[float]]:
    """Weights (g) and travel (mm) of a spring (N/mm), and how far friction holds it back."""
    return [[grams, grams * 1e-3 * G / rate + behind] for grams in (200, 400, 600, 800)]


@pytest.mark.parametrize("factor", [0.1, 0.01])
def test_motorcycle_shock_from_half_a_swing(factor: float) -> None:
    """A factor of 10 and 100 lighter: 20 kg and 2 kg on one shock without friction."""
    rate = 2358.2652e-3 * factor
    shock = {"loading": rows(rate), "unloading": rows(rate, 1e-6), "stroke": 100}
    shock["decay"] = {"weight": 200e3 * factor, **MOTORCYCLE}
    found = read(rear={"shock": shock})
    both = [value(found, f"rear.shock.damper.{way}") for way in ("compression", "rebound")]
    assert 0.5 * sum(both) == pytest.approx(554.4981 * factor, rel=1e-4)  # parted by a guess
    assert found.disagreements == []  # the rate that the swing tells is the spring's


def test_motorcycle_shock_at_full_size() -> None:
    """Share of critical damping and rate, too."""
    found = damping_by_decay(200.0, 0.040, 0.010, 0.5, 2.0)
    assert found.share == pytest.approx(0.403713, abs=2e-6)
    assert (found.damping, found.rate) == pytest.approx((554.4981, 2358.2652), rel=5e-5)
    assert found.damping < 0.6 * 1109  # a stored solution of the same problem is wrong by a factor of 2


def test_dry_friction_explains_the_whole_decay() -> None:
    """Rao, example 2.14 (from memory, recomputed): 10 cm become 1 cm in 5 cycles of 2 s in all, grip 0.1132.

    The loss of 4 F/k a cycle uses the decay up: no oil is left. With half the friction there is some.
    """
    period = 0.4
    offset = 0.11318 * G_OF_BOOKS * (period / (2.0 * math.pi)) ** 2
    dry = damping_by_decay(1.0, 0.10, 0.01, 5.0, period, offset)
    half = damping_by_decay(1.0, 0.10, 0.01, 5.0, period, 0.5 * offset)
    assert dry.share == pytest.approx(0.0, abs=2e-4)
    assert half.share > 0.02


# --- motors --------------------------------------------------------------------------------------------


def test_speed_of_a_motor_per_volt() -> None:
    """5700 rpm/V run 63270 rpm at 11.1 V (fxsolver); nothing is lost where no current flows."""
    motor = {"no_load": {"voltage": 11.1, "speed": 63270}, "no_load_current": 0}
    assert value(read(motor=motor), "motor.kv") == pytest.approx(5700.0, rel=1e-6)


@pytest.mark.parametrize(("kv", "kt"), [(1000, 9.5493e-3), (2000, 4.7746e-3), (3300, 2.8937e-3)])
def test_torque_per_ampere_is_one_over_speed_per_volt(kv: float, kt: float) -> None:
    """K_t = 60/(2 pi K_v); N m/A, recomputed."""
    speed = kv * 7.4 * 2.0 * math.pi / 60.0
    assert 1.0 / speed_per_volt(speed, 7.4, 0.0, 0.1) == pytest.approx(kt, abs=1e-7)


EXAM = {"free": (833.3, 0.0), "loaded with 0.6 N m": (208.3, 5.0)}


@pytest.mark.parametrize("case", EXAM)
def test_motor_of_an_examination(case: str) -> None:
    """12 V per 1000 rpm, 1.5 ohm, 10 V: 833.3 rpm free; at 5 A 7.5 V stay in the coil, 208.3 rpm."""
    rpm, ampere = EXAM[case]
    motor = {"no_load": {"voltage": 10, "speed": rpm}, "no_load_current": ampere, "resistance": 1500}
    assert value(read(motor=motor), "motor.kv") == pytest.approx(1000 / 12, rel=3e-4)


def test_motor_held_still() -> None:
    """The same motor draws 6.667 A at 10 V."""
    found = read(motor={"stall": {"voltage": 10, "current": 6.667}})
    assert value(found, "motor.resistance") == pytest.approx(1500.0, rel=1e-4)


# --- the whole rig on the scales -----------------------------------------------------------------------


def raised(
    axle: str, rear: float, front: float, span: float, hub: float, height: float, load: float
) -> float:
    """Height of the centre of mass, mm; loads in g, lengths in mm, tyres that hardly give."""
    tyre = {"diameter": 2 * hub, "hub_height": hub, "squash": [[1000, 0.01], [2000, 0.02]]}
    scales = {"rear": rear, "front": front, "raised": {"axle": axle, "height": height, "load": load}}
    found = read(wheelbase=span, rear={"tyre": tyre}, front={"tyre": tyre}, scales=scales)
    return 1e3 * float(nominal_value(found.whole.z))


def test_raised_front_of_a_crawler() -> None:
    """25.506 N on 320 mm, hubs 60 mm high, front raised by 100 mm: 13.7340 N become 14.2988 N (57.6 g more)
    for a height of 81.538 mm; own number, recomputed. The short form L^2 dW/(H W) reads 5.3 % more above the
    hubs.
    """
    to_grams = 1e3 / G_OF_BOOKS
    loads = [one * to_grams for one in (13.7340, 25.506 - 13.7340, 14.2988)]
    assert loads[2] - loads[0] == pytest.approx(57.6, abs=0.05)
    height = raised("front", loads[0], loads[1], 320, 60, 100, loads[2])
    assert height == pytest.approx(81.538, abs=0.02)
    short_form = 60 + 320**2 * (loads[2] - loads[0]) / (100 * (loads[0] + loads[1]))
    assert (short_form - 60) / (height - 60) == pytest.approx(1.053, abs=0.001)


def test_raised_rear_of_a_car() -> None:
    """Jazar: 2000 kg, a1 = 1.10 m, l = 2.30 m, R = 0.30 m, nose down by 30 deg; eq (2.32) gives 0.34 m for
    10433.5 N on the front axle (the printed 18000 N gives 1.876 m). A tenth of the size, a thousandth of the
    mass.
    """
    kilograms = 10433.5 / G_OF_BOOKS
    front, rear = 2000 * 1.2 / 2.3, 2000 * 1.1 / 2.3
    assert raised("rear", rear, front, 230, 30, 115, kilograms) == pytest.approx(34.0, abs=0.05)


# --- swinging ------------------------------------------------------------------------------------------


def test_two_cords() -> None:
    """I = m g d1 d2 T^2/(4 pi^2 h), d1 and d2 half the spacings: 2.6 kg, 300 mm, 1 m, 1.2 s: 0.020933 kg m^2
    (identity, recomputed with g = 9.81); 200 mm and 450 mm have the same product.
    """
    found = inertia_by_two_cords(2.6, 0.30, 0.30, 1.0, 1.2)
    assert found * WEIGHT == pytest.approx(0.020933, rel=3e-5)
    assert inertia_by_two_cords(2.6, 0.20, 0.45, 1.0, 1.2) == pytest.approx(found, rel=1e-12)


def test_rod_about_its_end() -> None:
    """HyperPhysics: T = 2 pi sqrt(2L/(3g)), 1.63795 s for 1 m; it leaves 1/12 of m L^2 about the middle."""
    period = 2.0 * math.pi * math.sqrt(2.0 / (3.0 * G))
    assert period / math.sqrt(WEIGHT) == pytest.approx(1.63795, abs=5e-6)
    assert inertia_by_pendulum(1.0, 0.5, period) == pytest.approx(1.0 / 12.0, rel=1e-9)


def test_measured_steel_rod_is_a_thin_box() -> None:
    """915 mm of steel swung in a school laboratory: radius of gyration 268 mm, g = 9.84 m/s^2 beside it."""
    assert math.sqrt(box_inertia(1.0, 0.915, 0.0)) == pytest.approx(0.268, rel=0.015)


def test_swings_of_a_whole_rig_through_its_worksheet() -> None:
    """The rod in place of a rig of 2 kg: 1 m long, swinging about its end, and on two cords: both tell 1/12
    of m L^2, and the worksheet does not find them contradicting each other.
    """
    period = 2.0 * math.pi * math.sqrt(2.0 / (3.0 * G))
    cords = 2.0 * math.pi * math.sqrt(2.0 / 12.0 * 1.0 / (2.0 * G * 0.15 * 0.15))
    swing: dict[str, Any] = {"pendulum": {"at": [160, 570], "swings": 50, "time": 50 * period}}
    swing["cords"] = {"top": 300, "bottom": 300, "length": 1000, "swings": 50, "time": 50 * cords}
    scales = {"rear": 1000, "front": 1000, "cg_height": 70}
    found = read(wheelbase=320, scales=scales, swing=swing)
    assert found.disagreements == []
    swing["pendulum"]["time"] = 50 * 1.05 * period
    assert len(read(wheelbase=320, scales=scales, swing=swing).disagreements) == 1


# --- boards --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("angle", "grip"), [(16.699, 0.3), (41.987, 0.9)])
def test_angle_at_which_a_block_slides(angle: float, grip: float) -> None:
    """tan(angle) = grip: 0.3 by any textbook; rubber of 0.9 on pavement, published as 41.9 degrees."""
    found = read(rear={"tyre": {"slides_at": angle}})
    assert value(found, "rear.tyre.peak_grip") == pytest.approx(grip, abs=2e-5)


def test_cylinder_down_a_plane() -> None:
    """4 kg, r = 0.2 m, 30 deg, 5 m, g = 10 m/s^2: a = 3.33 m/s^2, v = 5.77 m/s at the end, printed answers.

    Its time, v/a, stretched to the standard g, tells the inertia of a solid cylinder, m r^2/2.
    """
    time = 5.77 / 3.33 * math.sqrt(10.0 / G)
    inertia = inertia_by_rolling_down(4.0, 0.2, 0.2, math.radians(30.0), 5.0, time, 0.0)
    assert inertia == pytest.approx(0.5 * 4.0 * 0.2**2, rel=0.01)
