"""The player: the rigs of some runs in motion, one lane a run, and small charts; stills on paper."""

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from markupsafe import Markup

from simcore.accounts.reasons import TOUCH
from simcore.files.scenario import Scenario
from simcore.results.formatting import in_picture
from simcore.results.moments import Happening, Moment, moments
from simcore.results.motion import BODIES, places
from simcore.results.run import Run
from simcore.results.stages import DECISIVE, Stage, Why, decisive, stages
from simcore.rig.masses import SIDES, static_pose
from simcore.solve.trace import Outcome
from simcore.units import GRAMS, GRAVITY
from simcore.views.page.chart import LOOKS, dash_of
from simcore.views.page.film import QUANTA, Film, film, packed, step_for
from simcore.views.page.key_frames import between_wheels, key_frames
from simcore.views.page.part import Part
from simcore.views.page.shipped import template, text
from simcore.views.sketch import chassis_corners, ice_of

Points = npt.NDArray[np.float64]
COMMON = "common.js"  # for every script of a page
SCRIPTS = (COMMON, "film.js", "drawing.js", "player.js")
MOST_MOMENTS = 9  # buttons of a lane
ASIDE, BELOW, ABOVE = 30.0, 34.0, 10.0  # mm that a lane shows beside its tyres, below and over the rig
WEIGHT_DRAWN = 90.0  # mm, an arrow as large as the weight of the first rig
ENDED = {Outcome.TIME: "time is up", Outcome.DISTANCE: "all the way"}


class Chart(NamedTuple):
    """A small chart.

    Attributes
    ----------
    column : of the film
    title, unit : what it is called, and the unit in which it is said
    factor : what turns the column into that unit
    digits : after the point
    least : range that it shows at least, in that unit; a smaller one would blow up what nobody sees
    """

    column: str
    title: str
    unit: str
    factor: float
    digits: int
    least: float


CHARTS = (
    Chart("pitch_to_ground_deg", "Pitch, nose up +", "°", 1.0, 1, 2.0),
    Chart("front_load_N", "Front tyre load", "g", GRAMS, 0, 100.0),
    Chart("rear_load_N", "Rear tyre load", "g", GRAMS, 0, 100.0),
    Chart("rear_travel_mm", "Rear shocks, pressed in", "mm", 1.0, 1, 2.0),
    Chart("front_travel_mm", "Front shocks, pressed in", "mm", 1.0, 1, 2.0),
    Chart("speed_m_per_s", "Speed over the ground", "m/s", 1.0, 2, 0.1),
)


class Button(NamedTuple):
    """A moment that one can go to: its row in the series, its time in s, and what happens."""

    row: int
    time_s: float
    words: str


class Lane(NamedTuple):
    """What is known of a run before it is drawn.

    Attributes
    ----------
    name, run : of the case
    dash : of its lines, as in the page's charts
    told, buttons : its stages, and the moments that one can go to
    film : its frames
    """

    name: str
    dash: str
    run: Run
    told: Sequence[Stage]
    buttons: Sequence[Button]
    film: Film

    @property
    def decisive(self) -> Stage:
        """The stage by which the run is decided."""
        return decisive(self.told)

    @property
    def swing(self) -> float:
        """How far the pitch is from its start at the decisive moment, deg."""
        pitch = self.run.series["pitch_to_ground_deg"]
        return abs(float(pitch.iloc[self.decisive.row] - pitch.iloc[0]))

    @property
    def stills(self) -> Sequence[Stage]:
        """Start, decisive moment and end, each row once."""
        found = {one.row: one for one in (self.told[-1], self.decisive, self.told[0])}
        return [found[row] for row in sorted(found)]


def player(runs: Mapping[str, Run]) -> Part:
    """Runs in motion, to scale, as a part of a page.

    Parameters
    ----------
    runs : by the names of their variants, the base first; fresh or read from a folder. Their colours are the
        page's variables --case-0, --case-1, ... in this order, their dashes its classes (`dash_of`).

    Raises
    ------
    ValueError
        If there is no run.
    """
    if not runs:
        raise ValueError("a player needs at least one run")
    step = step_for(runs.values())
    lanes = _lanes(runs, step)
    first = min(lanes, key=lambda lane: (DECISIVE.index(lane.decisive.why), -lane.swing))
    shown = [_lane_data(lane) for lane in lanes]
    data = {
        "lanes": shown,
        "channels": list(QUANTA.items()),
        "charts": [chart._asdict() for chart in CHARTS],
        "window": _window(lanes),
        "arrow": WEIGHT_DRAWN / _weight(lanes[0].run.scenario),
        "gramsPerNewton": GRAMS,
        "touch": TOUCH,
        "step": step,
        "opens": first.decisive.time_s,
    }
    html = template("player.html").render(
        lanes=lanes,
        colours=LOOKS,
        charts=CHARTS,
        data=data,
        stills=[_stills(lane) for lane in lanes],
        links=_links(lanes),
        icy=any(lane["shape"]["ice"] for lane in shown),
    )
    return Part(Markup(html), text("player.css"), _script())


@cache
def _script() -> str:
    """The files of the script as one, whose names nothing else on the page sees."""
    files = "\n".join(text(name) for name in SCRIPTS)
    return f'(() => {{\n"use strict";\n{files}}})();\n'


# --- a lane ---


def _lanes(runs: Mapping[str, Run], step: float) -> list[Lane]:
    """All lanes; a moment that matters in one of them is a frame in each."""
    told, buttons = {}, {}
    for name, run in runs.items():
        happened = moments(run.series, run.motion, run.outline, run.scenario)
        told[name] = stages(run.series, run.outcome, happened, run.scenario.visible)
        buttons[name] = _buttons(run, told[name], happened)
    wanted = sorted(
        {one.time_s for name in runs for one in told[name]}
        | {one.time_s for name in runs for one in buttons[name]}
    )
    lanes = []
    for k, (name, run) in enumerate(runs.items()):
        times = run.series["time_s"].to_numpy(float)
        rows = np.searchsorted(times, np.minimum(wanted, times[-1]) - 1e-9)
        rows = np.append(rows, [one.row for one in told[name]])
        lanes.append(Lane(name, dash_of(k), run, told[name], buttons[name], film(run, rows, step)))
    return lanes


def _buttons(run: Run, told: Sequence[Stage], happened: Sequence[Happening]) -> list[Button]:
    """Moments that matter, in order of time, the end last; each kind once, where it first happens."""
    times = run.series["time_s"].to_numpy(float)
    found = [Button(one.row, one.time_s, one.words) for one in told if one.why not in (Why.PITCH, Why.COURSE)]
    found += [one for one in _extremes(run) if one.row < len(times) - 1]  # at the end it may go on growing
    rank = {code: k for k, code in enumerate(Moment)}
    known: set[tuple[Moment, str]] = set()
    first = []
    for one in happened:
        if (one.code, one.axle) not in known:
            known.add((one.code, one.axle))
            first.append(one)
    first.sort(key=lambda one: rank[one.code])
    room = max(MOST_MOMENTS - len(found), 0)
    found += [Button(int(np.searchsorted(times, one.time_s)), one.time_s, one.words) for one in first[:room]]
    return sorted(found, key=lambda one: (one.row, one.words == told[-1].words))


def _extremes(run: Run) -> Iterator[Button]:
    """Where the pitch is farthest from its start, and where the front tyres carry least."""
    times = run.series["time_s"].to_numpy(float)
    pitch = run.series["pitch_to_ground_deg"].to_numpy(float)
    load = run.series["front_load_N"].to_numpy(float)
    row = int(np.abs(pitch - pitch[0]).argmax())
    yield Button(row, float(times[row]), f"most pitch, {in_picture('pitch_to_ground_deg', pitch[row])}")
    row = int(load.argmin())
    least = "none" if load[row] <= TOUCH else in_picture("front_load_N", load[row])
    yield Button(row, float(times[row]), f"least front load, {least}")


def _lane_data(lane: Lane) -> dict[str, Any]:
    run = lane.run
    return {
        "name": lane.name,
        "dash": lane.dash,
        "film": packed(lane.film.table),
        "shape": _shape(run),
        "ended": ENDED.get(run.outcome, lane.told[-1].words),
    }


def _shape(run: Run) -> dict[str, Any]:
    """What is drawn of a rig and its ground, mm; points fixed to their bodies, as in the run's outline."""
    chassis = run.outline["chassis"]
    return {
        "body": _rounded(chassis_corners(chassis)),
        "skids": [[*_rounded(skid["at"]), round(float(skid["radius"]), 1)] for skid in chassis["skids"]],
        "axles": [_axle(run, axle) for axle in SIDES],
        "ground": _rounded(run.outline["ground"]),
        "ice": [_rounded(piece) for piece in ice_of(run)],
        "zero": _rounded(between_wheels(run, [0])[0]),
    }


def _axle(run: Run, axle: str) -> dict[str, Any]:
    own, chassis = run.outline[f"{axle}_axle"], run.outline["chassis"]
    pins = [[*pair] for pair in zip(chassis["link_pins"][axle], own["link_pins"], strict=True)]
    if own["arm"]:
        pins = [[pins[0][0], own["wheel_centre"]]]
    return {
        "name": axle,
        "arm": own["arm"],
        "hub": _rounded(own["wheel_centre"]),
        "radius": round(float(own["tyre_radius"]), 2),
        "links": _rounded(pins),
        "carrying": _carrying(own),
        "mount": _rounded(chassis["shock_mounts"][axle]),
        "share": float(own["shock_fraction"]),
        "shockPins": _rounded(own["shock_link_pins"]),
    }


def _carrying(own: Mapping[str, Any]) -> int | None:
    """Which link the shocks of an axle stand on; None where they stand on the housing or an arm."""
    if own["arm"] or own["shock_fraction"] >= 1.0:
        return None
    foot = own["shock_link_pins"][1]
    return next(k for k, pin in enumerate(own["link_pins"]) if np.allclose(pin, foot, atol=1e-6))


def _rounded(points: Any) -> Any:
    """Points to a hundredth of a millimetre, as lists."""
    return np.round(np.asarray(points, dtype=float), 2).tolist()


def _links(lanes: Sequence[Lane]) -> str:
    """What the arrows of links mean for these rigs."""
    axles = [lane.run.outline[f"{axle}_axle"] for lane in lanes for axle in SIDES]
    words = ["along the link"] if any(not own["arm"] for own in axles) else []
    if any(own["arm"] for own in axles):
        words.append("an arm's at its pin, in any direction")
    if any(_carrying(own) is not None for own in axles):
        words.append("the mean along a link that the shocks stand on")
    return "; ".join(words)


# --- one scale for all ---


def _window(lanes: Sequence[Lane]) -> dict[str, float]:
    """What a lane must show, mm from between the wheels: `aside` either way, from `low` to `high`."""
    aside, low, high = 0.0, 0.0, 0.0
    for lane in lanes:
        for (x, z), radius in _drawn(lane.run):
            aside = max(aside, float(np.abs(x).max()) + radius)
            low, high = min(low, float(z.min()) - radius), max(high, float(z.max()) + radius)
    return {"aside": aside + ASIDE, "low": low - BELOW, "high": high + ABOVE}


def _drawn(run: Run) -> Iterator[tuple[Points, float]]:
    """Ways of what is drawn, mm from between the wheels, with the radius around it: tyres and the chassis."""
    axles = [(body, run.outline[body]) for body in BODIES]
    hubs = [np.array(places(run.series, run.motion, body, own["wheel_centre"])) for body, own in axles]
    middle = np.mean(hubs, axis=0)
    for hub, (_, own) in zip(hubs, axles, strict=True):
        yield hub - middle, float(own["tyre_radius"])
    corners = places(run.series, run.motion, "chassis", chassis_corners(run.outline["chassis"]))
    yield np.array(corners) - middle[:, np.newaxis], 0.0


def _weight(scenario: Scenario) -> float:
    """Of a rig, N."""
    return float(GRAVITY * static_pose(scenario.rig, scenario.rig.name).whole.mass)


def _stills(lane: Lane) -> list[tuple[str, Markup]]:
    """Key frames of a lane, each below its drawing in words."""
    pitch = lane.run.series["pitch_to_ground_deg"]
    words = [
        f"{one.words}, {one.time_s:.2f} s, pitch {in_picture('pitch_to_ground_deg', pitch.iloc[one.row])}"
        for one in lane.stills
    ]
    return list(zip(words, key_frames(lane.run, lane.stills), strict=True))
