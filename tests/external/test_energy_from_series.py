"""Energy of a run from `series.csv` and `inputs.toml` alone, as a reader of the files would balance it.

Kinetic energy, height, springs, stops, tyres and shafts hold; the motor brings; damper, seal, rubber, slip,
rolling, deflection, gears, shafts, their splines and the motor's own drag take. Masses are added up from the
file, places follow from its links, rates are differences, work is a sum of trapezoids over 5000 rows a
second. The sum must stay what it was. Where the table lacks a column, it is made from others:

- place and speed of the axles: from the turn of the housing and the links; of the ground's normal: a plane's;
- torque of the shafts before the gears: from wind-up and spins; moment of rolling: from load and the file;
- speed at which a drive shaft lengthens: from its joints and where chassis and axle are;
- energy of a spring that holds the ride height, whose preload stands in no file: from its force and rate.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from bodies import SIDES
from energies import energies

import simcore

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FINE = {
    "driver.release": 0.02,
    "end.duration": 0.6,
    "output.rate": 5000,
    "skids": [],
    "solver.relative": 1e-8,
    "solver.absolute": 1e-8,
}
SHORT = {f"{side}.shock.stroke": 12 for side in SIDES} | {
    f"{side}.shock.extended_length": 98 for side in SIDES
}
FORTH_AND_BACK = {
    "ground.slope": 0,
    "driver.torque": [[0, 0], [0.02, 60], [0.25, 60], [0.27, -60], [0.4, -60]],
}
SHAFTS = {
    "rear.shaft": {
        "chassis": [116, 102],
        "axle": [24, 60],
        "ratio": 2.6,
        "friction": 0.2,
        "spline_radius": 3.5,
    },
    "front.shaft": {"chassis": [196, 106], "axle": [290, 66], "ratio": 2.2, "friction": 0.3},
}
CASES = {
    "up a slope": {},
    "forth and back on short shocks": SHORT | FORTH_AND_BACK,
    "forth and back on sliding shafts": SHAFTS | FORTH_AND_BACK,
}
CLOSES = 2e-5  # of the largest of all terms
# the share of the largest term that each makes up at least, and where
LEAST = {
    ("up a slope", 0.1): ("moving", "height", "rotor", "motor", "motor drag", "gears"),
    ("up a slope", 0.01): ("wheels", "slip", "rolling"),
    ("forth and back on short shocks", 0.01): ("shafts", "slip"),
    ("forth and back on short shocks", 5e-4): ("turning",),
    ("forth and back on short shocks", 0.001): (
        "springs",
        "tyres",
        "damper",
        "deflection",
        "shaft damping",
    ),
    ("forth and back on short shocks", 2e-4): ("stops", "seal", "rubber"),
    ("forth and back on sliding shafts", 0.001): ("splines",),
}
PLACES = [(case, share, name) for (case, share), names in LEAST.items() for name in names]


@pytest.fixture(scope="module")
def terms(tmp_path_factory):
    """Terms of the balance, J (n,), by case and name, from the files that the runs have written."""
    found = {}
    for case, changes in CASES.items():
        folder = tmp_path_factory.mktemp("run")
        scenario = simcore.load_scenario(SCENARIOS / "punchy_launch.toml").changed(FINE | changes)
        simcore.simulate(scenario).save(folder)
        series = pd.read_csv(folder / "series.csv")
        found[case] = energies(simcore.load_scenario(folder / "inputs.toml"), series)
    return found


def drift(terms, without=""):
    """By how much the sum of the terms goes astray, as a share of the largest term."""
    total = sum(values for name, values in terms.items() if name != without)
    return np.abs(total - total[0]) / max(np.ptp(values) for values in terms.values())


@pytest.mark.parametrize("case", CASES)
def test_the_files_alone_close_the_balance(terms, case):
    np.testing.assert_allclose(drift(terms[case]), 0.0, rtol=0.0, atol=CLOSES)


@pytest.mark.parametrize(("case", "share", "name"), PLACES)
def test_each_term_left_out_is_missed(terms, case, share, name):
    assert drift(terms[case], without=name).max() > share >= 10.0 * CLOSES


def test_every_term_is_left_out_once(terms):
    assert {name for _, _, name in PLACES} == set(terms["up a slope"])


def test_the_short_shocks_reach_their_stops(terms):
    """Otherwise what is said of stops and rubber would be said of nothing."""
    assert np.ptp(terms["forth and back on short shocks"]["stops"]) > 5e-3  # J
