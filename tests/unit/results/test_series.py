"""Every column of a series against a hand-made ledger: the right number, in the unit of its name.

All numbers differ from one another, so that a column that takes its neighbour's is seen; the two axles differ
by their second digit.
"""

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from simcore.accounts.audit import Audit
from simcore.accounts.reasons import REASONS, Reason
from simcore.accounts.support import Support
from simcore.compiled import LEDGER, STATE
from simcore.files.scenario import Visible
from simcore.results import rows as module
from simcore.results.rows import Rows
from simcore.results.series import COLUMNS, Columns, series
from simcore.rig.torque_twist import TorqueTwist
from simcore.solve.trace import Outcome, Trace

ROWS = 2  # the second is looked at; the first is the start
RPM = 2.0 * math.pi / 60.0  # rad/s
SIDES = (("rear", 1.0), ("front", 1.1))
# column: its number in its own unit; in the records it stands in SI, at the rear
OF_SHOCK = {
    "travel_mm": ("travel", 13.0, 1e-3),
    "travel_speed_mm_per_s": ("speed", -17.0, 1e-3),
    "shock_force_N": ("force", 19.0, 1.0),
    "spring_N": ("spring", 23.0, 1.0),
    "damper_N": ("damper", -29.0, 1.0),
    "friction_N": ("friction", 31.0, 1.0),
    "bump_stop_N": ("bump_stop", 37.0, 1.0),
    "droop_stop_N": ("droop_stop", -41.0, 1.0),
}
OF_TYRE = {
    "load_N": ("load", 43.0, 1.0),
    "thrust_N": ("thrust", 47.0, 1.0),
    "slip_pct": ("slip", 53.0, 1e-2),
    "slip_speed_m_per_s": ("slip_speed", 0.59, 1.0),
    "deflection_mm": ("deflection", 6.1, 1e-3),
}
OF_MOTOR = {
    "motor_torque_Nmm": ("torque", 67.0, 1e-3),
    "motor_drag_Nmm": ("drag", -71.0, 1e-3),
    "brake_pct": ("brake_share", 73.0, 1e-2),
    "current_A": ("current", 7.9, 1.0),
    "electric_power_W": ("electric_power", 83.0, 1.0),
}
BUDGET = ("level", "slope", "acceleration", "inertia", "cg_shift", "contact_shift", "skid")
SHARES = ("spring", "damper", "friction", "bump_stop", "droop_stop", "cancelling", "rolling", "shaft")
ACCOUNT = {f"{name}_share_N": (name, 2.0 + k) for k, name in enumerate(SHARES)} | {
    "support_N": ("support", 101.0),
    "unsprung_weight_N": ("unsprung_weight", 103.0),
    "unsprung_inertia_N": ("unsprung_inertia", 107.0),
}
OF_ACCOUNT = {
    "demand_N": ("demand", 109.0, 1.0),
    "demand_on_shock_N": ("shock_change", 113.0, 1.0),
    "support_pct": ("support_share", 127.0, 1e-2),
    "usual_formula_pct": ("usual_formula", 131.0, 1e-2),
    "axle_mass_counted_pct": ("share_with_axle_mass", 137.0, 1e-2),
    "motion_ratio": ("ratio", 1.39, 1.0),
}
TRACK, SHAFT = 0.2, 2.77  # m; torque of the rear shaft, N m
OF_SLIDE = {
    "shaft_torque_Nm": ("torque", SHAFT, 1.0),
    "shaft_friction_N": ("friction", -3.83, 1.0),
}
WHOLE = {
    "time_s": 0.25,
    "distance_mm": 149.0,
    "speed_m_per_s": 0.5 * (1.51 + 1.51 * 1.1),
    "pitch_deg": 15.7,
    "pitch_to_ground_deg": 15.7 - 8.0,  # of the ground at the start
    "ground_angle_deg": 16.3,
    "pitch_rate_deg_per_s": 167.0,
    "heave_mm": 17.3 - 5.0,
    "height_gained_mm": 0.5 * (13.1 + 13.7),
    "wheelbase_mm": 311.0,
    "chassis_x_mm": 179.0,
    "chassis_z_mm": 181.0,
    "motor_speed_rpm": 19100.0,
    "electric_energy_J": 19.3,
    "skid_load_N": 1.97 + 1.99,
    "momentum_residual_ratio": 2.11e-9,
    "energy_residual_pct": 0.0223,
    "store_residual_pct": 0.0227,  # the worst store, whatever its sign
    "link_residual_ratio": 2.29e-9,
    "link_drift_mm": 2.33e-4,
    "account_residual_ratio": 2.41e-9,
    **{name: value for name, (_, value, _) in OF_MOTOR.items()},
    **{f"budget_{name}_N": 239.0 + k for k, name in enumerate(BUDGET)},
}
OF_AXLE = {
    **{name: entry[1] for name, entry in (OF_SHOCK | OF_TYRE | ACCOUNT | OF_ACCOUNT | OF_SLIDE).items()},
    "lower_link_N": 251.0,
    "upper_link_N": -257.0,
    "wheel_speed_rpm": 263.0,
    "wheel_torque_Nm": 2.69,
    "path_slope_deg": 27.7,
}
WHOLE["side_load_N"] = 2.77 * 1.1 / 0.2  # that of the front one, which is larger, on the track
WIND_UP = {"rear": 27.1 / 4.0, "front": 27.1 * 1.1 / 4.84}  # deg, through the gears
HOUSING = {"rear": 5.0 - 15.7, "front": 7.0 - 15.7}  # deg, against the chassis
STATE_OF = {"rear": Reason.HELD, "front": Reason.SEEN}


def put(record: Any, entries: dict[str, tuple[str, float, float]], times: float = 1.0) -> None:
    for field, number, si in entries.values():
        record[field] = [0.0, times * number * si]


def made() -> tuple[Trace, Audit, SimpleNamespace]:
    """Trace, audit and accounts of two rows."""
    states, ledgers = np.zeros(ROWS, STATE), np.zeros(ROWS, LEDGER)
    put(ledgers["motor"], OF_MOTOR)
    states["distance"], states["motor"], states["electric"] = [0, 0.149], [0, 19100.0 * RPM], [0, 19.3]
    ledgers["skid"]["load"][1, :2] = 1.97, 1.99
    pose, rate = states["pose"][1], states["rate"][1]
    pose["angle"] = np.radians([15.7, 5.0, 7.0])
    pose["x"], pose["z"] = [0.179, 0.0, 0.2], [0.181, 0.05, 0.06]
    rate["angle"] = np.radians([167.0, 1.0, 2.0])
    for i, (_, times) in enumerate(SIDES):
        part = ledgers["axle"][:, i]
        put(part["shock"], OF_SHOCK, times)
        put(part["tyre"], OF_TYRE, times)
        put(part["slide"], OF_SLIDE, times)
        part["tyre"]["ground_speed"] = [0.0, 1.51 * times]
        part["link_force"][1] = 251.0 * times, -257.0 * times
        part["drive"]["wheel_torque"] = [0.0, 2.69 * times]
        states["spin"][1, i] = 263.0 * RPM * times
        states["wind_up"][1, i] = math.radians(27.1) * times
    gears = [SimpleNamespace(branch=SimpleNamespace(ratio=4.0 * times**2)) for _, times in SIDES]
    model: Any = SimpleNamespace(rig=SimpleNamespace(axle=gears), twist=TorqueTwist(TRACK, (1.0, -1.0)))
    yes = np.ones(ROWS, bool)
    trace = Trace(model, np.array([0.0, 0.25]), states, ledgers, yes, yes, Outcome.TIME, 10)
    stores = {"one": np.array([0.0, 1e-5]), "other": np.array([0.0, -2.27e-4])}
    audit = Audit(
        *(np.array([0.0, x]) for x in (2.11e-9, 2.23e-4)),
        stores,
        *(np.array([0.0, x]) for x in (2.29e-9, 2.33e-7, 2.41e-9)),
    )
    return trace, audit, accounts()


def accounts() -> SimpleNamespace:
    """Stance, both load accounts and the budget."""
    ground, height = np.radians([8.0, 16.3]), np.array([0.005, 0.0173])
    budget = {name: np.array([0.0, 239.0 + k]) for k, name in enumerate(BUDGET)}
    sides = []
    for _, times in SIDES:
        terms = {name: np.array([0.0, times * number]) for name, number in ACCOUNT.values()}
        rest = {field: np.array([0.0, times * x * si]) for field, x, si in OF_ACCOUNT.values()}
        slope = np.array([0.0, math.tan(math.radians(27.7 * times))])
        sides.append(Support(terms=terms, slope=slope, lengthening=slope, **rest))
    found = [np.array([0, REASONS.index(STATE_OF[side])], np.int8) for side, _ in SIDES]
    centres = [np.array([[0.0, 0.3], [0.05, 0.05 + rise]]) for rise in (0.0131, 0.0137)]
    span = np.array([0.315, 0.311])
    stance = SimpleNamespace(ground=ground, chassis_height=height, centres=centres, span=span)
    return SimpleNamespace(stance=stance, support=tuple(sides), reasons=tuple(found), budget=budget)


def stand_in(monkeypatch: pytest.MonkeyPatch, accounts: Any) -> None:
    monkeypatch.setattr(module, "run_accounts", lambda trace, visible: accounts)
    monkeypatch.setattr(module, "Stance", lambda trace: accounts.stance)


@pytest.fixture
def table(monkeypatch: pytest.MonkeyPatch) -> pd.DataFrame:
    trace, audit, accounts = made()
    stand_in(monkeypatch, accounts)
    return series(trace, audit, Visible())


def known() -> dict[str, Any]:
    expected: dict[str, Any] = dict(WHOLE)
    for side, times in SIDES:
        expected |= {f"{side}_{name}": times * number for name, number in OF_AXLE.items()}
        expected |= {f"{side}_housing_deg": HOUSING[side], f"{side}_wind_up_deg": WIND_UP[side]}
        expected[f"{side}_support_state"] = STATE_OF[side].name
    return expected


def test_every_column_has_its_known_number(table: pd.DataFrame) -> None:
    assert list(table.columns) == COLUMNS
    assert set(known()) == set(COLUMNS)


@pytest.mark.parametrize("name", COLUMNS)
def test_column_of_a_hand_made_ledger(table: pd.DataFrame, name: str) -> None:
    expected, found = known()[name], table[name].iloc[1]
    assert found == (expected if isinstance(expected, str) else pytest.approx(expected, rel=1e-9))


def test_load_from_side_to_side_is_empty_where_the_rig_does_not_state_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    trace, audit, accounts = made()
    trace.model.twist = None  # type: ignore[misc]
    stand_in(monkeypatch, accounts)
    assert series(trace, audit, Visible())["side_load_N"].isna().all()


def test_columns_are_worked_out_when_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    trace, audit, accounts = made()
    stand_in(monkeypatch, accounts)
    asked: list[str] = []
    monkeypatch.setattr(module, "run_accounts", lambda trace, visible: asked.append("loads") or accounts)
    found = Columns(Rows(trace, None, Visible()))
    assert found["wheelbase_mm"][1] == pytest.approx(311.0) and not asked
    assert found["wheelbase_mm"] is found["wheelbase_mm"]
    assert found["rear_support_N"] is not None and asked == ["loads"]
    of_audit = set(COLUMNS) - set(found)
    assert of_audit == {name for name in COLUMNS if "residual" in name or name == "link_drift_mm"}
    assert len(found) == len(COLUMNS) - len(of_audit)
    for name in (*of_audit, "no_such_column"):
        assert name not in found
        with pytest.raises(KeyError, match=name):
            found[name]
    whole, table = Columns(Rows(trace, audit, Visible())), series(trace, audit, Visible())
    assert list(whole) == COLUMNS and all(np.array_equal(whole[name], table[name]) for name in numbers())


def numbers() -> list[str]:
    return [name for name in COLUMNS if not name.endswith("_state")]
