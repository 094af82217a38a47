"""One dot on its way through the frames: where it is looked for, and what it is known by."""

import dataclasses

import numpy as np

from simcore.files.dots import Dot
from simcore.video.frames import Image
from simcore.video.plane import Points
from simcore.video.rivals import Rivals
from simcore.video.spots import Spot, Window, spots

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

    def reach(self, step: float) -> float:
        """How far from where its speed leads it may be in the next frame, pixels; `step` to there, s."""
        return REACH + 1.5 * self.width + 0.5 * float(np.linalg.norm(self.speed)) * step

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
