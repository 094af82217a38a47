"""Check picture of a tracked video: dots ringed in some frames, with their paths, and when each was lost."""

import math
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke
from scipy.optimize import linear_sum_assignment

from simcore.errors import InputError, InputIssue
from simcore.video.frames import Image, frames
from simcore.video.tracked import Track
from simcore.views.pictures.layout import headed
from simcore.views.pictures.style import COLOURS, QUIET, SMALL, WIDTH, ink, length, styled

LEFT, RIGHT = 0.03, 0.97  # edges of the frames, shares of the width
BESIDE = 0.04  # between two frames, share of the width
ABOVE = 0.62  # inches over each frame, for names and time
STRIP = 0.32  # inches, of a dot's row in the lower panel
AROUND = 0.12  # of the span of all paths, that is kept of the picture around them
RING = 1.6  # widths of a dot
MOST = 4


@styled
def draw_track(track: Track) -> Figure:
    """Draw the check picture of a tracked video."""
    numbers = _shown(track)
    columns = min(2, len(numbers))
    rows = math.ceil(len(numbers) / columns)
    cut = _cut(track)
    wide = WIDTH * (RIGHT - LEFT - BESIDE * (columns - 1)) / columns
    tall = min(wide * (cut[3] - cut[1]) / (cut[2] - cut[0]), 0.8 * WIDTH)
    strips = STRIP * len(track.paths.pixels)
    height = rows * (tall + ABOVE) + 0.25 + strips
    figure, head = headed(height, _answer(track), _conditions(track))
    total = figure.get_figheight()
    for k, number in enumerate(numbers):
        row, column = divmod(k, columns)
        left = LEFT + column * (wide / WIDTH + BESIDE)
        bottom = 1.0 - (head + (row + 1) * (tall + ABOVE)) / total
        axis = figure.add_axes((left, bottom, wide / WIDTH, tall / total))
        _frame(axis, track, number, cut)
        _names(axis, track, number, wide, tall)
    axis = figure.add_axes((0.2, 0.6 / total, RIGHT - 0.2, strips / total))
    _strips(axis, track)
    return figure


def _answer(track: Track) -> str:
    gone = {name: share for name, share in track.lost_pct.items() if share > 0.0}
    count = len(track.log)
    if not gone:
        return f"All {len(track.lost_pct)} dots are followed through all {count} frames"
    said = ", ".join(f"{name} is lost in {share:.0f} %" for name, share in gone.items())
    return f"{said[0].upper()}{said[1:]} of {count} frames" + (
        "; the other dots in none" if len(gone) < len(track.lost_pct) else ""
    )


def _conditions(track: Track) -> str:
    view = track.view
    turned = abs(np.degrees(view.roll))
    level = f"level from {view.level_from}" if view.level_from else "no level"
    level += f", picture turned by {turned:.1f} deg" if turned > 0.05 else ""
    return (
        f"Is each ring on its dot, and each path its dot's own? {track.video.name}: "
        f"nose to the {view.drives}, scale from {view.scale_from}, {level}"
    )


def _shown(track: Track) -> list[int]:
    """Numbers of the frames to show: evenly apart, one of them with something lost if such a one was kept."""
    kept = sorted(track.paths.samples.images)
    chosen = sorted({kept[round(x)] for x in np.linspace(0, len(kept) - 1, min(MOST, len(kept)))})
    lost = [k for k in kept if any(np.isnan(path[k, 0]) for path in track.paths.pixels.values())]
    if lost and not set(lost) & set(chosen) and len(chosen) > 2:
        chosen[1 + int(lost[0] > chosen[1])] = lost[len(lost) // 2]
    return sorted(set(chosen))


def _cut(track: Track) -> tuple[float, float, float, float]:
    """Part of the picture around all paths: left, top, right, bottom, pixels of the film."""
    every = np.concatenate(list(track.paths.pixels.values()))
    every = every[np.isfinite(every[:, 0])]
    low, high = every.min(axis=0), every.max(axis=0)
    room = AROUND * float(np.max(high - low)) + 4.0 * max(track.paths.widths.values())
    size = np.array(track.paths.lens.size, float)
    (left, top), (right, bottom) = np.maximum(low - room, 0.0), np.minimum(high + room, size)
    return float(left), float(top), float(right), float(bottom)


def _colours(track: Track) -> list[str]:
    """Colour of each dot's ring: of those that everybody tells apart the one most like the dot's own."""
    own = np.array([track.paths.paints[name][::-1] / 255.0 for name in track.paths.pixels])
    ours = np.array([to_rgb(colour) for colour in COLOURS * math.ceil(len(own) / len(COLOURS))])
    apart = np.linalg.norm(own[:, None] - ours[None], axis=2)
    _, taken = linear_sum_assignment(apart)
    return [COLOURS[k % len(COLOURS)] for k in taken]


def _frame(axis: Axes, track: Track, number: int, cut: tuple[float, float, float, float]) -> None:
    """One frame with rings and the paths up to it."""
    _photograph(axis, track.paths.samples.images[number], track.paths.samples.shrunk)
    for (name, path), colour in zip(track.paths.pixels.items(), _colours(track), strict=True):
        halo = [withStroke(linewidth=3.2, foreground="white")]
        radius = 0.5 * RING * track.paths.widths[name]
        before = path[: number + 1].copy()
        for other in track.paths.pixels.values():  # every dot stays bare
            before[np.linalg.norm(before - other[number], axis=1) < radius] = np.nan
        axis.plot(*before.T, color=colour, lw=1.4, path_effects=halo)
        turn = np.linspace(0.0, 2.0 * np.pi, 60)
        ring = radius * np.array([np.cos(turn), np.sin(turn)])
        axis.plot(
            path[number, 0] + ring[0], path[number, 1] + ring[1], color=colour, lw=1.8, path_effects=halo
        )
    axis.set_xlim(cut[0], cut[2])
    axis.set_ylim(cut[3], cut[1])
    axis.set_axis_off()


def _photograph(axis: Axes, image: Image, shrunk: float) -> None:
    """A picture of the film in the film's own pixels."""
    rows, columns = image.shape[:2]
    edges = (-0.5, columns / shrunk - 0.5, rows / shrunk - 0.5, -0.5)
    axis.imshow(image[:, :, ::-1], extent=edges, interpolation="bilinear", aspect="auto")
    axis.grid(False)


def _names(axis: Axes, track: Track, number: int, wide: float, tall: float) -> None:
    """Time and names over a frame, each name with a line to its ring; lost ones say so."""
    top = 1.0 + 0.09 / tall
    axis.text(
        0.0, 1.0 + 0.36 / tall, f"{track.paths.times[number]:.2f} s", transform=axis.transAxes, color=QUIET
    )
    named = []
    for (name, path), colour in zip(track.paths.pixels.items(), _colours(track), strict=True):
        there = bool(np.isfinite(path[number, 0]))
        before = path[: number + 1][np.isfinite(path[: number + 1, 0])]
        x = path[number, 0] if there else before[-1, 0] if len(before) else axis.get_xlim()[0]
        named.append((float(x), name if there else f"{name}: lost", colour, path[number] if there else None))
    named.sort(key=lambda one: one[0])
    sizes = [length(one[1], SMALL) + 0.12 for one in named]
    places = _spread([wide * _share(axis, one[0]) for one in named], sizes, wide)
    for (_, text, colour, at), place in zip(named, places, strict=True):
        axis.text(
            place / wide,
            top,
            text,
            transform=axis.transAxes,
            fontsize=SMALL,
            color=ink(colour),
            ha="center",
            va="bottom",
        )
        if at is not None:
            arrow = {"arrowstyle": "-", "color": colour, "lw": 1.0, "shrinkA": 0, "shrinkB": 0}
            arrow["path_effects"] = [withStroke(linewidth=2.4, foreground="white")]
            rim = at[1] - 0.5 * RING * track.paths.widths[text]
            start = (place / wide, 1.0 + 0.07 / tall)
            axis.annotate("", (at[0], rim), start, textcoords="axes fraction", arrowprops=arrow)


def _share(axis: Axes, x: float) -> float:
    left, right = axis.get_xlim()
    return (x - left) / (right - left)


def _spread(wanted: list[float], sizes: list[float], wide: float) -> list[float]:
    """Middles of names near where they are wanted, none over another, inches; in their order."""
    places, edge = [], 0.0
    for want, size in zip(wanted, sizes, strict=True):
        places.append(max(want, edge + 0.5 * size))
        edge = places[-1] + 0.5 * size
    edge = wide
    for k in range(len(places) - 1, -1, -1):
        places[k] = min(places[k], edge - 0.5 * sizes[k])
        edge = places[k] - 0.5 * sizes[k]
    return places


def _strips(axis: Axes, track: Track) -> None:
    """When each dot was seen."""
    times = track.paths.times
    edges = np.concatenate([[times[0]], 0.5 * (times[1:] + times[:-1]), [times[-1]]])
    for row, (path, colour) in enumerate(zip(track.paths.pixels.values(), _colours(track), strict=True)):
        seen = np.isfinite(path[:, 0])
        pieces = [(edges[k], edges[k + 1] - edges[k]) for k in np.flatnonzero(seen)]
        axis.broken_barh(pieces, (row - 0.3, 0.6), facecolor=colour, edgecolor="none")
    axis.set_yticks(range(len(track.paths.pixels)), list(track.paths.pixels), fontsize=SMALL)
    axis.set_ylim(len(track.paths.pixels) - 0.5, -0.5)
    axis.set_xlim(edges[0], edges[-1])
    axis.grid(False)
    axis.set_xlabel("time, s (bars: seen; gaps: lost)")


@styled
def draw_still(video: Path, time: float, fps: float | None) -> Figure:
    """Draw one frame of a video with a scale of its pixels.

    Parameters
    ----------
    time : s since the first frame
    fps : as for `simcore.video.frames.frames`
    """
    frame = next((one for one in frames(video, fps) if one.time >= time), None)
    if frame is None:
        raise InputError([InputIssue("--still", "", f"{time:g} s", "a time within the video")])
    rows, columns = frame.image.shape[:2]
    wide = 0.88 * WIDTH
    figure, _ = headed(
        wide * rows / columns + 0.1,
        f"Pixels of the frame at {frame.time:.2f} s, [right, down]",
        f"For `start`, `corners` and `line` of a dots file: {video.name}, {columns} by {rows} pixels",
    )
    total = figure.get_figheight()
    axis = figure.add_axes((0.1, 0.65 / total, wide / WIDTH, wide * rows / columns / total))
    _photograph(axis, frame.image, 1.0)
    axis.minorticks_on()
    axis.set_xlabel("pixels to the right")
    axis.set_ylabel("pixels down")
    return figure
