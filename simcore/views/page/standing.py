"""The standing rig from the side, to scale: where its links push, and where they would have to push."""

import itertools
import math
from collections.abc import Iterator, Mapping

import numpy as np
from markupsafe import Markup

from simcore.results.formatting import in_text, three_digits
from simcore.rig.masses import SIDES
from simcore.standing.facts import AxleFacts, Standing
from simcore.studies.inspect import Inspection
from simcore.views.page.scene import BLACK, Scene, Tag, Under
from simcore.views.page.shapes import Points, Window, arrow, circle, line
from simcore.views.pictures.standing_lines import (
    HERE,
    Push,
    below_cg,
    body_of,
    level_line_of,
    mm,
    push_of,
    stance_words,
    window,
)

LOOKS = {"rear": 0, "front": 1}  # numbers of colours
INWARD = {"rear": 1.0, "front": -1.0}
LOWER = 55.0  # mm, by which the drawing is less high than a picture with its words in it
CENTRE, HEAD = 6.0, 11.0  # mm: radius of a centre of mass, length of an arrow's head
Lines = Mapping[str, tuple[Points, Points]]


def of_inspection(result: Inspection) -> Scene:
    """A rig where it stands, drawn along its ground."""
    facts = result.standing
    low, high = window(facts)
    corners = Window(low, high - np.array([0.0, LOWER]))
    axles = dict(zip(SIDES, facts.axles, strict=True))
    found = {name: push_of(axle, name, INWARD[name], *corners) for name, axle in axles.items()}
    pushes = {name: push for name, push in found.items() if push is not None}
    ends = {name: level_line_of(axle, INWARD[name], *corners) for name, axle in axles.items()}
    levels = {name: line for name, line in ends.items() if line is not None}
    return Scene(
        heading=f"side view, to scale: {stance_words(facts)}",
        note="",
        window=corners,
        shapes=list(_shapes(facts, corners, pushes, levels)),
        tags=list(_tags(facts, pushes, levels)),
        under=list(_under(facts, corners)),
    )


def _tags(facts: Standing, pushes: Mapping[str, Push], levels: Lines) -> Iterator[Tag]:
    """Centres of mass, instant centres and the lines on which they would keep an end level."""
    whole = three_digits(1e3 * facts.whole.mass)
    yield Tag(mm(facts.cg), f"CG of whole rig, {whole} g; arrow: weight")
    yield Tag(mm(facts.sprung_cg), "CG of sprung mass")
    for name in SIDES:
        if name in pushes:
            push = pushes[name]
            words = " ".join(f"{push.centre}; {push.thrust}".split())
            share = 1.0 if push.seen else 0.9
            yield Tag(push.start + share * (push.end - push.start), words, LOOKS[name])
        if name in levels:
            first, end = levels[name]
            words = " ".join(f"dashed: {HERE.format(name)}".split())
            yield Tag(first + 0.9 * (end - first), words, LOOKS[name])


def _under(facts: Standing, corners: Window) -> Iterator[Under]:
    """Load of each axle under its tyres, and which way is uphill."""
    every, depth = sum(axle.load for axle in facts.axles), 0.5 * corners.low[1]
    for name, axle in zip(SIDES, facts.axles, strict=True):
        rows = [f"{name} {in_text('load_N', axle.load)}", f"{100.0 * axle.load / every:.0f} %"]
        yield Under(np.array([1e3 * axle.hub[0], depth]), rows)
    if facts.slope:
        steep = f"{math.degrees(abs(facts.slope)):.4g}° uphill"
        ahead = facts.slope > 0.0
        words = f"{steep} \N{RIGHTWARDS ARROW}" if ahead else f"\N{LEFTWARDS ARROW} {steep}"
        yield Under(np.array([0.5 * (corners.low[0] + corners.high[0]), depth]), [words])


def _shapes(facts: Standing, corners: Window, pushes: Mapping[str, Push], levels: Lines) -> Iterator[Markup]:
    low, high = corners
    for axle in facts.axles:
        yield circle("tyre", mm(axle.hub), 1e3 * axle.radius)
    yield line("ground", [low, [high[0], low[1]], [high[0], 0.0], [low[0], 0.0]], closed=True)
    yield line("surface", [[low[0], 0.0], [high[0], 0.0]])
    yield line("body", body_of(facts), closed=True)
    for axle in facts.axles:
        yield from _axle(axle)
    for name, (first, end) in levels.items():
        yield line(f"c{LOOKS[name]} level", [first, end])
    for name, push in pushes.items():
        yield from _push(push, LOOKS[name])
    whole, sprung = mm(facts.cg), mm(facts.sprung_cg)
    yield arrow(f"c{BLACK} weight", whole, below_cg(facts), HEAD)
    for place, radius in ((whole, CENTRE), (sprung, 0.75 * CENTRE)):
        yield circle("centre", place, radius)
        for way in (np.array([radius, 0.0]), np.array([0.0, radius])):
            yield line("centre", [place - way, place + way])


def _axle(axle: AxleFacts) -> Iterator[Markup]:
    """Housing, shock and links of an axle."""
    hub = mm(axle.hub)
    for _, end in axle.pins:
        yield line("housing", [hub, mm(end)])
    yield circle("hub", hub, 7.0)
    top, bottom = (mm(mount) for mount in axle.shock_mounts)
    yield line("shock", [top, bottom])
    yield line("sleeve", [top, 0.55 * top + 0.45 * bottom])
    for pin, end in axle.pins:
        yield line("link", [mm(pin), mm(end)])
    for point in (*itertools.chain(*axle.pins), *axle.shock_mounts):
        yield circle("pin", mm(point), 2.6)


def _push(push: Push, look: int) -> Iterator[Markup]:
    """The line from contact through instant centre, with the links' lines that lead to it."""
    kind = f"c{look} push{'' if push.driven else ' idle'}"
    for pin in push.pins:
        yield line(f"c{look} leads", [pin, push.end])
    if push.seen:
        yield line(kind, [push.start, push.end])
        corners = 6.0 * np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
        yield line(f"c{look} instant", push.end + corners, closed=True)
    else:
        yield arrow(kind, push.start, push.end, HEAD)
