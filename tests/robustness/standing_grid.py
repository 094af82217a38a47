"""Standing starts over a grid of slopes and rigs, held against what statics alone says of them.

`python tests/robustness/standing_grid.py` settles the whole grid and counts the starts judged wrongly.
"""

import argparse
import collections
import copy
import dataclasses
import math
import random
import re
import sys
import time
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from simcore.errors import InputError
from simcore.files import scenario_of
from simcore.rig.model import build
from simcore.solve.settle import settle

sys.path.insert(0, str(Path(__file__).parents[1] / "external"))  # pytest puts only a test's own folder there
from standing_bound import SIDES, Bound, Raw, Stances, bound, lower_mount, stances

FOLDER = Path(__file__).parents[2] / "scenarios" / "rigs"
SHIPPED = {
    path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.toml"))
}
SLOPES = range(-60, 66, 2)  # deg
SOFT = [{"rate": 0.03}]  # N/mm: without preload it gives way to the rubber
WORDS = {
    "slides": "slides",
    "tips over": "tips over",
    "drag brake": "brake slips",
}
QUOTED = re.compile(r"\bneeds? (?P<need>[\d.]+\d).*?\b(?:have|has|holds?|gives?|is|are) (?P<there>[\d.]+\d)")


def _short(rig: Raw) -> None:
    for side in SIDES:
        shock = rig[side]["shock"]
        shock["stroke"] = 12.0
        shock["extended_length"] = math.dist(shock["chassis"], lower_mount(rig[side])) + 6.0


def _grippy(rig: Raw) -> None:
    rig["front"]["shock"]["springs"] = []
    for side in SIDES:
        rig[side]["tyre"] |= {"peak_grip": 3.0, "sliding_grip": 2.7, "slip_stiffness": 30.0}


def _sprung(*ends: str, springs: Iterable[Raw] = ()) -> Any:
    def change(rig: Raw) -> None:
        for side in ends:
            rig[side]["shock"]["springs"] = copy.deepcopy(list(springs))

    return change


VARIANTS = {
    "as built": lambda rig: None,
    "no front springs": _sprung("front"),
    "no rear springs": _sprung("rear"),
    "no springs": _sprung(*SIDES),
    "soft front": _sprung("front", springs=SOFT),
    "soft rear": _sprung("rear", springs=SOFT),
    "soft both": _sprung(*SIDES, springs=SOFT),
    "grip 3, no front springs": _grippy,
    "short stroke": _short,
}


def shipped(name: str, variant: str) -> Raw:
    """Raw table of a shipped rig with one change."""
    rig = copy.deepcopy(SHIPPED[name])
    VARIANTS[variant](rig)
    return rig


def _on_arm(axle: Raw) -> None:
    """Locate an axle by an arm instead of its links, its shock on the housing."""
    shock = axle["shock"]
    shock["axle"] = lower_mount(axle)
    shock.pop("link", None), shock.pop("fraction", None)
    axle["arm"] = {"chassis": axle["lower_link"]["chassis"], "mass": axle["lower_link"]["mass"]}
    del axle["lower_link"], axle["upper_link"]


def _near(raw: Any, dice: random.Random) -> Any:
    """Every number times 1 +- 15 %, every place moved by +- 2 mm."""
    if isinstance(raw, dict):
        return {key: _near(value, dice) for key, value in raw.items()}
    if isinstance(raw, list) and all(isinstance(value, dict) for value in raw):
        return [_near(value, dice) for value in raw]
    if isinstance(raw, list):
        return [value + dice.uniform(-2.0, 2.0) for value in raw]
    if isinstance(raw, bool | str):
        return raw
    return raw * dice.uniform(0.85, 1.15)


def _springs(dice: random.Random) -> list[Raw]:
    """Springs that hold the rig, soft or firm ones that do not, or none; at times one that pulls."""
    rate = 10 ** dice.uniform(-1.7, 0.0)
    held, loose = [{"rate": rate, "hold_ride_height": True}], [{"rate": rate}]
    pull = [{"rate": 0.1, "push": False, "preload": dice.uniform(0.1, 2.0)}]
    return dice.choice([held, held, loose, []]) + dice.choice([pull, []])


def random_rig(number: int) -> Raw:
    """A rig near the shipped ones by its number: any drive, arms, weak brakes, sticky shocks, any springs.

    Drawn by plain dice: what Hypothesis draws depends on the constants of all loaded modules, so that a
    change elsewhere would change the rigs.
    """
    dice = random.Random(number)
    base = SHIPPED[dice.choice(sorted(SHIPPED))]
    rig = _near(base, dice) | {"wheelbase": base["wheelbase"] + dice.uniform(-2.0, 2.0)}
    rig["driveline"] |= {
        "drive": dice.choice(["all", "all", "rear", "front"]),
        "overdrive": dice.uniform(-10, 30),
    }
    if dice.random() < 0.4:
        rig["motor"] |= {"brake_torque": dice.uniform(0.0, 15.0), "no_load_current": dice.uniform(0.0, 1.0)}
    if dice.random() < 0.4:
        rig["chassis"]["mass"] *= 0.5
    grip = {"peak_grip": 2.5, "sliding_grip": 2.25, "slip_stiffness": 30.0} if dice.random() < 0.4 else {}
    for side in SIDES:
        shock, tyre = rig[side]["shock"], rig[side]["tyre"]
        rig[side]["tyre"] = tyre | {"sliding_grip": 0.9 * tyre["peak_grip"]} | grip
        shock["friction"] = {"breakaway": dice.uniform(0.0, 3.0)}
        shock["springs"] = _springs(dice)
        if dice.random() < 0.3:
            _on_arm(rig[side])
        shock["extended_length"] = (
            math.dist(shock["chassis"], lower_mount(rig[side])) + dice.uniform(0.3, 0.7) * shock["stroke"]
        )
    return rig


@dataclasses.dataclass(frozen=True)
class Start:
    """One standing start: what the program said, how long it took (s), and what is wrong with that."""

    rig: str
    slope: float
    said: str
    took: float
    bound: Bound
    wrong: str

    @property
    def refused(self) -> bool:
        return bool(self.said)

    def __str__(self) -> str:
        return f"{self.rig} at {self.slope:g} deg: {self.wrong} (said: {self.said or 'stands'})"


def scenario(rig: Raw, slope: float, **keys: Any) -> Any:
    """A braked rig that waits on a plane."""
    driver = {"control": "torque", "torque": [[0, 0]], "brake": [[0, 100]]}
    ground = {"slope": slope}
    return scenario_of({"title": "t", "rig": rig, "ground": ground, "driver": driver} | keys, "drawn.toml")


def reasons(said: str) -> set[str]:
    """Reasons that a refusal gives."""
    return {reason for words, reason in WORDS.items() if words in said}


def wrong_with(said: str, stated: Bound) -> str:
    """Name what is wrong with an answer; empty if nothing is."""
    if not said:
        return "accepted what cannot stand" if stated.cannot else ""
    if stated.stands:
        return "refused what stands"
    if not reasons(said) <= stated.possible:
        return "false reason"
    quoted = QUOTED.search(said)
    if quoted and float(quoted["need"]) <= float(quoted["there"]):
        return "needs no more than there is"
    return "no reason" if stated.cannot and not reasons(said) else ""


def start(name: str, rig: Raw, slope: float, body: Stances | None) -> Start:
    """Settle a rig on a slope and judge the answer.

    Raises
    ------
    InputError
        when the rig cannot be built.
    """
    asked = scenario(rig, slope)
    model, since, said = build(asked), time.perf_counter(), ""
    try:
        settle(asked, model)
    except InputError as refusal:
        said = "; ".join(f"{fault.got}, must be {fault.must_be}" for fault in refusal.issues)
    took, stated = time.perf_counter() - since, bound(rig, slope, 1.0, body)
    return Start(name, slope, said, took, stated, wrong_with(said, stated))


def starts(name: str, rig: Raw, slopes: Iterable[float]) -> Iterator[Start]:
    """Standing starts of one rig; none if it cannot be built."""
    body = stances(rig)
    try:
        for slope in slopes:
            yield start(name, rig, slope, body)
    except InputError:
        return


def telling_slopes(rig: Raw) -> list[float]:
    """Each way the steepest standable slope, half of it, and the least steep impossible one."""
    body = stances(rig)
    if body is None:
        return []
    chosen = []
    for way in (-1, 1):
        said = {slope: bound(rig, way * slope, 1.0, body) for slope in range(0, 66, 2)}
        standing = [slope for slope in said if said[slope].stands]
        steepest = max(standing, default=0)
        chosen += [way * slope for slope in [steepest, steepest // 4 * 2] if said[slope].stands]
        chosen += [way * slope for slope in said if said[slope].cannot][:1]
    return sorted(set(map(float, chosen)))


def whole_grid(randoms: int, slopes: Iterable[float]) -> Iterator[Start]:
    """Every shipped rig in every variant, then random ones, on all slopes."""
    for name in SHIPPED:
        for variant in VARIANTS:
            yield from starts(f"{name}, {variant}", shipped(name, variant), slopes)
    for i in range(randoms):
        yield from starts(f"random {i}", random_rig(i), slopes)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--random", type=int, default=100, help="how many random rigs")
    parser.add_argument("--step", type=int, default=2, help="between the slopes, deg")
    asked = parser.parse_args()
    found, told = collections.Counter(), collections.Counter()
    slowest: list[Start] = []
    for one in whole_grid(asked.random, SLOPES[:: asked.step // 2]):
        claim = "stands" if one.bound.stands else "cannot stand" if one.bound.cannot else "no claim"
        told[claim, "refused" if one.refused else "accepted"] += 1
        if one.wrong:
            found[one.wrong] += 1
            print(one, flush=True)
        if one.refused:
            slowest = sorted([*slowest, one], key=lambda x: -x.took)[:5]
    print("starts:", dict(told))
    print("wrong:", dict(found) or "none")
    for one in slowest:
        print(f"refused after {one.took:.2f} s: {one.rig} at {one.slope:g} deg")


if __name__ == "__main__":
    main()
