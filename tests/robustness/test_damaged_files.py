"""Damaged files of every kind are read or refused in the usual form; nothing else ever comes out."""

import os
import random
import re
import shutil
import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest
from damage import READERS, damaged, refused_well

import simcore
from simcore.files import with_axes
from simcore.studies.sweep import sweep

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"
COUNTS = {
    "rig": 1200,
    "scenario": 100,
    "worksheet": 900,
    "dots": 600,
    "log": 1100,
    "runs": 850,
    "result": 250,
}
MORE = {"stand": 2000, **{kind: 10 * count for kind, count in COUNTS.items()}}
SEED = 0 if os.environ.get("CI") else random.randrange(10**6)
LOGS = (
    b"time_s,pitch_deg,rear_travel_mm\n"
    + b"".join(b"%.2f,%.3f,5\n" % (0.01 * k, 0.3 * k) for k in range(40)),
    b"# channel nose = pitch\nTime [ms];nose [rad]\n"
    + b"".join(b"%d;0,%d\n" % (10 * k, k) for k in range(40)),
)


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the rigs that scenarios name, a kept sweep and a saved run."""
    folder = tmp_path_factory.mktemp("damaged")
    shutil.copytree(SCENARIOS / "rigs", folder / "rigs")
    creep = simcore.load_scenario(SCENARIOS / "slow_creep.toml")
    short = creep.changed({"end.duration": 0.05, "output.rate": 50})
    simcore.simulate(short).save(folder)
    sweep(with_axes(short, {"driveline.overdrive": [0, 5]}), folder)
    return folder


@pytest.fixture
def good(desk: Path) -> dict[str, tuple[str, list[bytes]]]:
    """Kind of file to its name and sound examples."""
    reference = (SCENARIOS / "README.md").read_text(encoding="utf-8").split("## The dots file")[1]
    dots = re.findall(r"```toml\n(.*?)```", reference, re.DOTALL)[0].encode()
    scenarios = [path.read_bytes() for path in sorted(SCENARIOS.glob("*.toml"))]
    return {
        "rig": ("damaged.toml", [path.read_bytes() for path in sorted(SCENARIOS.glob("rigs/*.toml"))]),
        "scenario": ("damaged.toml", scenarios),
        "stand": ("damaged.toml", scenarios),
        "worksheet": ("damaged.toml", [(SCENARIOS / "worksheets" / "tarn.toml").read_bytes()]),
        "dots": ("damaged.toml", [dots]),
        "log": ("damaged.csv", list(LOGS)),
        "runs": ("runs.jsonl", [(desk / "runs.jsonl").read_bytes()]),
        "result": ("run.json", [(desk / "run.json").read_bytes()]),
    }


@pytest.fixture(autouse=True)
def _at_the_desk(desk: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.chdir(desk)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        kept = {name: (desk / name).read_bytes() for name in ("runs.jsonl", "run.json")}
        yield
        for name, text in kept.items():
            (desk / name).write_bytes(text)


def damage(good: dict[str, tuple[str, list[bytes]]], kind: str, count: int, seed: int) -> None:
    dice, refused = random.Random(seed), 0
    name, texts = good[kind]
    for k in range(count):
        text = damaged(dice.choice(texts), dice)
        Path(name).write_bytes(text)
        try:
            refused += refused_well(READERS[kind], Path(name))
        except Exception as error:
            error.add_note(f"seed {seed}, file {k}: {text!r}")
            raise
    assert kind == "runs" or count / 20 < refused < count  # rows are passed over, not refused


@pytest.mark.parametrize("kind", COUNTS)
def test_damaged_files_are_read_or_refused(good: dict[str, tuple[str, list[bytes]]], kind: str) -> None:
    damage(good, kind, COUNTS[kind], SEED)


@pytest.mark.thorough
@pytest.mark.parametrize("seed", range(1, 5))
@pytest.mark.parametrize("kind", MORE)
def test_many_damaged_files(good: dict[str, tuple[str, list[bytes]]], kind: str, seed: int) -> None:
    damage(good, kind, MORE[kind], seed)
