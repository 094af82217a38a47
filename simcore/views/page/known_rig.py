"""A measured rig from the side, to scale, with the error of every place."""

from collections.abc import Iterator

import numpy as np
from markupsafe import Markup

from simcore.studies.measure import Measurement
from simcore.views.page.scene import BLACK, Scene, Tag
from simcore.views.page.shapes import Points, Window, circle, line
from simcore.views.pictures.measured import pairs, worse
from simcore.views.pictures.measured_rig import (
    GUESSED,
    centre_of,
    corners_of,
    crosses_words,
    larger_of,
    named_of,
    sketch_of,
    spot_of,
)
from simcore.views.sketch import Sketch

MEASURED_LOOK, GUESSED_LOOK = 0, 1  # numbers of colours


def of_measurement(result: Measurement) -> Scene:
    """The rig as its worksheet gives it, with crosses as long as errors."""
    places = pairs(result.derived.entries)
    sketch, larger = sketch_of(result, places), larger_of(places)
    corners = Window(*corners_of(sketch, places))
    crosses = []
    for place in places.values():
        spot, error = spot_of(place)
        guessed = worse(place) in GUESSED
        kind = f"c{GUESSED_LOOK} error guessed" if guessed else f"c{MEASURED_LOOK} error"
        crosses += _cross(kind, spot, larger * error)
    centre, errors = centre_of(result)
    crosses += _cross(f"c{BLACK} error", centre, larger * errors)
    tags = [Tag(centre, f"centre of the whole rig, ±{errors[0]:.1f}, ±{errors[1]:.1f} mm")]
    tags += [
        Tag(np.array(spot), f"{name}: {said}", GUESSED_LOOK if guessed else MEASURED_LOOK)
        for name, said, spot, guessed in named_of(result, places)
    ]
    return Scene(
        heading="the rig as its worksheet gives it, to scale",
        note=f"crosses: {crosses_words(larger)}; dashed: guessed, or in part",
        window=corners,
        shapes=[*_rig(sketch, corners), *crosses],
        tags=tags,
    )


def _rig(sketch: Sketch, corners: Window) -> Iterator[Markup]:
    low, high = corners
    for hub, radius, _ in sketch.wheels.values():
        yield circle("tyre", hub, radius)
    yield line("ground", [low, [high[0], low[1]], [high[0], 0.0], [low[0], 0.0]], closed=True)
    yield line("surface", [[low[0], 0.0], [high[0], 0.0]])
    yield line("body", sketch.body, closed=True)
    for hub, _, _ in sketch.wheels.values():
        yield circle("hub", hub, 7.0)
    for shock in sketch.shocks:
        yield line("shock", shock)
        yield line("sleeve", [shock[0], 0.55 * shock[0] + 0.45 * shock[1]])
    for rod in sketch.rods:
        yield line("link", rod)


def _cross(kind: str, spot: Points, error: Points) -> list[Markup]:
    """A cross as long as an error each way."""
    ways = np.diag(error)
    return [*(line(kind, [spot - way, spot + way]) for way in ways), circle("pin", spot, 2.0)]
