"""Follows dots from frame to frame: each near where it must be by now, as large as it was; else lost."""

import dataclasses
from collections.abc import Iterable, Mapping

import numpy as np
import numpy.typing as npt

from simcore.errors import InputError, InputIssue
from simcore.files.dots import Dots
from simcore.video.first_sight import as_issues, candidates, choose
from simcore.video.follower import SIZES, Follower
from simcore.video.frames import Frame, Image
from simcore.video.plane import Lens, Points, first_plane
from simcore.video.samples import Samples
from simcore.video.spots import Spot
from simcore.video.together import Places, carried, odd_ones


@dataclasses.dataclass(frozen=True)
class Paths:
    """Where every dot was.

    Attributes
    ----------
    times : (n,) s since the first frame
    pixels : name of a dot to (n, 2), right and down; NaN where it was lost
    widths : name of a dot to its diameter, pixels
    paints : name of a dot to its colour, (3,), blue green red
    clashes : pairs of names to frames in which both claimed one spot, so that both count as lost
    lens : of the picture
    samples : some of the frames
    """

    times: npt.NDArray[np.float64]
    pixels: Mapping[str, Points]
    widths: Mapping[str, float]
    paints: Mapping[str, npt.NDArray[np.float64]]
    clashes: Mapping[tuple[str, str], int]
    lens: Lens
    samples: Samples


def follow(clip: Iterable[Frame], known: Dots, at: Mapping[str, tuple[float, float]], file: str) -> Paths:
    """Follow all dots through a clip, from the first frame in which all are seen.

    Parameters
    ----------
    clip : its frames
    known : dots file
    at : places of dots on the rig, m, where they are known
    file : dots file's name, for issues

    Raises
    ------
    InputError
        When a dot is in no frame, or it cannot be told which spot it is.
    """
    times, rows, samples = list[float](), list[dict[str, Points]](), Samples()
    clashes: dict[tuple[str, str], int] = {}
    followers: dict[str, Follower] = {}
    seen, lens = set[str](), Lens((1, 1))
    for time, image in clip:
        lens = Lens((image.shape[1], image.shape[0]), known.lens.distortion if known.lens else 0.0)
        if followers:
            row = _step(followers, time, time - times[-1], image, clashes)
            row = row or _again(followers, known, at, lens, time, image)
        else:
            found = candidates(image, known)
            seen |= {name for name, some in found.items() if some}
            if all(found.values()):
                followers = _begin(found, known, at, lens, time, file)
            row = {name: one.spot.at for name, one in followers.items()}
        samples.offer(len(times), image)
        times.append(time)
        rows.append(row)
    if not followers:
        raise InputError(_unseen(known, seen, len(times), file))
    lost = np.full(2, np.nan)
    pixels = {dot.name: np.array([row.get(dot.name, lost) for row in rows]) for dot in known.dots}
    widths = {name: one.width for name, one in followers.items()}
    paints = {name: one.spot.paint for name, one in followers.items()}
    return Paths(np.array(times), pixels, widths, paints, clashes, lens, samples)


def _begin(
    found: dict[str, list[Spot]],
    known: Dots,
    at: Mapping[str, tuple[float, float]],
    lens: Lens,
    time: float,
    file: str,
) -> dict[str, Follower]:
    try:
        chosen = choose(found, known, at, first_plane(lens, known))
    except InputError as error:
        raise InputError(dataclasses.replace(issue, file=file) for issue in error.issues) from None
    return {dot.name: Follower(dot, chosen[dot.name], time, chosen[dot.name].at) for dot in known.dots}


def _unseen(known: Dots, seen: set[str], count: int, file: str) -> list[InputIssue]:
    """What is wrong where tracking could not begin."""
    never = [as_issues(dot, count, file) for dot in known.dots if dot.name not in seen]
    return never or [
        InputIssue(file, "dots", "no frame that shows all of them", "dots that are all seen at once")
    ]


def _step(
    followers: Mapping[str, Follower],
    time: float,
    step: float,
    image: Image,
    clashes: dict[tuple[str, str], int],
) -> dict[str, Points]:
    """Find every dot in the next frame, `step` later: the lost ones where those seen have carried them."""
    then = {name: one.place for name, one in followers.items()}
    found: dict[str, Spot] = {}
    for name, one in followers.items():
        spot = None if one.lost else one.look(image, one.place + one.speed * step, one.reach(step))
        if spot is not None:
            found[name] = spot
    gone = carried(then, then, {name: spot.at for name, spot in found.items()})
    blind = not found  # nothing to go by but their own speeds
    for name, one in followers.items():
        where = one.place + one.speed * step if blind else gone[name]
        spot = one.look(image, where, one.leave(time, step)) if one.lost else None
        if spot is not None:
            found[name] = spot
    for pair in _claimed_twice(found):
        clashes[pair] = clashes.get(pair, 0) + 1
        for name in pair:
            found.pop(name, None)
    now = {name: spot.at for name, spot in found.items()}
    for name in _strays(followers, then, now, time, step):
        del found[name], now[name]
    gone = carried(then, then, now)
    for name, one in followers.items():
        if name in found:
            one.found(found[name], time)
        else:
            one.place = gone[name] if now else one.place + one.speed * step
            one.lost = True
        one.note_rivals()
    return now


def _again(
    followers: Mapping[str, Follower],
    known: Dots,
    at: Mapping[str, tuple[float, float]],
    lens: Lens,
    time: float,
    image: Image,
) -> dict[str, Points]:
    """Find all dots again, of which none is seen, as at first sight; none unless all are clear."""
    if any(dot.start is not None for dot in known.dots):  # they are told apart by where they were only
        return {}
    found = candidates(image, known)
    try:
        chosen = choose(found, known, at, first_plane(lens, known)) if all(found.values()) else {}
    except InputError:
        return {}
    low, high = SIZES
    if not all(low <= spot.size / followers[name].spot.size <= high for name, spot in chosen.items()):
        return {}
    for name, spot in chosen.items():
        followers[name].found(spot, time)
    return {name: spot.at for name, spot in chosen.items()}


def _strays(
    followers: Mapping[str, Follower],
    then: Places,
    now: Places,
    time: float,
    step: float,
) -> list[str]:
    """Dots that have not gone with the others."""
    leave = {name: one.leave(time, step) for name, one in followers.items()}
    bodies = {name: one.dot.on for name, one in followers.items()}
    return odd_ones(then, now, leave, bodies, float(np.median([one.width for one in followers.values()])))


def _claimed_twice(found: Mapping[str, Spot]) -> list[tuple[str, str]]:
    """Pairs of dots that are taken to be in one place."""
    names = list(found)
    return [
        (a, b)
        for k, a in enumerate(names)
        for b in names[k + 1 :]
        if np.linalg.norm(found[a].at - found[b].at)
        < 0.5 * np.sqrt(min(found[a].size, found[b].size) / np.pi)
    ]
