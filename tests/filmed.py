"""Films a run with a pin-hole camera: dots on chassis and axles, blur, noise; knows nothing of the
tracking."""

import dataclasses
import functools
import struct
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import cv2
import numpy as np

import simcore

ROOT = Path(__file__).parents[1]
FINE = 8  # sub-pixels a side, in which a dot is drawn
DIAMETER = 14.0  # mm
DOTS = {
    "tail": ("chassis", (80.0, 150.0), (20, 110, 250)),
    "nose": ("chassis", (270.0, 150.0), (220, 120, 20)),
    "rear hub": ("rear", (0.0, 59.0), (60, 190, 40)),
    "front hub": ("front", (315.0, 59.0), (190, 60, 240)),
}
"""Name to body, place on the rig in mm, colour as blue green red."""
WORDS = {"tail": "orange", "nose": "blue", "rear hub": "green", "front hub": "pink"}
SLOPE = 15.0


@functools.cache
def climb() -> simcore.Run:
    """A hard launch up 15 deg, of a shipped rig."""
    scenario = simcore.load_scenario(ROOT / "scenarios" / "punchy_launch.toml")
    return simcore.simulate(scenario.changed({"end.duration": 0.85, "output.rate": 1000}))


@dataclasses.dataclass(frozen=True)
class Camera:
    """A pin-hole camera beside the rig's way.

    Attributes
    ----------
    side : 1: nose to the right in its picture; -1: on the other side of the rig
    distance : from the plane of motion to what it looks at, mm
    focal : focal length, pixels
    turned, nodded, rolled : deg, about its own vertical, its own sideways axis, and its line of sight
    bent : first radial coefficient of the lens, as OpenCV counts it
    """

    side: int = 1
    size: tuple[int, int] = (960, 540)
    distance: float = 2000.0
    focal: float = 1500.0
    looks_at: tuple[float, float] = (330.0, 170.0)
    turned: float = 0.0
    nodded: float = 0.0
    rolled: float = 0.0
    bent: float = 0.0

    def pixels(self, places: Any) -> Any:
        """Pixels (k, 2) of places (k, 2) in the plane of motion, mm."""
        flat = np.array(places, float).reshape(-1, 2)
        world = np.column_stack([flat[:, 0], np.zeros(len(flat)), flat[:, 1]])
        s = self.side
        facing = np.array([[s, 0, 0], [0, 0, -1], [0, s, 0]], float)  # rows: right, down, into the picture
        turn = facing
        for axis, angle in (((1, 0, 0), self.nodded), ((0, 1, 0), self.turned), ((0, 0, 1), self.rolled)):
            turn = cv2.Rodrigues(np.radians(angle) * np.array(axis, float))[0] @ turn
        target = np.array([self.looks_at[0], 0.0, self.looks_at[1]])
        shift = np.array([0.0, 0.0, self.distance]) - turn @ target
        middle = [(side - 1) / 2 for side in self.size]
        inner = np.array([[self.focal, 0, middle[0]], [0, self.focal, middle[1]], [0, 0, 1.0]])
        bend = np.array([self.bent, 0.0, 0.0, 0.0])
        return cv2.projectPoints(world, cv2.Rodrigues(turn)[0], shift, inner, bend)[0].reshape(-1, 2)


def pose(body: str, time: float) -> tuple[Any, float]:
    """Centre of mass of a body, mm, and how far it has turned, rad."""
    run = climb()
    table = run.series if body == "chassis" else run.motion
    prefix = {"chassis": "chassis", "rear": "rear_axle", "front": "front_axle"}[body]
    turn = "pitch_deg" if body == "chassis" else f"{prefix}_turn_deg"
    x, z, angle = (
        np.interp(time, run.series["time_s"], table[name])
        for name in (f"{prefix}_x_mm", f"{prefix}_z_mm", turn)
    )
    return np.array([x, z]), float(np.radians(angle))


def on_rig(body: str, at: Sequence[float], time: float) -> Any:
    """Where a place on the rig is at a time, mm."""
    bench = climb().trace.model.bench  # type: ignore[union-attr]
    own = {"chassis": bench.chassis, "rear": bench.axles[0], "front": bench.axles[1]}[body]
    middle, angle = pose(body, time)
    x, z = np.array(at) - 1e3 * np.array([own.x, own.z])
    return middle + np.array([np.cos(angle) * x - np.sin(angle) * z, np.sin(angle) * x + np.cos(angle) * z])


def truth(times: Any) -> dict[str, Any]:
    """What a log of the run must say at some times of the run, counted from the first of them."""
    series = climb().series
    found = {
        name: np.interp(times, series["time_s"], series[column])
        for name, column in {
            "pitch_deg": "pitch_deg",
            "place_mm": "distance_mm",
            "speed_m_per_s": "speed_m_per_s",
        }.items()
    }
    found["place_mm"] -= found["place_mm"][0]
    for body, name in (("rear", "rear hub"), ("front", "front hub")):
        heights = []
        for time in times:
            middle, angle = pose("chassis", time)
            up = np.array([-np.sin(angle), np.cos(angle)])
            heights.append(up @ (on_rig(body, DOTS[name][1], time) - middle))
        found[f"{body}_rise_mm"] = np.array(heights) - heights[0]
    return found


@dataclasses.dataclass(frozen=True)
class Film:
    """How a run is filmed.

    Attributes
    ----------
    times : of the run, s, of each frame
    exposure : s, for which a frame is exposed
    noise : standard deviation on each colour of each pixel, of 255
    hidden : name of a dot to numbers of frames in which something stands before it
    others : places (mm) and colours of things that look like dots but stand still, and their diameters (mm)
    dots : as `DOTS`
    """

    camera: Camera = Camera()
    times: Any = dataclasses.field(default_factory=lambda: 0.1 + np.arange(42) / 60.0)
    exposure: float = 0.0
    noise: float = 2.0
    hidden: Mapping[str, Sequence[int]] = dataclasses.field(default_factory=dict)
    others: Sequence[tuple[tuple[float, float], tuple[int, int, int], float]] = ()
    dots: Mapping[str, Any] = dataclasses.field(default_factory=lambda: DOTS)

    def write(self, path: Path, codec: str = "MJPG", fps: float = 60.0) -> Path:
        """Write it as a video."""
        writer = cv2.VideoWriter(str(path), cv2.VideoWriter_fourcc(*codec), fps, self.camera.size)
        assert writer.isOpened(), "no such codec here"
        writer.set(cv2.VIDEOWRITER_PROP_QUALITY, 97)
        rng = np.random.default_rng(7)
        for number, time in enumerate(self.times):
            parts = max(1, round(self.exposure / 2e-3)) if self.exposure else 1
            shutter = np.linspace(-0.5, 0.5, parts) * self.exposure if parts > 1 else [0.0]
            image = sum(self._exposed(number, time + after) for after in shutter) / len(shutter)
            image += self.noise * rng.standard_normal(image.shape, np.float32)
            writer.write(np.clip(np.rint(image), 0, 255).astype(np.uint8))
        writer.release()
        return path

    def _exposed(self, number: int, time: float) -> Any:
        image = self._still.copy()
        self._fill(
            image, [on_rig("chassis", at, time) for at in ((20, 70), (300, 70), (285, 170), (40, 170))], 70
        )
        for body, at in (("rear", (0, 59)), ("front", (315, 59))):
            self._fill(image, _circle(on_rig(body, at, time), 118.0), 35)
        found = image.astype(np.float32)
        for name, (body, at, colour) in self.dots.items():
            if number not in self.hidden.get(name, ()):
                self._dot(found, on_rig(body, at, time), colour, DIAMETER)
        for at, colour, diameter in self.others:
            self._dot(found, at, colour, diameter)
        return found

    @functools.cached_property
    def _still(self) -> Any:
        """Wall with a pattern, and the slope."""
        width, height = self.camera.size
        across, down = np.meshgrid(np.arange(width), np.arange(height))
        wall = 165.0 + 12.0 * np.sin(across / 37.0) * np.cos(down / 23.0) + 15.0 * down / height
        image = np.repeat(wall[:, :, None], 3, axis=2).astype(np.uint8)
        rise = np.tan(np.radians(SLOPE))
        self._fill(
            image, [(-900, -900 * rise), (1900, 1900 * rise), (1900, -900), (-900, -900)], (88, 104, 118)
        )
        return image

    def _fill(self, image: Any, places: Any, shade: Any) -> None:
        colour = (shade,) * 3 if isinstance(shade, int) else shade
        corners = np.rint(self.camera.pixels(places) * 16).astype(np.int32)
        cv2.fillPoly(image, [corners], colour, cv2.LINE_AA, 4)

    def _dot(self, image: Any, at: Any, colour: Any, diameter: float) -> None:
        rim = self.camera.pixels(_circle(at, diameter))
        low = np.maximum(np.floor(rim.min(axis=0)).astype(int) - 1, 0)
        high = np.minimum(np.ceil(rim.max(axis=0)).astype(int) + 2, self.camera.size)
        if np.any(high <= low):
            return
        fine = np.zeros(((high - low)[1] * FINE, (high - low)[0] * FINE), np.uint8)
        inner = np.rint(((rim - low + 0.5) * FINE - 0.5) * 256).astype(np.int32)
        cv2.fillPoly(fine, [inner], 255, cv2.LINE_8, 8)
        cover = (
            cv2.resize(fine, tuple(int(x) for x in high - low), interpolation=cv2.INTER_AREA)[:, :, None]
            / 255.0
        )
        part = image[low[1] : high[1], low[0] : high[0]]
        part[:] = (1.0 - cover) * part + cover * np.array(colour, float)


def _circle(middle: Any, diameter: float) -> Any:
    turn = np.linspace(0.0, 2.0 * np.pi, 72, endpoint=False)
    return np.asarray(middle) + 0.5 * diameter * np.column_stack([np.cos(turn), np.sin(turn)])


def dots_file(**more: Any) -> dict[str, Any]:
    """What a dots file says of `DOTS`, and more."""
    dots = [
        {"name": name, "on": body, "colour": WORDS[name], "at": list(at)}
        for name, (body, at, _) in DOTS.items()
    ]
    return {"dots": dots, **more}


def retimed(path: Path, ticks: Sequence[int]) -> None:
    """Give the frames of a QuickTime file uneven durations, in its own ticks: rewrites its table `stts`.

    Source: ISO/IEC 14496-12, 8.6.1.2 (from memory); the file's index must lie behind its pictures.
    """
    data = path.read_bytes()
    assert data.index(b"moov") > data.index(b"mdat")
    at = data.rindex(b"stts") - 4
    (size,) = struct.unpack(">I", data[at : at + 4])
    table = b"".join(struct.pack(">II", 1, tick) for tick in ticks)
    box = struct.pack(">I4sII", 16 + len(table), b"stts", 0, len(ticks)) + table
    grown = len(box) - size
    out = bytearray(data[:at] + box + data[at + size :])
    for name in (b"moov", b"trak", b"mdia", b"minf", b"stbl"):
        place = out.index(name, data.index(b"moov") - 4) - 4
        (old,) = struct.unpack(">I", out[place : place + 4])
        out[place : place + 4] = struct.pack(">I", old + grown)
    path.write_bytes(bytes(out))
