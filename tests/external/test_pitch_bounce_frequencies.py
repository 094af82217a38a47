"""Pitch and bounce frequencies of a sprung body on two axles.

M z'' + (kf + kr) z + (kr l2 - kf l1) th = 0, J th'' + (kf l1^2 + kr l2^2) th + (kr l2 - kf l1) z = 0 with
th nose-down. S. S. Rao, Mechanical Vibrations, example 5.7: 1000 kg, radius of gyration 0.9 m, 1.0 and 1.5
m, 18 and 22 kN/m give 5.8593 and 9.4341 rad/s with Z/TH = -2.6461 and 0.3061 m/rad (inputs seen; answers
from memory, recomputed). Edwards and Penney, Differential Equations and Linear Algebra, sec 7.4 problem 24:
100 slug, 1000 slug ft^2, 2000 lb/ft each, 6 and 4 ft give 6.13 and 10.31 rad/s (seen, recomputed: 6.13113
and 10.31549). W. T. Thomson, Theory of Vibration (coupled car): 3220 lb, 4.5 and 5.5 ft, 2400 and 2600
lb/ft, radius of gyration 4 ft give 6.90 and 9.06 rad/s (all from memory; recomputed 6.8994 and 9.0515, the
printed 9.06 is a little high). A published exercise without an answer: 1600 kg, 38 and 34 kN/m at the
axles, 2.9 m, CG 1.6 m ahead of the rear, radius of gyration 0.95 m (inputs seen; recomputed 6.6947 and
10.2436). Lengths, masses and rates are scaled so that the frequencies stay.

The books leave out tyres, unsprung mass and the height of the centre of mass over the axles (an upside-down
pendulum): here tyres are hard, axles light, and the centre of mass lies between the wheel centres.
"""

import numpy as np
import pytest
from rigs import AXLE, EDWARDS_PENNEY, FREE, RAO, book_rig, ledgers_of, scenario, slopes_at
from scipy.integrate import solve_ivp
from scipy.linalg import eigh
from scipy.optimize import least_squares

from simcore.compiled import LEDGER, STATE
from simcore.dynamics.motion import derivative
from simcore.rig.model import build
from simcore.solve.scales import tolerance_scale
from simcore.solve.settle import settle

# as `rigs.RAO`
THOMSON = (2.0, 0.02, 0.1125, 0.1375, 48.0, 52.0, (6.8994, 9.0515))
EXERCISE = (2.0, 2.0 * 0.095**2, 0.130, 0.160, 47.5, 42.5, (6.6947, 10.2436))


def standing(rig):
    """Model and settled state, wheels rolling freely."""
    what = scenario(rig, FREE)
    model = build(what)
    return model, np.frombuffer(settle(what, model).tobytes()).copy()


def natural(model, y, low=3.0, high=15.0):
    """Undamped modes (rad/s) of the linearised motion between two frequencies, and z per nose-up pitch of
    the body in each.
    """
    rates, shapes = np.linalg.eig(slopes_at(model, y))
    found = [k for k in np.argsort(rates.imag) if low < rates[k].imag < high]
    assert all(abs(rates[k].real) < 1e-5 for k in found), "nothing damps"
    body = [np.ascontiguousarray(shapes[:, k].real + 0.0).view(STATE)[0].pose[0] for k in found]
    turned = [np.ascontiguousarray(shapes[:, k].imag + 0.0).view(STATE)[0].pose[0] for k in found]
    ratios = [
        max(((a.z, a.angle), (b.z, b.angle)), key=lambda p: abs(p[1]))
        for a, b in zip(body, turned, strict=True)
    ]
    return rates[found].imag, [z / angle for z, angle in ratios]


def half_car(case, unsprung, tyre):
    """Frequencies of the half car with tyres, N/m for an axle: two further degrees of freedom."""
    mass, inertia, a, b, front, rear, _ = case
    # columns: body height, nose-up pitch, front axle, rear axle
    reach = np.array([[1.0, a, -1.0, 0.0], [1.0, -b, 0.0, -1.0], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]])
    stiff = reach.T @ np.diag([front, rear, tyre, tyre]) @ reach
    return np.sqrt(eigh(stiff, np.diag([mass, inertia, unsprung, unsprung]), eigvals_only=True))


@pytest.mark.parametrize(
    "case", [RAO, EDWARDS_PENNEY, THOMSON, EXERCISE], ids=["Rao", "Edwards-Penney", "Thomson", "exercise"]
)
def test_published_frequencies(case):
    """Within 0.05 %: the motion of the axles with the pitching body is what the books leave out."""
    found, _ = natural(*standing(book_rig(case)))
    assert found == pytest.approx(case[-1], rel=5e-4)


def test_published_mode_shapes():
    """Z/TH of Rao, a tenth in size and with our nose-up pitch, so the other sign."""
    _, ratios = natural(*standing(book_rig(RAO)))
    assert ratios == pytest.approx([0.26461, -0.030611], rel=0.01)


def test_free_motion_swings_at_the_published_frequencies():
    """A body set going in heave and pitch: two sines fitted to 6 s of its height and pitch."""
    model, y = standing(book_rig(RAO, unsprung=10.0, stiffness=100.0, damping=5.0))
    state = y.view(STATE)[0]
    state.rate[0].z = 0.002
    for body in range(3):
        state.rate[body].angle = 0.02
    times = np.linspace(0.0, 6.0, 601)
    args = (model.rigs, model.pieces, np.zeros(1, LEDGER))
    run = solve_ivp(
        derivative,
        (0, 10),
        y,
        "LSODA",
        times,
        args=args,
        rtol=1e-7,
        atol=1e-8 * tolerance_scale(),
        max_step=0.02,
    )
    moved = np.ascontiguousarray(run.y.T).view(STATE)[:, 0]
    signals = np.column_stack([moved["pose"][:, 0]["z"], 0.1 * moved["pose"][:, 0]["angle"]])

    def residual(frequencies):
        waves = [wave(w * times) for w in frequencies for wave in (np.cos, np.sin)]
        basis = np.column_stack([*waves, np.ones_like(times)])
        return (basis @ np.linalg.lstsq(basis, signals)[0] - signals).ravel()

    spectrum = np.abs(
        np.fft.rfft((signals - signals.mean(axis=0)) * np.hanning(len(times))[:, None], n=1 << 15, axis=0)
    ).sum(axis=1)
    omega = 2.0 * np.pi * np.fft.rfftfreq(1 << 15, times[1])
    guess = [omega[near][np.argmax(spectrum[near])] for near in (omega < 7.5, (omega > 7.5) & (omega < 15.0))]
    fit = least_squares(residual, guess, x_scale=1.0, xtol=1e-12, ftol=1e-12, gtol=1e-15)
    assert sorted(fit.x) == pytest.approx(RAO[-1], rel=1e-3)
    assert np.abs(residual(fit.x)).max() < 0.02 * np.abs(signals - signals.mean(axis=0)).max()
    assert (
        max(np.abs(row["row"]["error"]).max() for row in ledgers_of(model, times, run.y.T)["axle"].T) < 1e-6
    )


def test_softer_tyres_lower_the_frequencies_at_the_predicted_rate():
    """The shortfall against hard tyres doubles as the tyre gets half as stiff, and is that of springs in
    series.
    """
    hard, _ = natural(*standing(book_rig(RAO)))
    for stiffness in (8.0, 4.0, 2.0):
        found, _ = natural(*standing(book_rig(RAO, stiffness=stiffness)))
        # The contact law is within 2 % of the stated stiffness; the two tyres of an axle stand side by side.
        series = half_car(RAO, 1e-3 * AXLE, 2e3 * stiffness)[:2]
        assert found / hard - 1.0 == pytest.approx(
            series / half_car(RAO, 1e-3 * AXLE, 2e6)[:2] - 1.0, rel=0.05
        )


def test_heavy_axles_hop_like_the_half_car():
    """All four modes with axles of half the sprung mass together and soft tyres; damping none."""
    stiffness, unsprung = 2.0, 500.0
    rig = book_rig(RAO, unsprung=unsprung, stiffness=stiffness)
    model, y = standing(rig)
    turning = 1e-6 * sum(
        rig[end]["housing"]["pitch_inertia"] for end in ("rear", "front")
    )  # housings pitch with the body
    expected = half_car((RAO[0], RAO[1] + turning, *RAO[2:]), 1e-3 * unsprung, 2e3 * stiffness)
    found, _ = natural(model, y, 3.0, 150.0)
    near = [min(found, key=lambda w, e=e: abs(w - e)) for e in expected]
    assert near == pytest.approx(expected, rel=0.01)
