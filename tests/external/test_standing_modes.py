"""Pitch and bounce of standing rigs against published two-degree-of-freedom frequencies.

S. S. Rao, Mechanical Vibrations, example 5.7: 1000 kg, radius of gyration 0.9 m, 1.0 and 1.5 m, 18 and 22
kN/m give 5.8593 and 9.4341 rad/s (inputs seen; answers from memory, recomputed). Edwards and Penney,
Differential Equations and Linear Algebra, sec 7.4 problem 24: 100 slug, 1000 slug ft^2, 2000 lb/ft each, 6
and 4 ft give 6.13 and 10.31 rad/s (seen, recomputed). Lengths, masses and rates are scaled so that the
frequencies stay; tyres are hard, axles light, and the centre of mass lies between the wheel centres. The
books leave wheels out, so they roll freely here unless a test holds them.

Damping in proportion to stiffness, C = b K, gives every mode the damping ratio b w/2 (Rao, sec 6.14, from
memory).
"""

import math
from typing import Any

import numpy as np
import pytest
from rigs import AT_REST, EDWARDS_PENNEY, FREE, RAO, book_rig, scenario
from scipy.linalg import eigh

from simcore.standing.codes import Swing
from simcore.standing.facts import Standing
from simcore.standing.stand import stand
from simcore.standing.table import table_of


def damped(case: Any, dampers: tuple[float, float]) -> dict[str, Any]:
    """The book's rig; dampers as shares of the springs' rates, in compression and in rebound, s."""
    rig = book_rig(case)
    for end, rate in (("rear", case[5]), ("front", case[4])):
        keys = ("compression", "rebound")
        rig[end]["shock"]["damper"] = {k: b * rate / 2 for k, b in zip(keys, dampers, strict=True)}
    return rig


def standing(rig: dict[str, Any]) -> Standing:
    return stand(scenario(rig, FREE))


@pytest.mark.parametrize("case", [RAO, EDWARDS_PENNEY], ids=["Rao", "Edwards-Penney"])
def test_published_frequencies(case: Any) -> None:
    """Within 0.05 %; bounce is the slower one in both books, and nothing damps."""
    table = table_of(standing(book_rig(case)))
    found = [2.0 * math.pi * float(str(table[f"{mode}_frequency_Hz"])) for mode in ("bounce", "pitch")]
    assert found == pytest.approx(case[-1], rel=5e-4)
    assert table["pitch_damping_pct"] == pytest.approx(0.0, abs=0.1)
    assert table["bounce_damping_pct"] == pytest.approx(0.0, abs=0.1)


def test_held_wheels_roll_with_the_pitching_rig() -> None:
    """Level parallel links turn the housings with the body; a drag brake holds the wheels to the housings, so
    that all of the rig rolls by R per turn: J + M R^2 in the place of J.
    """
    mass, inertia, ahead, behind, front, rear, _ = RAO
    rolling = np.diag([mass, inertia + mass * 0.050**2])
    reach = np.array([[1.0, ahead], [1.0, -behind]])
    omega = np.sqrt(eigh(reach.T @ np.diag([front, rear]) @ reach, rolling, eigvals_only=True))
    rig = book_rig(RAO)
    rig["driveline"]["drive"] = "all"
    modes = stand(scenario(rig, AT_REST)).modes
    assert modes.bounce is not None and modes.pitch is not None
    found = [2.0 * math.pi * mode.frequency for mode in (modes.bounce, modes.pitch)]
    assert found == pytest.approx(omega, rel=3e-3)
    assert found[1] < 0.9 * RAO[-1][1]


def test_energy_shares_follow_from_the_published_shapes() -> None:
    """Rao: Z/TH = -2.6461 and 0.3061 m/rad; share of heave = M Z^2/(M Z^2 + J TH^2), J = M (0.9 m)^2.

    The ends move by Z - 1.0 TH in front and Z + 1.5 TH at the rear: 3.65 to 1.15 in bounce, 0.69 against 1.81
    in pitch.
    """
    modes = standing(book_rig(RAO)).modes
    assert modes.bounce is not None and modes.pitch is not None
    for mode, shape in ((modes.bounce, 2.6461), (modes.pitch, 0.3061)):
        heave = shape**2 / (shape**2 + 0.9**2)
        assert mode.heave == pytest.approx(heave, abs=0.005)
        assert mode.pitch == pytest.approx(1.0 - heave, abs=0.005)
    assert modes.pitch.moves is Swing.ENDS_OPPOSED
    assert modes.bounce.moves is Swing.FRONT_END


@pytest.mark.parametrize("dampers", [(0.05, 0.05), (0.02, 0.08)], ids=["alike", "more in rebound"])
def test_damping_in_proportion_to_the_springs(dampers: tuple[float, float]) -> None:
    """b w/2 with b the mean of both ways: 0.146 and 0.236."""
    modes = standing(damped(RAO, dampers)).modes
    for mode, omega in zip((modes.bounce, modes.pitch), RAO[-1], strict=True):
        assert mode is not None and mode.swing is not None
        share = 0.05 * omega / 2.0
        assert mode.damping == pytest.approx(share, rel=2e-3)
        swing = 2.0 * math.pi * mode.swing
        assert swing == pytest.approx(omega * math.sqrt(1.0 - share**2), rel=1e-3)
        assert 2.0 * math.pi * mode.frequency == pytest.approx(omega, rel=5e-4)


def test_overdamped_pitch_creeps_back() -> None:
    """b = 0.25 s: b w/2 = 0.73 for bounce and 1.18 for pitch, which therefore does not swing."""
    modes = standing(damped(RAO, (0.25, 0.25))).modes
    assert modes.bounce is not None and modes.pitch is not None
    assert modes.bounce.damping == pytest.approx(0.25 * RAO[-1][0] / 2.0, rel=5e-3)
    assert modes.pitch.swing is None and modes.pitch.damping == 1.0


def test_a_damper_table_counts_with_its_slopes() -> None:
    """Rows through the origin with the slopes of the pair above."""
    rig = book_rig(RAO)
    for end, rate in (("rear", RAO[5]), ("front", RAO[4])):
        slope = rate / 2.0
        rows = [[-0.5, -0.5 * 0.08 * slope], [0, 0], [0.5, 0.5 * 0.02 * slope]]
        rig[end]["shock"]["damper"] = {"table": rows}
    modes = standing(rig).modes
    for mode, omega in zip((modes.bounce, modes.pitch), RAO[-1], strict=True):
        assert mode is not None
        assert mode.damping == pytest.approx(0.05 * omega / 2.0, rel=2e-3)
