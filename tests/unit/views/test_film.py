"""Film of a run: small, and true to its trace."""

import base64
import dataclasses
import math
import zlib

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from results_to_show import creep

from simcore.results.motion import BODIES, places
from simcore.results.run import Run
from simcore.rig.masses import static_pose
from simcore.views.page import film as films
from simcore.views.page.film import QUANTA, channels, film, packed, unmoved, unpacked

DRAWN = 0.1  # mm, by which a drawn point may miss the trace


def _table(values: list[float]) -> pd.DataFrame:
    return pd.DataFrame({name: np.roll(values, k) for k, name in enumerate(QUANTA)})


@given(st.lists(st.floats(-9e3, 9e3) | st.just(math.nan), min_size=1, max_size=40))
def test_packing_keeps_every_number_to_half_a_quantum(values: list[float]) -> None:
    table = _table(values)
    back = unpacked(packed(table))
    for name, quantum in QUANTA.items():
        known = table[name].notna()
        assert back[name].notna().tolist() == known.tolist()
        assert (back[name] - table[name])[known].abs().max() <= 0.5 * quantum + 1e-9 or not known.any()


def test_packing_takes_jumps_from_end_to_end() -> None:
    """Differences larger than what 32 bits hold come back by themselves, modulo 2^32."""
    largest = 2**31 - 1
    values = [v * QUANTA["distance_mm"] for v in (largest, -largest, largest, 0, -1, 1)]
    back = unpacked(packed(_table(values)))
    assert back["distance_mm"].to_numpy() == pytest.approx(np.roll(values, 1), abs=1e-6)


def test_the_packed_form_is_as_its_description_says() -> None:
    """Written down by hand: one channel after the other, zigzag steps, lowest bytes first, raw deflate."""
    table = pd.DataFrame({name: [0.0, 0.0] for name in QUANTA})
    table["time_s"] = [0.03, 0.01]  # 300 quanta, then 200 fewer
    text = packed(table)["data"]
    planes = zlib.decompress(base64.b64decode(text), wbits=-15)
    numbers = 2 * len(QUANTA)
    assert len(planes) == 4 * numbers
    # zigzag of 300 is 600 = 2 * 256 + 88, of -200 is 399 = 1 * 256 + 143
    assert planes[:2] == bytes([88, 143])
    assert planes[numbers : numbers + 2] == bytes([2, 1])
    assert not any(planes[2:numbers])


def test_drawn_straight_between_frames_every_row_is_where_it_was() -> None:
    run = creep()
    back = unpacked(packed(film(run).table))
    every = channels(run)
    times = every["time_s"].to_numpy()
    drawn = pd.DataFrame({name: np.interp(times, back["time_s"], back[name]) for name in QUANTA})
    reach = {body: 200.0 for body in BODIES} | {"chassis": 200.0}
    for body, far in reach.items():
        for at in ([0.0, 0.0], [far, 0.0], [0.0, far], [-far, 0.0]):
            x, z = places(every, every, body, at)
            drawn_x, drawn_z = places(drawn, drawn, body, at)
            assert np.hypot(drawn_x - x, drawn_z - z).max() < DRAWN


def _moving(rows: int, jerk: float) -> pd.DataFrame:
    """Rows at 1000 a second that roll evenly and jump up by a bump of 4 ms at 0.1 s."""
    times = np.arange(rows) / 1000.0
    table = pd.DataFrame({name: np.zeros(rows) for name in QUANTA})
    table["time_s"] = times
    table["chassis_x_mm"] = 300.0 * times
    table["chassis_z_mm"] = jerk * np.exp(-(((times - 0.1) / 0.002) ** 2))
    return table


def test_frames_stand_closer_where_the_motion_is_not_straight() -> None:
    reach = {"chassis": 200.0, **dict.fromkeys(BODIES, 100.0)}
    even = films._rows(_moving(301, 0.0), reach, [], 0.01)
    assert even.tolist() == list(range(0, 301, 10))
    table = _moving(301, 5.0)
    bumpy = films._rows(table, reach, [], 0.01)
    more = sorted(set(bumpy) - set(even))
    assert more
    assert all(90 <= row <= 110 for row in more)
    drawn = np.interp(table["time_s"], table["time_s"].iloc[bumpy], table["chassis_z_mm"].iloc[bumpy])
    assert np.abs(drawn - table["chassis_z_mm"]).max() <= films.STRAIGHT


def test_wanted_rows_and_the_last_one_are_frames() -> None:
    run = creep()
    rows = film(run, [3, 7]).rows
    assert {0, 3, 7, len(run.series) - 1} <= set(rows.tolist())
    assert (np.diff(rows) > 0).all()


def test_frames_are_rows_of_the_series() -> None:
    run = creep()
    one = film(run)
    for name in ("time_s", "pitch_deg", "front_load_N", "rear_travel_mm"):
        assert (one.table[name].to_numpy() == run.series[name].to_numpy()[one.rows]).all()


# --- where the chassis would be had nothing moved ---


def _carried(turn: float, x: float, z: float) -> Run:
    """The bench's rig, rigidly turned about the origin and moved; mm and radians."""
    run = creep()
    bench = static_pose(run.scenario.rig, "bench")
    series, motion = run.series.iloc[:1].copy(), run.motion.iloc[:1].copy()
    for body, name in zip((bench.chassis, *bench.axles), ("chassis", *BODIES), strict=True):
        table = series if name == "chassis" else motion
        table[f"{name}_x_mm"] = x + 1e3 * (math.cos(turn) * body.x - math.sin(turn) * body.z)
        table[f"{name}_z_mm"] = z + 1e3 * (math.sin(turn) * body.x + math.cos(turn) * body.z)
        table["pitch_deg" if name == "chassis" else f"{name}_turn_deg"] = math.degrees(turn)
    return dataclasses.replace(run, series=series, motion=motion)


def _dashed(run: Run) -> pd.DataFrame:
    return unmoved(run.scenario.rig, run.outline, run.series, run.motion)


@pytest.mark.parametrize(("turn", "x", "z"), [(0.0, 0.0, 0.0), (0.6, 120.0, -30.0), (-1.2, -5.0, 900.0)])
def test_a_rig_that_moves_as_one_piece_lies_on_its_dashed_outline(turn: float, x: float, z: float) -> None:
    run = _carried(turn, x, z)
    dashed = _dashed(run).iloc[0]
    assert dashed["unmoved_x_mm"] == pytest.approx(run.series["chassis_x_mm"].iloc[0], abs=1e-9)
    assert dashed["unmoved_z_mm"] == pytest.approx(run.series["chassis_z_mm"].iloc[0], abs=1e-9)
    assert dashed["unmoved_turn_deg"] == pytest.approx(math.degrees(turn), abs=1e-9)


def test_the_dashed_outline_follows_wheels_and_not_the_chassis() -> None:
    run = _carried(0.0, 0.0, 0.0)
    before = _dashed(run)
    run.series["chassis_z_mm"] -= 7.0
    run.series["pitch_deg"] += 2.0
    assert _dashed(run).equals(before)
    run.motion["front_axle_z_mm"] += 20.0
    tilted = _dashed(run)["unmoved_turn_deg"].iloc[0]
    wheelbase = 1e3 * run.scenario.rig.wheelbase  # wheel centres differ little in height
    assert tilted == pytest.approx(math.degrees(math.asin(20.0 / wheelbase)), rel=0.01)


def test_a_film_of_one_instant_is_one_frame() -> None:
    run = _carried(0.1, 2.0, 3.0)
    one = film(run)
    assert one.rows.tolist() == [0]
    assert packed(one.table)["frames"] == 1
