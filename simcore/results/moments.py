"""What happens in a run and when: brake, top speed, edges and ice under each axle, tyres in the air.

Worked out from what a saved run holds: series, motion, outline and scenario.
"""

import enum
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from simcore.accounts.places import ICE
from simcore.accounts.reasons import TOUCH
from simcore.compiled import PieceRecord
from simcore.files.scenario import Scenario
from simcore.results.motion import places
from simcore.rig.course import course_of
from simcore.rig.masses import SIDES

Series = npt.NDArray[np.float64]
BRAKED = 50.0  # % of the brake, above which it counts as on
REACHED = 0.98  # of a speed that count as having reached it
TO_GO = 0.1  # of the run that must be left, else its speed was still rising
MOVES = 0.1  # m/s, less is no top speed: a rig rocks so fast where it stands
KINK = math.radians(3.0)  # change of slope that counts as an edge of the course
SHORT = 0.03  # s; contact, flight and grip that last no longer are a part of what is around them


@enum.unique
class Moment(enum.Enum):
    """What happens; the name stands in data, the value, with its blanks filled, in pictures.

    The first ones give way last where there is no room for all.
    """

    BRAKE_ON = "brake on"
    LEDGE = "{axle} at the ledge"
    DROP = "{axle} at the drop"
    SLIPPERY = "{axle} on {grip}"
    AIR = "{axle} in the air"
    STEEPER = "{axle} at the steeper ground"
    CREST = "{axle} at the crest"
    BOTTOM = "{axle} at the bottom"
    SPEED_REACHED = "{speed:.3g} m/s reached"
    TOP_SPEED = "top speed, {speed:.2g} m/s"
    BRAKE_OFF = "brake off"
    GRIPPY = "{axle} now on {grip}"
    GROUND = "{axle} down again"


class Happening(NamedTuple):
    """One thing that happens.

    Attributes
    ----------
    time_s : when
    code : what
    words : the same for people
    axle : "rear" or "front"; empty where it concerns the whole rig
    """

    time_s: float
    code: Moment
    words: str
    axle: str = ""


def moments(
    series: pd.DataFrame, motion: pd.DataFrame, outline: Mapping[str, Any], scenario: Scenario
) -> list[Happening]:
    """What happens in a run, in order of time; what holds from the start on does not count.

    Parameters
    ----------
    series, motion, outline : of a run
    scenario : of the run, for its course and its driver
    """
    found = [*_brake(series), *_speed(series, scenario)]
    for axle in SIDES:
        found += _flights(series, axle)
        found += _on_the_course(series, motion, outline, scenario, axle)
    return sorted(found, key=lambda one: one.time_s)


# --- driver ---


def _brake(series: pd.DataFrame) -> Iterator[Happening]:
    for time, on in _changes(series["time_s"].to_numpy(), series["brake_pct"].to_numpy() > BRAKED, 0.0):
        code = Moment.BRAKE_ON if on else Moment.BRAKE_OFF
        yield Happening(time, code, code.value)


def _speed(series: pd.DataFrame, scenario: Scenario) -> Iterator[Happening]:
    """The asked speed of a driver who holds one, at the rear tread; else where the rig gets no faster."""
    times, speed = series["time_s"].to_numpy(), series["speed_m_per_s"].to_numpy()
    driver = scenario.driver
    held = driver.control == "speed"
    if held:
        speed = speed + series["rear_slip_speed_m_per_s"].to_numpy()
        top = max(abs(asked) for _, asked in driver.speed)
    else:
        top = float(np.max(np.abs(speed)))
    there = np.flatnonzero(np.abs(speed) >= REACHED * top)
    if top < (0.0 if held else MOVES) or not len(there) or there[0] == 0:
        return
    time = float(times[there[0]])
    if held or times[-1] - time >= TO_GO * (times[-1] - times[0]):
        code = Moment.SPEED_REACHED if held else Moment.TOP_SPEED
        yield Happening(time, code, code.value.format(speed=top))


# --- one axle ---


def _flights(series: pd.DataFrame, axle: str) -> Iterator[Happening]:
    flies = series[f"{axle}_load_N"].to_numpy() <= TOUCH
    for time, up in _changes(series["time_s"].to_numpy(), flies):
        code = Moment.AIR if up else Moment.GROUND
        yield Happening(time, code, code.value.format(axle=axle), axle)


def _on_the_course(
    series: pd.DataFrame, motion: pd.DataFrame, outline: Mapping[str, Any], scenario: Scenario, axle: str
) -> Iterator[Happening]:
    """Edges that the tyres of an axle come to, and changes of grip under them.

    A tyre is at a piece of the course as soon as its round outline reaches it.
    """
    pieces = course_of(scenario)
    if len(pieces) < 2:
        return
    times, shape = series["time_s"].to_numpy(), outline[f"{axle}_axle"]
    x, z = places(series, motion, f"{axle}_axle", shape["wheel_centre"])
    reach = 1e-3 * float(shape["tyre_radius"])
    near = np.array([_distance(1e-3 * x, 1e-3 * z, piece) <= reach for piece in pieces])
    for before, piece, at in zip(pieces, pieces[1:], near[1:], strict=False):
        code, there = _edge(before, piece), np.flatnonzero(at)
        if code is not None and len(there) and there[0] > 0:
            yield Happening(float(times[there[0]]), code, code.value.format(axle=axle), axle)
    yield from _grip(times, near, pieces["grip"], axle)


def _distance(x: Series, z: Series, piece: PieceRecord) -> Series:
    """How far points are from a straight piece, m."""
    out_x, out_z = x - piece["start"]["x"], z - piece["start"]["z"]
    along_x, along_z = piece["along"]["x"], piece["along"]["z"]
    way = np.clip(out_x * along_x + out_z * along_z, -piece["behind"], piece["length"])
    return np.hypot(out_x - way * along_x, out_z - way * along_z)


def _edge(before: PieceRecord, piece: PieceRecord) -> Moment | None:
    """What a forward rig comes to between two pieces; None where the slope hardly changes, or off a face."""
    was, slope = (math.atan2(one["along"]["z"], one["along"]["x"]) for one in (before, piece))
    if abs(slope) > math.radians(89.0):
        return Moment.LEDGE if slope > 0.0 else Moment.DROP
    if abs(was) > math.radians(89.0) or abs(slope - was) < KINK:
        return None
    if slope < was:
        return Moment.CREST
    return Moment.STEEPER if slope > 0.0 else Moment.BOTTOM


def _grip(times: Series, near: npt.NDArray[np.bool_], grips: Series, axle: str) -> Iterator[Happening]:
    """Where the least grip that the tyres touch changes; in the air it stays."""
    least = np.where(near, grips[:, None], np.inf).min(axis=0)
    known = np.maximum.accumulate(np.where(np.isfinite(least), np.arange(len(least)), 0))
    least = least[known]
    before = float(least[0])
    for time, grip in _changes(times, least):
        code = Moment.SLIPPERY if grip < before else Moment.GRIPPY
        words = code.value.format(axle=axle, grip=_grip_in_words(float(grip)))
        if code is Moment.GRIPPY and before <= ICE < grip:
            words = f"{axle} off the ice"
        yield Happening(time, code, words, axle)
        before = float(grip)


def _grip_in_words(grip: float) -> str:
    return "ice" if grip <= ICE else "full grip" if grip == 1.0 else f"{100.0 * grip:.3g} % grip"


def _changes(times: Series, states: npt.NDArray[Any], short: float = SHORT) -> Iterator[tuple[float, Any]]:
    """When a state turns into another one, and into which.

    What lasts no longer than `short` counts as what was before it, unless the run begins or ends with it.
    """
    starts = [0, *(np.flatnonzero(states[1:] != states[:-1]) + 1)]
    ends = [float(times[at]) for at in starts[1:]] + [math.inf]
    kept: list[tuple[float, Any]] = []
    for at, end in zip(starts, ends, strict=True):
        lasts = end - float(times[at]) > short or at == 0
        if lasts and (not kept or kept[-1][1] != states[at]):
            kept.append((float(times[at]), states[at]))
    yield from kept[1:]


# --- several runs ---


class Differing(NamedTuple):
    """One thing that happens at another time in another run, or not in all of them.

    Attributes
    ----------
    code, axle : as of a `Happening`
    words : for people, without what differs
    times : when, s, by name of the run
    """

    code: Moment
    axle: str
    words: str
    times: Mapping[str, list[float]]


def compared(
    runs: Mapping[str, Sequence[Happening]], apart: float
) -> tuple[list[Happening], list[Differing]]:
    """What happens in all of some runs at the same times, and what differs between them.

    Parameters
    ----------
    runs : name to what happens, the base first
    apart : difference of time that counts as the same, s

    Returns
    -------
    What is common, as in the base; what differs, each code and axle once, in the order of `Moment`.
    """
    common, differing = [], []
    for code, axle in itertools.product(Moment, ("", *SIDES)):
        own = {
            name: [one for one in found if (one.code, one.axle) == (code, axle)]
            for name, found in runs.items()
        }
        times = {name: [one.time_s for one in found] for name, found in own.items()}
        first, *rest = times.values()
        if all(len(one) == len(first) and np.allclose(one, first, rtol=0.0, atol=apart) for one in rest):
            common += [same[0]._replace(words=_words(same)) for same in zip(*own.values(), strict=True)]
        else:
            every = [one for found in own.values() for one in found]
            differing.append(Differing(code, axle, _words(every), times))
    return sorted(common, key=lambda one: one.time_s), differing


def _words(same: Sequence[Happening]) -> str:
    """Words for one thing that happens in several runs; without the numbers in which they differ."""
    code, axle = same[0].code, same[0].axle
    general = {
        Moment.SPEED_REACHED: "asked speed reached",
        Moment.TOP_SPEED: "top speed",
        Moment.SLIPPERY: f"{axle} on less grip",
        Moment.GRIPPY: f"{axle} on more grip",
    }
    said = {one.words for one in same}
    return said.pop() if len(said) == 1 else general[code]
