"""Things in the background that look like a dot: remembered by their places, so that none is taken for it."""

from collections.abc import Iterable

import numpy as np

from simcore.video.plane import Points

STILL = 0.2  # of a dot's width, within which a thing is still in its place
OFTEN = 3  # frames in which it was seen there
NEAR = 0.5  # of a dot's width, within which nobody can tell a dot from it


class Rivals:
    """What was seen beside a dot and has not moved, by its place in the picture; the camera stands still."""

    def __init__(self) -> None:
        self._places: list[Points] = []
        self._seen: list[int] = []

    def note(self, places: Iterable[Points], width: float) -> None:
        """Note where things of the dot's colour were that were not the dot, in one frame.

        Parameters
        ----------
        places : (2,) each, pixels
        width : of the dot, pixels
        """
        for place in places:
            known = [k for k, one in enumerate(self._places) if np.linalg.norm(one - place) < STILL * width]
            if known:
                self._seen[known[0]] += 1
            else:
                self._places.append(place)
                self._seen.append(1)

    def is_one(self, place: Points, width: float) -> bool:
        """Whether something may be what stands there, rather than the dot."""
        return any(
            seen >= OFTEN and np.linalg.norm(one - place) < NEAR * width
            for one, seen in zip(self._places, self._seen, strict=True)
        )
