"""Small drawings of the rig: to scale, on their ground, put together from what a saved run holds."""

import math
from pathlib import Path

import numpy as np
import pytest

import simcore
from simcore.results.run import Run
from simcore.results.stages import Stage, Why
from simcore.views.pictures.frame import happenings
from simcore.views.pictures.layout import panels
from simcore.views.pictures.overlays import drawings
from simcore.views.pictures.rig_sketch import draw_row, row_of
from simcore.views.pictures.style import case_look, styled
from simcore.views.sketch import Sketch, sketch_of, sketches_of

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.fixture(scope="module")
def slope() -> Run:
    return simcore.simulate(
        simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed({"end.duration": 0.5})
    )


@pytest.fixture(scope="module")
def ledge() -> simcore.Comparison:
    return simcore.compare(simcore.load_scenario(SCENARIOS / "ledge.toml"))


def at(row: int) -> Stage:
    return Stage(Why.PITCH, row, 0.1, "there")


def test_links_shocks_and_tyres_are_as_long_as_in_the_rig_file(slope: Run) -> None:
    rig, (_, sketch) = slope.scenario.rig, sketches_of(slope, [at(0), at(100)])
    links = [link for axle in (rig.rear, rig.front) for link in (axle.lower_link, axle.upper_link)]
    wanted = [1e3 * math.dist(link.chassis, link.axle) for link in links]
    assert [math.dist(*rod) for rod in sketch.rods] == pytest.approx(wanted, abs=1e-3)
    for shock, axle in zip(sketch.shocks, ("rear", "front"), strict=True):
        travel = slope.series[f"{axle}_travel_mm"].iloc[100]
        assert math.dist(*shock) == pytest.approx(106.0 - travel, abs=1e-3)
    for axle, (_, radius, doing) in sketch.wheels.items():
        assert (radius, doing) == (pytest.approx(1e3 * getattr(rig, axle).tyre.radius), "")
    assert len(sketch.skids) == len(rig.skids)


def test_the_ground_is_as_steep_as_it_is_and_carries_the_tyres(slope: Run) -> None:
    sketch = sketch_of(slope, at(0))
    way = sketch.ground[-1] - sketch.ground[0]
    assert math.degrees(math.atan2(way[1], way[0])) == pytest.approx(25.0)
    across = np.array([-way[1], way[0]]) / np.hypot(*way)
    for axle, (place, radius, _) in sketch.wheels.items():
        gap = float(across @ (place - sketch.ground[0]))
        assert radius - gap == pytest.approx(slope.series[f"{axle}_deflection_mm"].iloc[0], abs=0.05)


def test_an_arm_reaches_from_its_pin_to_the_wheels(slope: Run) -> None:
    arm = {"arm": {"chassis": [118, 66], "mass": 40}, "lower_link": None, "upper_link": None}
    table = slope.scenario.table
    rear = {key: value for key, value in table["rig"]["rear"].items() if not key.endswith("_link")}
    table["rig"]["rear"] = rear | {"arm": arm["arm"]}
    run = simcore.simulate(type(slope.scenario).model_validate(table))
    rods = sketch_of(run, at(0)).rods
    assert len(rods) == 3
    assert math.dist(*rods[0]) == pytest.approx(math.hypot(118.0, 66.0 - 59.0), abs=1.0)


def test_tyres_that_do_not_roll_say_so(ledge: simcore.Comparison) -> None:
    run = ledge.runs["run, 1 m/s"]
    (up,) = (one for one in happenings(run) if one.words == "front in the air")
    row = int(np.searchsorted(run.series["time_s"], up.time_s)) + 2
    doing = {axle: wheel[2] for axle, wheel in sketch_of(run, at(row)).wheels.items()}
    assert doing["front"] == "in air" and doing["rear"] != "in air"
    spun = run.series.assign(rear_slip_pct=80.0, rear_slip_speed_m_per_s=0.4, speed_m_per_s=0.1)
    slides = spun.assign(rear_slip_pct=-80.0, rear_slip_speed_m_per_s=-0.09)
    for series, word in ((spun, "spins"), (slides, "slides")):
        faked = type(run)(**{**vars(run), "series": series})
        assert sketch_of(faked, at(row)).wheels["rear"][2] == word


def test_the_ledge_is_drawn_where_it_is(ledge: simcore.Comparison) -> None:
    run = next(iter(ledge.runs.values()))
    (there,) = (one for one in happenings(run) if one.words == "front at the ledge")
    sketch = sketch_of(run, at(int(np.searchsorted(run.series["time_s"], there.time_s))))
    heights = np.unique(np.round(sketch.ground[:, 1], 6))
    assert np.ptp(heights) == pytest.approx(40.0)
    face = sketch.ground[np.argmax(np.abs(np.diff(sketch.ground[:, 1])))]
    place, radius, _ = sketch.wheels["front"]
    assert math.dist(place, (face[0], heights.max())) == pytest.approx(radius, abs=0.5)


def drawn(sketches: list[Sketch]) -> tuple[object, float]:
    """A panel with these sketches, and its scale, mm per inch across and up."""
    row = row_of(sketches)

    @styled
    def figure() -> object:
        made, _ = panels((1.0,), "answer", "question", above=row.height)
        axis = made.add_axes((0.02, 0.5, 0.96, row.height / made.get_figheight()))
        draw_row(row, axis)
        return made

    return figure().axes[1], row.scale  # type: ignore[attr-defined]


def test_all_of_a_row_have_one_scale_alike_across_and_up(ledge: simcore.Comparison) -> None:
    sketches = drawings(ledge.runs)
    axis, scale = drawn(sketches)
    box = axis.get_window_extent()  # type: ignore[attr-defined]
    dpi = axis.figure.dpi  # type: ignore[attr-defined]
    across, up = np.ptp(axis.get_xlim()) / (box.width / dpi), np.ptp(axis.get_ylim()) / (box.height / dpi)  # type: ignore[attr-defined]
    assert (across, up) == pytest.approx((scale, scale), rel=1e-6)
    words = [text.get_text() for text in axis.texts]  # type: ignore[attr-defined]
    for sketch in sketches:
        assert sketch.words in words and sketch.name in words
    sizes = [text.get_fontsize() for text in axis.texts]  # type: ignore[attr-defined]
    assert min(sizes) >= 11.0


def test_a_comparison_draws_the_start_of_the_base_and_the_cases_that_differ_most(
    ledge: simcore.Comparison,
) -> None:
    sketches = drawings(ledge.runs)
    assert len(sketches) == 4
    base, *others = sketches
    assert (base.name, base.words) == ("creep, 0.15 m/s", "start")
    names = list(ledge.runs)
    pitch = {name: run.series["pitch_to_ground_deg"].max() for name, run in ledge.runs.items()}
    drawn_names = [sketch.name for sketch in others]
    assert {max(pitch, key=pitch.__getitem__), min(pitch, key=pitch.__getitem__)} <= set(drawn_names)
    assert drawn_names == sorted(drawn_names, key=names.index)
    for sketch in others:
        assert sketch.colour == case_look(names.index(sketch.name))[0]
