"""A measured rig in side view, to scale, with the error of every place."""

import math
import textwrap
from collections.abc import Iterator, Mapping

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from scipy.spatial import ConvexHull

from simcore.readings.line_names import AXES, name_of
from simcore.readings.uncertain import error_of, value_of
from simcore.readings.workings import Entry, Origin
from simcore.rig.masses import SIDES, loaded_height
from simcore.studies.measure import Measurement
from simcore.units import GRAVITY
from simcore.views.catalogue import picture
from simcore.views.pictures.labels import Label, write_labels
from simcore.views.pictures.layout import page
from simcore.views.pictures.measured import pairs, worse
from simcore.views.pictures.rig_sketch import Row, draw_sketch
from simcore.views.pictures.style import BLACK, BLUE, VERMILION, WIDTH, styled
from simcore.views.sketch import Sketch

Points = npt.NDArray[np.float64]
GUESSED = (Origin.GUESSED_IN_PART, Origin.GUESS)
LARGEST, LARGER = 60.0, 5.0  # mm; crosses that stay shorter are drawn so many times larger
NAMED, ROUGH, SIZE = 5, 3.0, 11.5  # places that are named, if guessed or known so badly, mm; points
SPARE = (30.0, 45.0)  # mm of room beside the tyres and over the highest place
BELOW = 34.0  # mm of ground
EDGE = 0.02  # of the width


@styled
def measured_rig(result: Measurement) -> Figure:
    """The rig with a cross at every place, as long as its error; dashed where it is guessed."""
    places = pairs(result.derived.entries)
    sketch, larger = sketch_of(result, places), larger_of(places)
    low, high = corners_of(sketch, places)
    wide, tall = high - low
    scale = wide / (WIDTH * (1.0 - 2.0 * EDGE))
    marks = f"Crosses: {crosses_words(larger)}; blue: measured; red and dashed: guessed, or in part"
    figure, (axis,) = page(1, 1, tall / scale, result.headline, f"{result.asked}\n{marks}", left=EDGE)
    box = axis.get_position()
    axis.set_position((EDGE, box.y0 - 0.2 / figure.get_figheight(), 1.0 - 2.0 * EDGE, box.height))
    axis.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]), aspect="equal")
    axis.set_axis_off()
    draw_sketch(axis, sketch, np.zeros(2), Row([sketch], scale, low[1], high[1]))
    _keep_off(axis, sketch)
    for place in places.values():
        guessed = worse(place) in GUESSED
        spot, error = spot_of(place)
        _cross(axis, spot, larger * error, VERMILION if guessed else BLUE, guessed)
    centre, errors = centre_of(result)
    _cross(axis, centre, larger * errors, BLACK, False)
    axis.plot(*centre, marker="o", ms=9, mfc="white", mec=BLACK, mew=2.0, zorder=6.1)
    labels = [Label("centre of the whole rig", (float(centre[0]), float(centre[1])), BLACK)]
    labels += [
        Label("\n".join([*textwrap.wrap(name, 20), errors]), spot, VERMILION if guessed else BLUE)
        for name, errors, spot, guessed in named_of(result, places)
    ]
    write_labels(axis, labels, SIZE, ground=0.0)
    return figure


def larger_of(places: Mapping[str, tuple[Entry, Entry]]) -> float:
    """How many times too large errors are drawn: so that small ones are seen, unless others would be huge."""
    largest = max(max(x.error, z.error) for x, z in places.values())
    return LARGER if LARGER * largest <= LARGEST else 1.0


def crosses_words(larger: float) -> str:
    """What the crosses are."""
    return "error" if larger == 1.0 else f"error, drawn {larger:g} times too large"


def spot_of(place: tuple[Entry, Entry]) -> tuple[Points, Points]:
    """Where a place is, and how far it may be off either way, (2,) each, mm."""
    return np.array([one.value for one in place]), np.array([one.error for one in place])


def centre_of(result: Measurement) -> tuple[Points, Points]:
    """Centre of the whole rig, likewise."""
    whole = result.derived.whole
    place = np.array([value_of(whole.x), value_of(whole.z)])
    return 1e3 * place, 1e3 * np.array([error_of(whole.x), error_of(whole.z)])


def _keep_off(axis: Axes, sketch: Sketch) -> None:
    """Lines that nobody sees, over the tyres, for words to keep clear of."""
    turns = np.linspace(0.0, 2.0 * np.pi, 60)
    ring = np.column_stack([np.cos(turns), np.sin(turns)])
    for hub, radius, _ in sketch.wheels.values():
        for share in (0.65, 0.8, 0.95):
            axis.plot(*(hub + share * radius * ring).T, alpha=0.0)


def _hubs(result: Measurement) -> dict[str, Points]:
    """Centres of the axles over the table, mm."""
    entries, whole = result.derived.entries, result.derived.whole
    wheelbase = value_of(entries["wheelbase"].number)
    front = value_of(whole.x) / wheelbase
    found = {}
    for axle, x, share in (("rear", 0.0, 1.0 - front), ("front", wheelbase, front)):
        tyre = {key: value_of(entries[f"{axle}.tyre.{key}"].number) for key in ("radius", "stiffness")}
        load = value_of(whole.mass) * GRAVITY * share
        found[axle] = 1e3 * np.array([x, loaded_height(tyre["radius"], 2.0 * tyre["stiffness"], load)])
    return found


def sketch_of(result: Measurement, places: Mapping[str, tuple[Entry, Entry]]) -> Sketch:
    """The rig as its numbers have it, mm from the rear axle's centre and the table."""
    entries, hubs = result.derived.entries, _hubs(result)
    body = np.array(
        [
            spot_of(place)[0]
            for key, place in places.items()
            if key.endswith(("chassis", "cg")) or "skids" in key
        ]
    )
    rods, shocks, wheels = [], [], {}
    for axle in SIDES:
        wheels[axle] = (hubs[axle], entries[f"{axle}.tyre.radius"].value, "")
        rods += [
            np.array([spot_of(places[f"{axle}.{link}.{end}"])[0] for end in ("chassis", "axle")])
            for link in ("lower_link", "upper_link")
            if f"{axle}.{link}.axle" in places
        ]
        if f"{axle}.arm.chassis" in places:
            rods.append(np.array([spot_of(places[f"{axle}.arm.chassis"])[0], hubs[axle]]))
        upper = spot_of(places[f"{axle}.shock.chassis"])[0]
        shocks.append(np.array([upper, _lower(entries, places, axle)]))
    reach = 1e4
    return Sketch(
        words="",
        name="",
        colour="",
        body=body[ConvexHull(body).vertices],
        wheels=wheels,
        rods=rods,
        shocks=shocks,
        skids=[],
        ground=np.array([[-reach, 0.0], [reach, 0.0]]),
        ice=[],
    )


def _lower(entries: Mapping[str, Entry], places: Mapping[str, tuple[Entry, Entry]], axle: str) -> Points:
    """Lower mount of a shock: on the axle, or between the pins of the link that carries it."""
    if f"{axle}.shock.axle" in places:
        return spot_of(places[f"{axle}.shock.axle"])[0]
    share = entries[f"{axle}.shock.fraction"].value
    link = next(one for one in ("lower_link", "upper_link") if f"{axle}.{one}.axle" in places)
    top, low = (spot_of(places[f"{axle}.{link}.{end}"])[0] for end in ("chassis", "axle"))
    return np.asarray((1.0 - share) * top + share * low)


def corners_of(sketch: Sketch, places: Mapping[str, tuple[Entry, Entry]]) -> tuple[Points, Points]:
    """Lower left and upper right corner of the picture."""
    (rear, back, _), (front, radius, _) = sketch.wheels.values()
    top = max(float(place[1].value) for place in places.values())
    return (
        np.array([rear[0] - back - SPARE[0], -BELOW]),
        np.array([front[0] + radius + SPARE[0], top + SPARE[1]]),
    )


def _cross(axis: Axes, spot: Points, error: Points, colour: str, dashed: bool) -> None:
    """A cross as long as an error each way."""
    dash = (0, (2.5, 1.2)) if dashed else "-"
    for k in (0, 1):
        ends = np.array([spot, spot])
        ends[:, k] += [-error[k], error[k]]
        axis.plot(*ends.T, color=colour, lw=2.2, ls=dash, zorder=6.0)
    axis.plot(*spot, marker="o", ms=5.0, mfc="white", mec=colour, mew=1.6, zorder=6.0)


def named_of(
    result: Measurement, places: Mapping[str, tuple[Entry, Entry]]
) -> Iterator[tuple[str, str, tuple[float, float], bool]]:
    """The worst known places: name, both errors in words, where, and whether they are guessed."""
    worst = sorted(places.items(), key=lambda item: -math.hypot(*(one.error for one in item[1])))
    for key, (x, z) in worst[:NAMED]:
        guessed = worse((x, z)) in GUESSED
        if guessed or max(x.error, z.error) >= ROUGH:
            name = name_of(f"{key}.0", result.worksheet).removesuffix(AXES[0])
            yield name, f"±{_short(x)}, ±{_short(z)} mm", (x.value, z.value), guessed


def _short(entry: Entry) -> str:
    """An error to the digits that it needs."""
    return f"{entry.error:.0f}" if entry.error >= 3.0 else f"{entry.error:.1f}"


@picture(
    "The rig to scale as the worksheet gives it, standing at ride height; at every place a cross as long as "
    "its error along and upright, dashed where the place is guessed.",
)
def of_measurement(result: Measurement) -> Figure:
    """The rig with its errors."""
    return measured_rig(result)
