"""A bench without a rig: it answers in the form of the real one, by sums that a test can do in its head."""

import time
from typing import Any

from simcore.errors import InputError, InputIssue

CASES = ["base", "steeper"]
LAND = {"ground": [[-900.0, 0.0], [900.0, 0.0]], "ice": []}
MOUNT = ["rear.upper_link.chassis.0", "rear.upper_link.chassis.1"]
AT = [92.0, 92.0]


def knob(path: str, label: str, **other: Any) -> dict[str, Any]:
    own = {"path": path, "label": label, "group": "Ground", "kind": "number", "unit": "deg", "low": 0.0}
    own |= {"high": 40.0, "step": 0.5, "value": 15.0, "choices": [], "often": True, "says": "how steep it is"}
    return own | other


KNOBS = [
    knob("ground.slope", "slope"),
    knob("driver.control", "throttle by", kind="choice", value="speed", choices=["speed", "torque"], unit=""),
    knob("without_support", "without support", kind="switch", value=False, unit=""),
    knob(
        "rear.tyre.radius",
        "rear tyre radius",
        group="Rear tyre",
        often=False,
        unit="mm",
        high=80.0,
        value=59.0,
    ),
]


def drawing(set_: dict[str, Any]) -> dict[str, Any]:
    upper = [set_.get(path, value) for path, value in zip(MOUNT, AT, strict=True)]
    still = {"at": [0.0, 0.0], "turn": 0.0, "bench": [0.0, 0.0]}
    rear = {"name": "rear", "arm": False, "hub": [0.0, 59.0], "radius": 59.0, "contact": [0.0, 0.0]}
    rear |= {
        "links": [[[118.0, 66.0], [12.0, 46.0]], [upper, [-4.0, 86.0]]],
        "shock": [[42.0, 158.0], [3.0, 70.0]],
    }
    rear |= {"centre": [400.0, 100.0], "along": [0.97, 0.24]}
    front = {"name": "front", "arm": True, "hub": [315.0, 59.0], "radius": 59.0, "contact": [315.0, 0.0]}
    front |= {"links": [[[200.0, 80.0], [315.0, 59.0]]], "shock": [[273.0, 158.0], [312.0, 70.0]]}
    front |= {"centre": None, "along": [-1.0, 0.0]}
    return {
        "time_s": 0.0,
        "words": "at the start",
        "frames": {"chassis": still, "rear_axle": still, "front_axle": still},
        "body": [[30.0, 60.0], [290.0, 60.0], [270.0, 160.0], [40.0, 160.0]],
        "axles": [rear, front],
        "skids": [[120.0, 62.0, 3.0]],
        "parts": [],
        "cg": [160.0, 70.0],
    }


class FakeBench:
    """Pitch is the slope plus the height of the upper link's mount; the front load falls with it."""

    def __init__(self, wait: float = 0.0) -> None:
        self.wait = wait
        self.heard: list[tuple[str, Any]] = []
        self.stopped = 0

    def hello(self, case: str) -> dict[str, Any]:
        case = case or CASES[0]
        handles = [
            {"id": "rear upper", "label": "rear upper link, chassis end", "kind": "link", "paths": MOUNT}
        ]
        handles[0] |= {"at": AT, "body": "chassis"}
        return {
            "type": "hello",
            "title": "Which <b>one</b>?",
            "file": "fake.toml",
            "cases": CASES,
            "case": case,
            "knobs": KNOBS,
            "handles": handles,
            "base": self.answer(0, case, {}),
            "version": "1",
        }

    def answer(self, n: int, case: str, set_: dict[str, Any]) -> dict[str, Any]:
        pitch = (
            set_.get("ground.slope", 15.0) + set_.get(MOUNT[1], AT[1]) + 10.0 * CASES.index(case or CASES[0])
        )
        times = [0.01 * k for k in range(101)]
        lines = {"time_s": times, "pitch_to_ground_deg": [pitch * t for t in times]}
        lines["front_load_g"] = [700.0 - t * pitch if t < 0.9 else None for t in times]
        lines |= {name: times for name in ("rear_travel_mm", "front_travel_mm", "speed_m_per_s")}
        metric = {"key": "pitch_end_deg", "label": "pitch at the end", "value": pitch, "unit": "deg"}
        return {
            "type": "first",
            "n": n,
            "case": case,
            "ms": {"build": 1.0, "run": 1.0, "all": 2.0},
            "lines": lines,
            "side": {"start": drawing(set_), "decisive": None} | LAND,
            "metrics": [metric | {"text": f"{pitch:.1f} deg", "was": "107.0 deg" if set_ else None}],
            "verdict": "It gets there.",
            "state": "DONE",
            "state_words": "done",
        }

    def first(self, asked: Any, stop: Any) -> dict[str, Any] | None:
        self.heard.append(("first", asked))
        until = time.monotonic() + self.wait
        while time.monotonic() < until:
            if stop():
                self.stopped += 1
                return None
            time.sleep(0.001)
        slope = asked.set.get("ground.slope", 15.0)
        if slope > 40.0:
            issue = InputIssue("fake.toml", "ground.slope", f"{slope:g} deg", "at most 40 deg")
            fault = {"path": issue.key, "got": issue.got, "must_be": issue.must_be, "text": str(issue)}
            return {"type": "fault", "n": asked.n, "faults": [fault]}
        if slope == 39.0:
            raise RuntimeError("a fault of the program")
        return self.answer(asked.n, asked.case or CASES[0], asked.set)

    def second(self, asked: Any, stop: Any) -> dict[str, Any] | None:
        self.heard.append(("second", asked))
        return {
            "type": "second",
            "n": asked.n,
            "headline": "It gets there.",
            "concerns": [],
            **{
                key: self.answer(asked.n, asked.case, asked.set)[key]
                for key in ("metrics", "state", "state_words", "lines", "side")
            },
            "charts": [],
            "account": "Forces and energy add up.",
            "audit": "self-check passed",
            "bands": {"rear": [{"from_s": 0.0, "to_s": 1.0, "code": "SEEN", "words": "moves the shock"}]},
            "film": None,
        }

    def save_variant(self, asked: Any) -> dict[str, Any]:
        self.heard.append(("save_variant", asked))
        if asked.name in CASES:
            raise InputError(
                [InputIssue("fake.toml", f'variants."{asked.name}"', "a name that is taken", "a new name")]
            )
        return {
            "type": "saved",
            "file": "fake.toml",
            "variant": asked.name,
            "text": f"Saved as {asked.name}.",
        }

    def save_rig(self, asked: Any) -> dict[str, Any]:
        self.heard.append(("save_rig", asked))
        return {"type": "saved", "file": asked.file, "variant": "", "text": f"Saved as {asked.file}."}

    def command(self, asked: Any) -> dict[str, Any]:
        return {"type": "command", "text": "simcore run fake.toml"}
