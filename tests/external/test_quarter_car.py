"""Body bounce and wheel hop of a sprung and an unsprung mass.

D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering (Springer 2018), p. 209: 317.5 kg and 45.4
kg on 22 kN/m and a tyre of 192 kN/m give 7.87 and 68.73 rad/s (inputs and answers seen; recomputed 7.8786
and 68.7086, the book rounds its coefficients, 0.1 %). Two such quarters make a rig that bounces evenly:
masses and rates are divided by one number, which leaves the frequencies.
"""

import numpy as np
import pytest
from rigs import FREE, scenario, slopes_at, textbook_rig

from simcore.rig.model import build
from simcore.solve.settle import settle

SCALE = 317.5  # kg of the book's sprung mass for 1 kg of the rig's
SPRUNG, UNSPRUNG, SPRING, TYRE = 317.5 / SCALE, 45.4 / SCALE, 22.0 / SCALE, 192.0 / SCALE  # kg, N/mm
RADIUS = 300.0  # mm; gravity compresses the tyre by 18 mm at any scale, so it must be large


def test_body_bounce_and_wheel_hop() -> None:
    """Modes without pitch: both ends alike, so the rig splits into two quarters. Law: the determinant of
    the two-mass chain.
    """
    rig = textbook_rig(
        1000.0,
        (500.0, RADIUS),
        1e3 * 2 * (SPRUNG + UNSPRUNG),
        1e5,
        rates=(SPRING, SPRING),
        unsprung=1e3 * UNSPRUNG,
        stiffness=TYRE / 2,
        spin_inertia=0.01,
        radius=RADIUS,
    )
    rig["chassis"]["cg"] = [500.0, RADIUS]
    rig["driveline"] |= {"ratio": 1, "drive": "rear"}
    what = scenario(rig, FREE)
    model = build(what)
    y = np.frombuffer(settle(what, model).tobytes()).copy()
    rates = np.linalg.eigvals(slopes_at(model, y))
    found = np.unique(np.round(np.abs(rates.imag[rates.imag > 1.0]), 3))
    for published, recomputed in ((7.87, 7.8786), (68.73, 68.7086)):
        nearest = found[np.abs(found - recomputed).argmin()]
        assert nearest == pytest.approx(recomputed, rel=5e-3)
        assert nearest == pytest.approx(published, rel=6e-3)
