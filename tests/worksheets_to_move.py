"""A worksheet filled in from a shipped rig's own numbers, as if they had been read; the rest is guessed."""

import copy
from pathlib import Path
from typing import Any

from simcore.files.worksheet import Worksheet, worksheet_of

AHEAD = {"rear": 0.0, "front": 315.0}  # mm
RATE = {"rear": 0.07, "front": 0.10}  # N/mm of one spring
PRELOAD = {"rear": 3.0, "front": 4.6}  # N
FRICTION = 0.12  # N
G = 9.80665
LOADS = {"rear": 870.4, "front": 1131.6}  # g, of moments of all parts about the other axle


def weights(rate: float, friction: float, preload: float) -> dict[str, list[list[float]]]:
    """Rows of weights on a shock of a rate, N/mm, and friction and preload, N; it sticks both ways."""
    loads = [round(1e3 * (preload + rate * travel) / G) for travel in (6.0, 11.0, 16.0, 21.0)]
    return {
        "loading": [[m, round((m * G / 1e3 - preload - friction) / rate, 2)] for m in loads],
        "unloading": [[m, round((m * G / 1e3 - preload + friction) / rate, 2)] for m in loads[:-1]],
    }


def axle_table(name: str) -> dict[str, Any]:
    """One axle of a light rig of our own invention."""
    ahead, inboard = AHEAD[name], 1.0 if name == "rear" else -1.0

    def spot(x: float, z: float) -> list[float]:
        return [ahead + inboard * x, z]

    return {
        "tyre": {
            "diameter": 118,
            "squash": [[250, 2.2], [450, 4.0], [650, 5.8]],
            "wheel_mass": 150 if name == "rear" else 185,
            "slides_at": 46.4,
            "slides_on_at": 43.5,
            "rolls_at": "1.72 +- 0.2 deg",
        },
        "housing": {"mass": 205 if name == "rear" else 245, "size": [90, 50]},
        "lower_link": {"chassis": spot(118, 66), "axle": spot(12, 46), "mass": 13},
        "upper_link": {"chassis": spot(92, 92), "axle": spot(-4, 86), "mass": 11},
        "shock": {
            "chassis": spot(42, 158),
            "axle": spot(3, 70),
            "extended_length": 106,
            "stroke": 28,
            "mass": 17,
            **weights(RATE[name], FRICTION, PRELOAD[name]),
            "sink": {"weight": 40, "distance": 15, "time": "0.17 +- 0.02 s"},
        },
    }


def filled(**tables: Any) -> Worksheet:
    """The worksheet, with some of its tables replaced."""
    table: dict[str, Any] = {
        "worksheet": 1,
        "name": "As if measured",
        "wheelbase": 315,
        "scales": {**LOADS, "cg_height": "69 +- 3 mm"},
        "rear": axle_table("rear"),
        "front": axle_table("front"),
        "gears": {"ratio": 42, "rear_turns": 50, "front_turns": 53},
        "motor": {"kv": 1350, "voltage": 11.1, "rotor_inertia": 22},
        "parts": [{"name": "battery", "mass": 128, "at": [226, 84], "size": [72, 24]}],
        "skids": [{"at": [120, 62], "radius": 5}],
    }
    return worksheet_of(copy.deepcopy(table) | tables, Path("as_if_measured.toml"))
