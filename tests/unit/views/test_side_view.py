"""The side view: to scale, the answer in its title, words clear of each other, whatever the rig."""

import copy
import itertools
import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle
from matplotlib.text import Text

from simcore.files import scenario_of
from simcore.results.headlines.standing import standing_headline
from simcore.standing.at_rest import HELD
from simcore.standing.facts import Standing
from simcore.standing.stand import stand
from simcore.views.pictures.side_view import side_view
from simcore.views.pictures.style import FRONT_COLOUR, REAR_COLOUR

RIGS = Path(__file__).parents[3] / "scenarios" / "rigs"


def facts_of(name: str = "gully", slope: float = 0.0, **changes: Any) -> Standing:
    rig = copy.deepcopy(tomllib.loads((RIGS / f"{name}.toml").read_text(encoding="utf-8")))
    for path, value in changes.items():
        table = rig
        *way, last = path.split("__")
        for step in way:
            table = table[step]
        table[last] = value
    table = {"title": "How?", "rig": rig, "driver": HELD, "ground": {"slope": slope}}
    return stand(scenario_of(table, "drawn.toml"))


def words(figure: Figure) -> str:
    texts = [*figure.texts, *figure.axes[0].texts]
    return "\n".join(text.get_text().replace("\n", " ") for text in texts)


def labels(axis: Axes) -> list[Text]:
    return [text for text in axis.texts if text.get_text()]


def test_it_is_to_scale() -> None:
    """One millimetre is as long across as upwards; the tyres are circles of 59 mm at the wheel centres."""
    figure = side_view(facts_of())
    figure.canvas.draw()
    axis = figure.axes[0]
    (x0, y0), (x1, _), (_, y1) = axis.transData.transform([(0.0, 0.0), (100.0, 0.0), (0.0, 100.0)])
    assert x1 - x0 == pytest.approx(y1 - y0, rel=1e-6)
    tyres = [patch for patch in axis.patches if isinstance(patch, Circle) and patch.radius > 20.0]
    assert [tyre.radius for tyre in tyres] == pytest.approx([59.0, 59.0])
    assert [tyre.center[0] for tyre in tyres] == pytest.approx([0.0, 315.0], abs=0.1)
    assert all(50.0 < tyre.center[1] < 59.0 for tyre in tyres), "compressed a little"
    low, high = axis.get_ylim()
    assert low < 0.0 < 158.0 < high, "ground below, highest pin inside"


def test_the_answer_counts_axle_mass() -> None:
    facts = facts_of()
    rear, front = (axle.carried["own"] for axle in facts.axles if axle.carried)
    told = standing_headline(facts)
    assert told == (
        f"Rear anti-squat {100 * rear.with_axle_mass:.0f} %, "
        f"front anti-lift {100 * front.with_axle_mass:.0f} %, axle mass counted"
    )
    assert f"{100 * rear.usual_formula:.0f} %" not in told
    title = side_view(facts).texts[0].get_text().replace("\n", " ")
    assert f"{title}, axle mass counted" == told


def test_an_undriven_front_adds_to_the_lift() -> None:
    facts = facts_of(driveline__drive="rear")
    assert "front anti-lift \N{MINUS SIGN}" in standing_headline(facts)
    assert "(the links add lift)" in standing_headline(facts)
    drawn = words(side_view(facts))
    assert "front: not driven" in drawn
    assert "the front stays level" not in drawn, "no place of the instant centre could do it"
    assert "the rear stays level" in drawn


def test_lines_run_from_the_contacts_through_the_instant_centres() -> None:
    """Links of Gully on the bench: (118, 66)-(12, 46) and (92, 92)-(-4, 86) mm at the rear."""
    p, r = np.array([118.0, 66.0]), np.array([-106.0, -20.0])
    q, s = np.array([92.0, 92.0]), np.array([-96.0, -6.0])
    cross = float(r[0] * s[1] - r[1] * s[0])
    d = q - p
    centre = p + r * float(d[0] * s[1] - d[1] * s[0]) / cross
    axis = side_view(facts_of()).axes[0]
    push = [line for line in axis.lines if line.get_color() == REAR_COLOUR and line.get_linewidth() > 3.0]
    assert len(push) == 1
    (start, end) = push[0].get_xydata()
    assert end == pytest.approx(centre, abs=0.1)
    assert start[0] == pytest.approx(0.0, abs=0.1) and -4.0 < start[1] < 0.0
    assert f"along this line, {math.degrees(math.atan2(*(end - start)[::-1])):.0f}°" in words(axis.figure)


def test_level_lines_rise_towards_the_other_axle() -> None:
    """Their gradient and foot, checked against statics elsewhere, stand d ahead of each contact, inward."""
    facts = facts_of()
    axis = side_view(facts).axes[0]
    for axle, colour, inward in zip(facts.axles, (REAR_COLOUR, FRONT_COLOUR), (1.0, -1.0), strict=True):
        dashed = [line for line in axis.lines if line.get_color() == colour and line.get_linewidth() == 2.4]
        assert len(dashed) == 1 and axle.level_line is not None
        for x, z in 1e-3 * dashed[0].get_xydata():
            d, e = inward * (x - axle.contact[0]), z - axle.contact[1]
            assert d > 0.0
            assert e == pytest.approx(axle.level_line.foot + axle.level_line.gradient * d, abs=1e-6)


def test_a_far_instant_centre_is_an_arrow_with_its_distance() -> None:
    facts = facts_of("fell")
    distance = 1e3 * math.dist(facts.axles[0].centre or (0, 0), facts.axles[0].contact)
    assert distance > 450.0
    axis = side_view(facts).axes[0]
    assert f"centre {distance:.0f} mm away" in words(axis.figure)
    for line in axis.lines:
        data = line.get_xydata()
        assert np.all(data[:, 0] >= axis.get_xlim()[0]) and np.all(data[:, 0] <= axis.get_xlim()[1])


def test_parallel_links_say_so() -> None:
    upper = {"chassis": [92, 106], "axle": [-14, 86], "mass": 11}
    drawn = words(side_view(facts_of(rear__upper_link=upper)))
    assert "rear links parallel:" in drawn


def test_slope_and_weight_are_shown() -> None:
    """Weight points straight down: on ground that climbs 25 deg it leans that much against the ground."""
    facts = facts_of(slope=25.0)
    axis = side_view(facts).axes[0]
    drawn = words(axis.figure)
    assert "25° uphill" in drawn and "on 25 deg" in drawn
    arrows = [line.get_xydata() for line in axis.lines if len(line.get_xydata()) == 2]
    cg = 1e3 * np.array(facts.cg)
    weight = [line for line in arrows if np.allclose(line[0], cg, atol=0.01)]
    assert len(weight) == 1
    way = weight[0][1] - weight[0][0]
    assert math.degrees(math.atan2(-way[0], -way[1])) == pytest.approx(25.0, abs=1e-6)
    assert weight[0][1][1] == pytest.approx(0.0, abs=1e-9)
    assert "uphill" not in words(side_view(facts_of()))


CASES = {
    "gully": facts_of,
    "gully on 25 deg": lambda: facts_of(slope=25.0),
    "gully on 44 deg": lambda: facts_of(slope=44.0),
    "gully downhill": lambda: facts_of(slope=-20.0),
    "fell": lambda: facts_of("fell"),
    "fell on 25 deg": lambda: facts_of("fell", 25.0),
    "rear drive": lambda: facts_of(driveline__drive="rear"),
}


@pytest.mark.parametrize("case", CASES)
def test_words_are_inside_and_clear_of_each_other(case: str) -> None:
    figure = side_view(CASES[case]())
    figure.canvas.draw()
    boxes = [Text.get_window_extent(text) for text in labels(figure.axes[0])]
    heads = [Text.get_window_extent(text) for text in figure.texts]
    assert len(boxes) >= 8
    for one, two in itertools.combinations([*boxes, *heads], 2):
        assert not one.overlaps(two)
    for box in [*boxes, *heads]:
        assert box.x0 >= 0.0 and box.x1 <= figure.bbox.x1 and box.y0 >= 0.0 and box.y1 <= figure.bbox.y1


def test_both_axles_keep_their_colours() -> None:
    for text in labels(side_view(facts_of()).axes[0]):
        name = text.get_text()
        if name.startswith(("rear", "front")):
            assert text.get_color() == (REAR_COLOUR if name.startswith("rear") else FRONT_COLOUR)


def test_it_can_be_read_on_a_phone() -> None:
    """No text below 1/50 of the picture's width, and nearly square or taller."""
    figure = side_view(facts_of())
    width, height = figure.get_size_inches()
    assert 0.8 < height / width < 1.6
    for text in [*figure.texts, *labels(figure.axes[0])]:
        assert text.get_fontsize() / 72.0 >= width / 50.0
