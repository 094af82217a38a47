"""Random rigs, grounds and drivers: every tyre load is accounted for, and so is the front load's budget.

Virtual work on an axle and moments about the rear contact are balances: at every instant at which the ground
under the contact leaves the axle a way to rise, their terms add up to the load, whatever the rig does: it may
spin, hang on a stop, stick, fly or lie on its skids. The bound is rounding, as a share of the weight.
"""

from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import SLOW, located_by_arm
from test_audit_random_rigs import cases
from tries import tries

from simcore import InputError, simulate
from simcore.files import scenario_of

SHARES = ("spring", "damper", "friction", "bump_stop", "droop_stop", "cancelling", "rolling", "shaft")
LOAD_TERMS = (
    "support_N",
    "unsprung_weight_N",
    "unsprung_inertia_N",
    *(f"{name}_share_N" for name in SHARES),
)
BUDGET_TERMS = tuple(
    f"budget_{name}_N"
    for name in ("level", "slope", "acceleration", "inertia", "cg_shift", "contact_shift", "skid")
)
CLOSE = 1e-9  # of the weight
UNDEFINED = 0.02  # share of a run's instants
KINDS = ("plain", "punch", "drop", "crest")
HARD = ("arms", "flying", "stops", "skids", "sliding", "cancelled")
SEEN = dict.fromkeys(("runs", "rows", "undefined", *HARD), 0)


@st.composite
def any_cases(draw: st.DrawFn, kind: str) -> dict[str, Any]:
    """The cases of the audit, some of them with an axle on an arm; as they are, thrown up by a punch, dropped
    from a ledge or hung on low skids over a crest.
    """
    raw = draw(cases())
    rig = raw["rig"]
    if kind == "punch":
        raw["driver"] = {"control": "torque", "torque": [[0, 0], [0.02, 250]], "release": 0.02}
        rig["motor"] |= {"brake_torque": 500, "current_limit": 200, "voltage": 30}
        for end in ("rear", "front"):
            rig[end]["tyre"] |= {"peak_grip": 2.0, "sliding_grip": 2.0, "slip_stiffness": 12}
    elif kind == "drop":
        raw["ground"] = {"pieces": [{"length": 380}, {"ledge": -150}, {"length": 1000, "slope": -20}]}
        raw["driver"] = {"control": "speed", "speed": [[0, 0], [0.1, 2.0]], "release": 0.0}
    elif kind == "crest":
        raw["ground"] = {"pieces": [{"length": 330, "slope": 20}, {"length": 1000, "slope": -20}]}
        raw["driver"] = {"control": "speed", "speed": [[0, 0], [0.1, 0.8]], "release": 0.0}
        rig["skids"] = [{"at": [120, 50]}, {"at": [200, 50]}]
    for end in ("rear", "front"):
        if draw(st.sampled_from(["links", "links", "arm"])) == "arm":
            located_by_arm(rig[end])
    return raw


def missing(series: Any, whole: str, terms: list[str]) -> np.ndarray:
    """By how much the terms miss the whole, N, at each instant; NaN where they are not defined."""
    return (series[whole] - series[terms].sum(axis=1, skipna=False)).to_numpy()


def check(run: Any) -> None:
    weight = run.trace.model.bench.whole.mass * float(run.trace.model.rig.gravity)
    series = run.series
    for end in ("rear", "front"):
        assert np.isfinite(series[f"{end}_load_N"]).all()
        error = missing(series, f"{end}_load_N", [f"{end}_{term}" for term in LOAD_TERMS])
        undefined = int(np.isnan(error).sum())
        SEEN["rows"] += len(error)
        SEEN["undefined"] += undefined
        if undefined < len(error):
            assert np.nanmax(np.abs(error)) < CLOSE * weight, end
        check_shock(series, end, weight)
        check_percentages(series, end, weight, run.trace.model.bench.loads[end == "front"])
    error = missing(series, "front_load_N", list(BUDGET_TERMS))
    assert np.max(np.abs(error)) < CLOSE * weight
    note(run, series)


def check_shock(series: Any, end: str, weight: float) -> None:
    """One motion ratio carries every force on the shock line to the ground."""
    ratio = series[f"{end}_motion_ratio"]
    for name in ("spring", "damper", "friction", "bump_stop", "droop_stop"):
        carried = (ratio * series[f"{end}_{name}_N"]).where(ratio.notna())
        left = (series[f"{end}_{name}_share_N"] - carried).abs() / (1.0 + ratio.abs())
        assert not (left > CLOSE * (weight + carried.abs())).any(), name


def check_percentages(series: Any, end: str, weight: float, rest: float) -> None:
    """Demand is what moved since standing on the level; percentages of it are empty where there is none."""
    demand = series[f"{end}_demand_N"]
    eased = rest * np.cos(np.radians(series["ground_angle_deg"]))
    np.testing.assert_allclose(demand, series[f"{end}_load_N"] - eased, atol=CLOSE * weight)
    asked = demand.abs() > 0.01 * weight
    share = series[f"{end}_support_pct"]
    assert share[~asked].isna().all()
    expected = 100.0 * series[f"{end}_support_N"] / demand
    np.testing.assert_allclose(share[asked], expected[asked], rtol=1e-9, atol=1e-9)
    linked = 100.0 * (demand - series[f"{end}_demand_on_shock_N"]) / demand
    np.testing.assert_allclose(
        series.loc[asked, f"{end}_axle_mass_counted_pct"], linked[asked], rtol=1e-9, atol=1e-9
    )


def check_cancelled(series: Any) -> None:
    """Without support: the force on the shock line takes all but a few millionths off, unless the shock has
    next to no lever on the axle.
    """
    for end in ("rear", "front"):
        support, taken = series[f"{end}_support_N"], series[f"{end}_cancelling_share_N"]
        levered = series[f"{end}_motion_ratio"].abs() > 0.4
        np.testing.assert_allclose(taken[levered], -support[levered], rtol=2e-5, atol=1e-12)
        SEEN["cancelled"] += int((levered & (support.abs() > 0.1)).sum())


def note(run: Any, series: Any) -> None:
    """Count what the random runs came through."""
    SEEN["runs"] += 1
    SEEN["arms"] += any(axle.arm is not None for axle in (run.scenario.rig.rear, run.scenario.rig.front))
    ends = ("rear", "front")
    SEEN["flying"] += any((series[f"{end}_load_N"] <= 0.0).any() for end in ends)
    SEEN["stops"] += any(
        (series[f"{end}_{stop}_stop_N"] != 0.0).any() for end in ends for stop in ("bump", "droop")
    )
    SEEN["sliding"] += any((series[f"{end}_slip_pct"].abs() > 30.0).any() for end in ends)
    SEEN["skids"] += bool((series["skid_load_N"] > 0.0).any())


@tries(40, 200)
def test_the_accounts_of_random_rigs_close(count: int) -> None:
    """And the rigs come through everything that is hard: the check would be empty on standing ones."""
    SEEN.update(dict.fromkeys(SEEN, 0))
    for kind in KINDS:
        look_at(kind, count // 4)
    assert SEEN["undefined"] <= UNDEFINED * SEEN["rows"], SEEN
    assert min(SEEN[name] for name in HARD) >= 1, SEEN


def look_at(kind: str, count: int) -> None:
    @settings(
        max_examples=count,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=SLOW,
    )
    @given(any_cases(kind), st.booleans())
    def look(raw: dict[str, Any], counterfactual: bool) -> None:
        try:
            run = simulate(scenario_of(raw, "drawn.toml"), without_support=counterfactual)
        except InputError:
            return
        check(run)
        for end in ("rear", "front"):
            assert not (run.series[f"{end}_cancelling_share_N"].abs() > 0.0).any()
        if run.counterfactual is not None:
            check(run.counterfactual)
            check_cancelled(run.counterfactual.series)

    look()
