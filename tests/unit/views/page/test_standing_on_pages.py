"""The standing rig on a page: to scale, where the facts have it, with its loads."""

import math

import numpy as np
import pytest
from read_back import Element, all_of, figure_of, number, place, points, texts, words
from results_to_show import SCENARIOS, result_of

import simcore
from simcore.standing.facts import Standing
from simcore.units import GRAMS
from simcore.views.page.standing import of_inspection

KINDS = ("inspection", "inspection on a slope")


def drawing(kind: str) -> tuple[Standing, Element]:
    result = result_of(kind)
    return result.standing, figure_of(of_inspection(result).part)


@pytest.mark.parametrize("kind", KINDS)
def test_wheels_links_and_shocks_are_where_the_facts_have_them(kind: str) -> None:
    facts, figure = drawing(kind)
    tyres = [
        [float(one.get(key, "")) for key in ("cx", "cy", "r")] for one in all_of(figure, "circle", "tyre")
    ]
    wanted = [[1e3 * axle.hub[0], 1e3 * axle.hub[1], 1e3 * axle.radius] for axle in facts.axles]
    assert np.array(tyres) == pytest.approx(np.array(wanted), abs=0.051)
    links = [points(one) for one in all_of(figure, "polyline", "link")]
    pins = [1e3 * np.array(pair) for axle in facts.axles for pair in axle.pins]
    assert np.array(links) == pytest.approx(np.array(pins), abs=0.051)
    shocks = [points(one) for one in all_of(figure, "polyline", "shock")]
    assert np.array(shocks) == pytest.approx(
        np.array([1e3 * np.array(axle.shock_mounts) for axle in facts.axles]), abs=0.051
    )


@pytest.mark.parametrize("kind", KINDS)
def test_all_of_it_lies_within_the_drawing(kind: str) -> None:
    _, figure = drawing(kind)
    (svg,) = all_of(figure, "svg")
    left, top, wide, tall = map(float, svg.get("viewBox", "").split())
    assert svg.get("preserveAspectRatio") is None, "a millimetre is as long across as upward"
    for one in [*all_of(figure, "polyline"), *all_of(figure, "polygon")]:
        x, z = points(one).T
        assert left - 0.1 <= x.min() and x.max() <= left + wide + 0.1
        assert top - 0.1 <= (-z).min() and (-z).max() <= top + tall + 0.1


def test_thrust_works_along_lines_through_the_instant_centres() -> None:
    """Links of Gully on the bench: (118, 66)-(12, 46) and (92, 92)-(-4, 86) mm at the rear."""
    _, figure = drawing("inspection")
    p, r = np.array([118.0, 66.0]), np.array([-106.0, -20.0])
    q, s = np.array([92.0, 92.0]), np.array([-96.0, -6.0])
    d = q - p
    centre = p + r * float(d[0] * s[1] - d[1] * s[0]) / float(r[0] * s[1] - r[1] * s[0])
    (rear, _) = (points(one) for one in all_of(figure, "polyline", "push"))
    assert rear[-1] == pytest.approx(centre, abs=0.2)
    assert rear[0, 0] == pytest.approx(0.0, abs=0.1)


def test_weight_points_straight_down_on_a_slope() -> None:
    facts, figure = drawing("inspection on a slope")
    (line,) = all_of(figure, "polyline", "weight")
    start, end = points(line)
    way = end - start
    assert start == pytest.approx(1e3 * np.array(facts.cg), abs=0.051)
    assert math.degrees(math.atan2(-way[0], -way[1])) == pytest.approx(20.0, abs=0.1)
    assert "20° uphill" in words(figure)


@pytest.mark.parametrize("kind", KINDS)
def test_loads_stand_under_their_tyres(kind: str) -> None:
    facts, figure = drawing(kind)
    (svg,) = all_of(figure, "svg")
    left, _, wide, _ = map(float, svg.get("viewBox", "").split())
    by_name = {words(one).split()[0]: one for one in all_of(figure, "p", "under")}
    for name, axle in zip(("rear", "front"), facts.axles, strict=True):
        grams = number(words(by_name[name]).split()[1])
        assert grams == pytest.approx(axle.load * GRAMS, abs=0.51)
        assert left + place(by_name[name], "left") / 100.0 * wide == pytest.approx(1e3 * axle.hub[0], abs=0.1)


@pytest.mark.parametrize("kind", KINDS)
def test_numbers_in_the_drawing_are_those_of_the_words_and_clear_of_one_another(kind: str) -> None:
    _, figure = drawing(kind)
    (scene,), (listed,) = all_of(figure, "div", "scene"), all_of(figure, "ol", "tags")
    tags = list(all_of(scene, "b", "tag"))
    assert [words(one) for one in tags] == texts(listed, "b") == [str(k + 1) for k in range(len(tags))]
    (svg,) = all_of(figure, "svg")
    _, _, wide, tall = map(float, svg.get("viewBox", "").split())
    spots = np.array([[place(one, "left"), place(one, "top") * tall / wide] for one in tags])
    apart = np.hypot(*(spots[:, None] - spots[None]).T) + 100.0 * np.eye(len(spots))
    assert apart.min() > 6.0, "% of the width: 22 dots on a phone"
    assert np.all(spots > 2.0) and np.all(spots[:, 0] < 98.0)


@pytest.mark.parametrize("kind", KINDS)
def test_percentages_are_those_of_the_headline(kind: str) -> None:
    result, (_, figure) = result_of(kind), drawing(kind)
    for name, word in (("rear", "squat"), ("front", "lift")):
        share = result.facts[f"{name}_anti_{word}_with_axle_mass_pct"]
        (line,) = [one for one in texts(figure, "li") if f"{name} instant centre" in one]
        assert f": {share:.0f} %".replace("-", "\N{MINUS SIGN}") in line


def test_a_rig_driven_at_the_rear_says_so() -> None:
    scenario = simcore.load_scenario(SCENARIOS / "slow_creep.toml").changed({"driveline.drive": "rear"})
    scene = of_inspection(simcore.inspect(scenario))
    assert any("front: not driven" in one for one in texts(figure_of(scene.part), "li"))
    assert "the front stays level" not in scene.words
