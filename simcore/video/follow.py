"""Follows dots from frame to frame: each near where it must be by now, as large as it was; else lost."""

import dataclasses
from collections.abc import Iterable, Mapping

import numpy as np
import numpy.typing as npt

from simcore.errors import InputError, InputIssue
from simcore.files.dots import Dot, Dots
from simcore.video.first_sight import as_issues, candidates, choose
from simcore.video.frames import Frame, Image
from simcore.video.plane import Lens, Points, first_plane
from simcore.video.rivals import Rivals
from simcore.video.samples import Samples
from simcore.video.spots import Spot, Window, spots
from simcore.video.together import Places, carried, odd_ones

LEARNING = 8  # frames in which a dot's size and colour are learnt
SIZES, AT_FIRST = (0.8, 1.25), (0.5, 2.0)  # of the size known by now; what is smaller is half hidden
SLOWLY = 0.05  # share by which size and colour follow those of a frame
REACH = 12.0  # pixels around where a dot must be, besides its own size and its speed
WIDE = 2.5  # times as far is looked for what else there is
LEAVE = 1.25  # widths by which a dot may stray from the others from frame to frame; nearer spots are one
LOOSER, LOOSEST = 10.0, 3.0  # widths that this grows by in each second that a dot is lost, and at most


@dataclasses.dataclass
class Follower:
    """One dot on its way through the frames.

    Attributes
    ----------
    spot : as it was last seen, with the size and colour learnt by now
    place : (2,) where it was in the frame before: seen, or as the others have carried it since
    rivals : what stands still in the background and looks like it
    beside : (2,) each, all that looks like it in the frame at hand
    """

    dot: Dot
    spot: Spot
    time: float
    place: Points
    speed: Points = dataclasses.field(default_factory=lambda: np.zeros(2))
    learnt: int = 1
    lost: bool = False
    rivals: Rivals = dataclasses.field(default_factory=Rivals)
    beside: list[Points] = dataclasses.field(default_factory=list)

    @property
    def width(self) -> float:
        """Diameter of the dot, pixels."""
        return float(2.0 * np.sqrt(self.spot.size / np.pi))

    def leave(self, time: float, step: float) -> float:
        """How far it may be from where the others have carried it, pixels; `step` from frame to frame, s."""
        return self.width * min(LEAVE + LOOSER * max(time - self.time - step, 0.0), LOOSEST)

    def look(self, image: Image, where: Points, reach: float) -> Spot | None:
        """The dot in a frame, if it is within `reach` of `where` (2,) and not half hidden."""
        window = Window.around(where, WIDE * reach + self.width, image)
        paint = None if self.learnt < LEARNING else self.spot.paint
        seen = spots(image, self.dot, window, paint)
        self.beside = [spot.at for spot in seen]
        low, high = AT_FIRST if self.learnt < LEARNING else SIZES
        near = [
            (float(np.linalg.norm(spot.at - where)), k, spot)
            for k, spot in enumerate(seen)
            if low <= spot.size / self.spot.size <= high and not self.rivals.is_one(spot.at, self.width)
        ]
        best = min(near, default=None)
        return best[2] if best is not None and best[0] <= reach else None

    def note_rivals(self) -> None:
        """Remember what was seen beside the dot, once it is known where that is."""
        self.rivals.note(
            (at for at in self.beside if np.linalg.norm(at - self.place) > LEAVE * self.width), self.width
        )

    def found(self, spot: Spot, time: float) -> None:
        """Take a spot for the dot."""
        share = 1.0 / (self.learnt + 1) if self.learnt < LEARNING else SLOWLY
        size = (1.0 - share) * self.spot.size + share * spot.size
        paint = (1.0 - share) * self.spot.paint + share * spot.paint
        self.speed = (spot.at - self.spot.at) / (time - self.time)
        self.spot = dataclasses.replace(spot, size=size, paint=paint)
        self.time, self.place, self.lost, self.learnt = time, spot.at, False, self.learnt + 1


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
        reach = REACH + 1.5 * one.width + 0.5 * float(np.linalg.norm(one.speed)) * step
        spot = None if one.lost else one.look(image, one.place + one.speed * step, reach)
        if spot is not None:
            found[name] = spot
    gone = carried(then, then, {name: spot.at for name, spot in found.items()})
    for name, one in followers.items():
        blind = not found  # nothing to go by but its own speed
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
