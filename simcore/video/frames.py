"""Frames of a video file with their times."""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from simcore.errors import InputError, InputIssue
from simcore.video.opencv import opencv

Image = npt.NDArray[np.uint8]
VIDEO = "a video that OpenCV can read (mp4, mov, avi, mkv), with 2 frames or more"


class Frame(NamedTuple):
    """One frame: time since the first one, s, and picture (rows, columns, 3), blue green red."""

    time: float
    image: Image


def missing_file(video: Path) -> Iterator[InputIssue]:
    """Give the issue of a video that is not there."""
    if not video.is_file():
        yield InputIssue(str(video), "", "no such file" if not video.exists() else "no regular file", VIDEO)


def frames(video: str | Path, fps: float | None = None) -> Iterator[Frame]:
    """Frames of a video one after the other, turned as the phone was held.

    Parameters
    ----------
    video : the file
    fps : 1/s, frames per second as filmed; None: the times that the file has for each frame

    Raises
    ------
    InputError
        When there is no such file, it is no video or an empty one, or its times do not rise.
    """
    path = Path(video)
    missing = list(missing_file(path))
    if missing:
        raise InputError(missing)
    cv2 = opencv()
    capture = cv2.VideoCapture(str(path))
    try:
        if not capture.isOpened():
            got = "an empty file" if path.stat().st_size == 0 else "a file of another kind, or damaged"
            raise InputError([InputIssue(str(path), "", got, VIDEO)])
        yield from _read(capture, cv2.CAP_PROP_POS_MSEC, path, fps)
    finally:
        capture.release()


def _read(capture: "object", clock: int, path: Path, fps: float | None) -> Iterator[Frame]:
    first = last = 0.0
    count = 0
    while True:
        there, image = capture.read()  # type: ignore[attr-defined]
        if not there:
            break
        time = count / fps if fps else 1e-3 * capture.get(clock)  # type: ignore[attr-defined]
        first = time if count == 0 else first
        if count and time <= last:
            got = f"frames {count} and {count + 1} both at {time:.3f} s, or the second one earlier"
            raise InputError([InputIssue(str(path), "", got, "times that rise, or --fps as it was filmed")])
        last = time
        yield Frame(time - first, image)
        count += 1
    if count < 2:
        raise InputError([InputIssue(str(path), "", f"a video of {count} frames that can be read", VIDEO)])
