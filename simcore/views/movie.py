"""A film file of some runs: their rigs from the side, one above the other, slower than they were."""

import io
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.animation import AbstractMovieWriter, FFMpegWriter
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from PIL import Image

from simcore.errors import InputError, InputIssue
from simcore.results.atomic_write import check_folder, write_all
from simcore.results.formatting import in_picture
from simcore.results.run import Run
from simcore.results.stages import Stage, Why
from simcore.rig.masses import SIDES
from simcore.views.page.key_frames import between_wheels, carried_chassis
from simcore.views.pictures.names import shortened
from simcore.views.pictures.rig_sketch import BODY, GROUND, STEEL, TYRE, Row, draw_sketch
from simcore.views.pictures.style import SKY, VERMILION, case_look, ink, styled
from simcore.views.sketch import Sketch, sketches_of

Points = npt.NDArray[np.float64]
Progress = Callable[[float, float], None]
RATE, DPI = 25, 80  # frames a second, dots per inch
WIDE, WORDS, AIR = 8.0, 0.32, 0.1  # inches: the film, a line of words over a lane, room between lanes
MOST_FRAMES = {".mp4": 3000, ".gif": 1500}  # times lanes for a GIF, whose frames all stand in memory
MOST_LANES, MOST_LETTERS = 6, 44
TICK, DEEP = 50.0, 5.0  # mm between ticks of the ground, and their length
SUFFIXES = (".gif", ".mp4")
BLUR = 8.0  # of 255, by which Pillow may miss a colour of a palette


def movie(runs: Mapping[str, Run], file: Path, slow: float = 4.0, progress: Progress | None = None) -> Path:
    """Write runs as a film, whole or not at all.

    Parameters
    ----------
    runs : by the names of their variants, at most `MOST_LANES`
    file : ends in .gif or .mp4
    slow : how many times slower than they were
    progress : called with frames done and frames in all

    Raises
    ------
    InputError
        When the file's name, its folder, the length or the number of runs cannot be; where a film in that
        format cannot be written on this machine.
    """
    end = max(float(run.series["time_s"].iloc[-1]) for run in runs.values())
    check_movie(file, list(runs), slow, end)
    times = np.minimum(np.arange(int(slow * end * RATE) + 2) / (RATE * slow), end)
    (written,) = write_all(file.parent, {file.name: lambda path: _film(runs, times, path, progress)})
    return written


def check_movie(file: Path, names: Sequence[str], slow: float, end: float) -> None:
    """Refuse what cannot be filmed, before any work is done.

    Parameters
    ----------
    file, slow : as in `movie`
    names : of the runs
    end : s, how long the longest of them is known to last; 0 where that is still open

    Raises
    ------
    InputError
        with all that is wrong.
    """
    issues, kind = [], file.suffix.lower()
    if kind not in SUFFIXES:
        issues.append(InputIssue("-o", "", f'"{file}"', f"a name that ends in {' or '.join(SUFFIXES)}"))
    elif kind == ".mp4" and not FFMpegWriter.isAvailable():
        must = "a name that ends in .gif, or ffmpeg installed (apt-get install ffmpeg)"
        issues.append(InputIssue("-o", "", f'"{file}" where no program ffmpeg is found', must))
    if len(names) > MOST_LANES:
        must = f"at most {MOST_LANES} of them, chosen with --variants"
        issues.append(InputIssue("--variants", "", f"{len(names)} runs", must))
    slowest = _slowest(kind, len(names), end)
    if not 0.0 < slow <= slowest or math.isinf(slow):
        must = "over 0"
        if end:
            must += f" and at most {math.floor(100.0 * slowest) / 100.0:g} for "
            fewer = f"{len(names)} runs of {end:.3g} s, or fewer of them (--variants)"
            must += fewer if len(names) > 1 else f"a run of {end:.3g} s"
        issues.append(InputIssue("--slow", "", f"{slow:g}", must))
    if issues:
        raise InputError(issues)
    check_folder(file.absolute().parent, [file.name])


def _slowest(kind: str, count: int, end: float) -> float:
    """How many times slower so many runs can be filmed."""
    most = MOST_FRAMES.get(kind, max(MOST_FRAMES.values())) // (count if kind == ".gif" else 1)
    return (most - 1) / RATE / end if end else math.inf


class _GifWriter(AbstractMovieWriter):
    """Frames as a GIF whose colours are those of its first frame, and what may come to the rig later.

    One palette for all finds the colours of a frame twenty times sooner than one a frame, and whatever does
    not move is the same in both, which a GIF need not repeat.
    """

    def setup(self, fig: Figure, outfile: Any, dpi: float | None = None) -> None:
        super().setup(fig, outfile, dpi)
        self.frames: list[Image.Image] = []

    def grab_frame(self, **_: Any) -> None:
        dots = io.BytesIO()
        self.fig.savefig(dots, format="rgba", dpi=self.dpi)
        seen = Image.frombytes("RGBA", self.frame_size, dots.getvalue()).convert("RGB")
        if not self.frames:
            self.palette = _palette(seen)
        self.frames.append(seen.quantize(palette=self.palette, dither=Image.Dither.NONE))

    def finish(self) -> None:
        if self.frames:
            how: dict[str, Any] = {"save_all": True, "duration": 1000 // self.fps, "loop": 0}
            self.frames[0].save(self.outfile, "gif", append_images=self.frames[1:], **how)


def _palette(first: Image.Image) -> Image.Image:
    """Colours of a first frame, those of large areas exactly, and ice and tyres in the air before them."""
    rgb = {
        colour: np.array(to_rgb(colour)) for colour in ("white", GROUND, TYRE, BODY, STEEL, VERMILION, SKY)
    }
    mixed = [
        share * rgb[colour] + (1.0 - share) * rgb[behind]
        for colour in (VERMILION, SKY)
        for behind in ("white", GROUND, TYRE)
        for share in (0.6, 0.3)
    ]
    known = np.rint(255.0 * np.array([*rgb.values(), *mixed]))
    found = first.quantize(256 - len(known), method=Image.Quantize.MEDIANCUT)
    others = np.array((found.getpalette() or [])[: 3 * (256 - len(known))], float).reshape(-1, 3)
    away = np.abs(others[:, np.newaxis] - known).max(axis=2)
    others = np.where(away.min(axis=1, keepdims=True) < BLUR, known[away.argmin(axis=1)], others)
    found.putpalette(np.concatenate([others, known]).astype(int).ravel().tolist())
    return found


# --- drawing ---


class Lane(NamedTuple):
    """A run as it is filmed.

    Attributes
    ----------
    name, colour, run : of the case
    rows : (n,) of the series, one a frame
    sketches : the rig at each frame
    middles : (n, 2) what it is drawn from: the middle between its wheels, mm as in the run's outline
    unmoved : (n, corners, 2) corners of the chassis had nothing moved, mm from there
    ticks : (m, 2, 2) of the ground, mm as in the run's outline
    """

    name: str
    colour: str
    run: Run
    rows: npt.NDArray[np.intp]
    sketches: Sequence[Sketch]
    middles: Points
    unmoved: Points
    ticks: Points


def _lane(name: str, run: Run, times: Points, k: int) -> Lane:
    own = run.series["time_s"].to_numpy(float)
    rows = np.clip(np.searchsorted(own, times - 1e-9), 0, len(own) - 1)
    colour = case_look(k)[0]
    different, which = np.unique(rows, return_inverse=True)
    sketches = sketches_of(run, [Stage(Why.START, int(row), 0.0, "") for row in different], colour=colour)
    return Lane(
        name,
        colour,
        run,
        rows,
        [sketches[k] for k in which],
        between_wheels(run, rows),
        carried_chassis(run, rows),
        _ticks(run),
    )


@styled
def _film(runs: Mapping[str, Run], times: Points, path: Path, progress: Progress | None) -> Figure:
    lanes = [_lane(name, run, times, k) for k, (name, run) in enumerate(runs.items())]
    row = _row(lanes)
    lane_high = (row.high - row.low) / row.scale + WORDS
    high = len(lanes) * lane_high + (len(lanes) - 1) * AIR
    figure = Figure(figsize=(WIDE, high), dpi=DPI)
    FigureCanvasAgg(figure)
    axes = [
        figure.add_axes((0.0, 1.0 - (k * (lane_high + AIR) + lane_high) / high, 1.0, lane_high / high))
        for k in range(len(lanes))
    ]
    for axis in axes:
        axis.set_axis_off()
    writer: AbstractMovieWriter = _GifWriter(RATE) if path.suffix.lower() == ".gif" else FFMpegWriter(RATE)
    with writer.saving(figure, str(path), DPI):
        for frame in range(len(times)):
            for axis, lane in zip(axes, lanes, strict=True):
                _draw(axis, lane, frame, row)
            writer.grab_frame()
            if progress is not None:
                progress(frame + 1, len(times))
    return figure


def _row(lanes: Sequence[Lane]) -> Row:
    """One scale and height for all frames of all lanes."""
    every = [sketch for lane in lanes for sketch in lane.sketches]
    low = min(float(sketch.corners[0][1]) for sketch in every)
    high = max(float(sketch.corners[1][1]) for sketch in every)
    aside = max(float(sketch.ground[-1, 0]) for sketch in every)
    return Row(every[:1], 2.0 * aside / WIDE, low, high)


def _draw(axis: Axes, lane: Lane, frame: int, row: Row) -> None:
    sketch, at = lane.sketches[frame], int(lane.rows[frame])
    aside = 0.5 * WIDE * row.scale
    for artist in (*axis.patches, *axis.lines, *axis.collections, *axis.texts):
        artist.remove()  # much faster than to clear the panel, whose axes would be made anew
    axis.set(xlim=(-aside, aside), ylim=(row.low, row.high + WORDS * row.scale))
    draw_sketch(axis, sketch, np.zeros(2), row)
    ticks = lane.ticks - lane.middles[frame]
    seen = ticks[np.abs(ticks[:, 0, 0]) < sketch.ground[-1, 0]]
    axis.add_collection(LineCollection(list(seen), colors=STEEL, linewidths=0.8, zorder=2.4))
    spokes = [
        np.array([hub, hub + radius * spoke])
        for (hub, radius, _), spoke in zip(sketch.wheels.values(), _spokes(lane.run, at), strict=True)
    ]
    axis.add_collection(LineCollection(spokes, colors=STEEL, linewidths=1.8, zorder=2.15))
    axis.add_artist(Polygon(lane.unmoved[frame], closed=True, fill=False, lw=1.2, ls=(0, (5, 3)), zorder=3.0))
    now = lane.run.series.iloc[at]
    pitch = in_picture("pitch_to_ground_deg", float(now["pitch_to_ground_deg"]))
    words = f"{now['time_s']:.2f} s, pitch {pitch}"
    top = row.high + 0.5 * WORDS * row.scale
    name, *_ = shortened([lane.name], MOST_LETTERS)
    bold: dict[str, Any] = {"color": ink(lane.colour), "fontweight": "bold", "fontsize": 13.0, "va": "center"}
    axis.text(-0.98 * aside, top, name, **bold)
    axis.text(0.98 * aside, top, words, ha="right", va="center", fontsize=13.0)


def _spokes(run: Run, row: int) -> Iterator[Points]:
    """Unit vectors along one spoke of each axle's wheels; they turn forward clockwise."""
    for axle in SIDES:
        turn = -math.radians(float(run.motion[f"{axle}_wheel_turn_deg"].iloc[row]))
        yield np.array([math.cos(turn), math.sin(turn)])


def _ticks(run: Run) -> Points:
    """Ticks of the ground every 50 mm along it, from below the middle between the wheels at the start."""
    corners = np.array(run.outline["ground"])
    ways = _ways(corners)
    zero = float(np.interp(between_wheels(run, [0])[0, 0], corners[:, 0], ways))
    found = []
    for way in zero + TICK * np.arange(-(zero // TICK), (ways[-1] - zero) // TICK + 1.0):
        k = min(max(int(np.searchsorted(ways, way, side="right")) - 1, 0), len(ways) - 2)
        along = (corners[k + 1] - corners[k]) / (ways[k + 1] - ways[k])
        at = corners[k] + (way - ways[k]) * along
        found.append([at, at + DEEP * np.array([along[1], -along[0]])])
    return np.array(found)


def _ways(corners: Points) -> Points:
    """Way along a surface to each of its corners."""
    steps = np.hypot(*np.diff(corners, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])
