"""Absurd commands, places and files: exit code 2, one message in the usual form, nothing written."""

import os
import shutil
import sys
from pathlib import Path

import pytest

from simcore.__main__ import main

SCENARIOS = Path(__file__).parents[2] / "scenarios"
RUN, SWEEP, LIMIT = ("run", "creep.toml"), ("sweep", "creep.toml"), ("limit", "creep.toml")
SETTINGS = {  # PATH=VALUE: of ground, rig, driver, times; wrong types, units, signs and sizes
    *(
        "ground.slope=nan",
        "ground.slope=inf",
        "ground.slope=-inf",
        "ground.slope=1e400",
        "ground.slope=steep",
    ),
    *("ground.slope=25 kg", "ground.slope=", "ground.slope", "=25", "", "ground=25", "ground.slope.x=1"),
    *(
        "ground..slope=1",
        ".=1",
        "ground.slope=[1,2]",
        "ground.slope={}",
        "ground.slope=true",
        "ground.grip=-5",
    ),
    *("end.duration=0", "end.duration=-1", "end.duration=1e9", "output.rate=0", "output.rate=1e9"),
    *(
        "chassis.mass=-1",
        "chassis.mass=0",
        "rig.chassis.mass=nan",
        "rear.tyre.radius=0",
        "rear.tyre.radius=1e9",
    ),
    *("rear.shock.stroke=-3", "rear.shock.springs.0.rate=nan", "rear.shock.springs.99.rate=1"),
    *("rear.shock.springs.-1.rate=1", "parts.nothing.mass+=1", "parts.battery.mass*=nan", "wheelbase=0"),
    *("wheelbase=-300", "driver.control=fast", "driver.torque=5", "rig=nowhere.toml", "rig=creep.toml"),
    *(
        "title=1",
        "variants=5",
        "ground.slope=25 \N{NO-BREAK SPACE}kg",
        "ground.sl\N{CYRILLIC SMALL LETTER O}pe=5",
    ),
    *(
        "ground.slope=\N{MINUS SIGN}5 \N{DEGREE SIGN}C",
        "ground.slope=9**9**9",
        "ground.slope=__import__('os')",
    ),
    *(
        "schema=2",
        "ground.pieces=[5]",
        "ground.pieces.0.length=5",
        "tolerance=0",
        "tolerance=1",
        "tolerance=nan",
    ),
}
AXES = {
    *(
        "",
        "=",
        "ground.slope",
        "ground.slope=",
        "ground.slope=1:2",
        "ground.slope=1:2:0",
        "ground.slope=0:1:-1",
    ),
    *("ground.slope=0:1e9:1", "ground.slope=0:1:1e-9", "ground.slope=nan:1:1", "ground.slope=0:inf:1"),
    *("ground.slope=1:2:3:4", "ground.slope=a:b:c", "ground.slope=1,1", "ground.slope=,,", "no.such=1,2"),
    *("case=a,b", "title.x=a,b", "ground.slope=1e400,2", "ground.slope=0:30:1e-300"),
}
SOUGHT = {
    *("", "=", "no.such", "title", "ground.slope=5", "ground.slope=30:0:1", "ground.slope=0:30:0"),
    *("ground.slope=0:1e9:1", "ground.slope=nan:1:1", "driver.control", "ground.slope=0:30:-1"),
}
WORDS = [
    *((*RUN, "--set", text) for text in sorted(SETTINGS)),
    *((*SWEEP, "--vary", text) for text in sorted(AXES)),
    *((*LIMIT, "--find", text) for text in sorted(SOUGHT)),
    *(
        (command, place)
        for command in ("run", "compare", "sweep", "limit", "inspect", "measure", "show")
        for place in (
            *(
                "",
                ".",
                "nowhere",
                "nowhere/x.toml",
                "rigs",
                "empty",
                "zeros",
                "picture.png",
                "latin",
                "deep",
                "long",
            ),
            *("loop", "dangling", "pipe", "/dev/null", "x" * 300, "twice"),
        )
    ),
    ("gallery", "nowhere"),
    ("gallery", "creep.toml"),
    ("gallery", "empty"),
    ("gallery", "badly"),
    ("movie", "nowhere"),
    ("movie", "empty"),
    ("movie", "creep.toml", "--variants", ""),
    ("movie", "creep.toml", "--slow", "x"),
    ("movie", "creep.toml", "-o", ""),
    ("movie", "creep.toml", "-o", "creep.toml"),
    ("movie", "creep.toml", "-o", "creep.toml/x.gif"),
    ("walk",),
    ("--walk",),
    ("run",),
    (*RUN, "--variant", ""),
    (*RUN, "--variant", "none"),
    (*RUN, "--workers", "2"),
    (*SWEEP, "--workers", "0"),
    (*SWEEP, "--workers", "-1"),
    (*SWEEP, "--workers", "x"),
    (*RUN, "--format", ""),
    (*RUN, "--format", "png,,"),
    (*RUN, "--style", ""),
    (*RUN, "--out", "creep.toml"),
    (*RUN, "--out", "loop"),
    (*RUN, "--out", "dangling"),
    (*RUN, "--out", "creep.toml/in"),
    (*RUN, "--out", ""),
    (*LIMIT, "--distance", "nan"),
    (*LIMIT, "--distance", "0"),
    (*LIMIT, "--distance", "-5"),
    (*LIMIT, "--distance", "inf"),
    (*LIMIT, "--front-up", "nan"),
    (*LIMIT, "--front-up", "-1"),
    ("new", ""),
    ("new", "creep.toml"),
    ("new", "x" * 300),
    ("new", "."),
    ("new", ".."),
    ("schema", ""),
    ("schema", "rig", "--out", "rigs"),
    ("schema", "rig", "--out", "creep.toml"),
    ("inspect", "rigs/gully.toml", "--slope", "nan"),
    ("inspect", "rigs/gully.toml", "--slope", "90"),
    ("fit", "creep.toml", "nowhere.csv"),
    ("fit", "creep.toml", "creep.toml"),
    ("fit", "creep.toml", "zeros"),
    ("fit", "creep.toml", "empty"),
    ("fit", "creep.toml", "pipe"),
    ("fit", "creep.toml", "rigs"),
]


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a sound scenario, and with much that is none."""
    folder = tmp_path_factory.mktemp("odd")
    shutil.copytree(SCENARIOS / "rigs", folder / "rigs")
    shutil.copy(SCENARIOS / "slow_creep.toml", folder / "creep.toml")
    files = {
        "empty": b"",
        "zeros": bytes(100_000),
        "picture.png": b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 9,
        "latin": 'title = "schräg"\n'.encode("latin-1"),
        "deep": b"a = " + b"[" * 100_000,
        "long": b'title = "' + b"x" * 5_000_000 + b'"\n',
        "twice": b'title = "a"\ntitle = "b"\n',
    }
    for name, text in files.items():
        (folder / name).write_bytes(text)
    (folder / "loop").symlink_to("loop")
    (folder / "dangling").symlink_to("nowhere")
    (folder / "badly").mkdir()
    (folder / "badly" / "a.toml").write_bytes(b"\xff")
    if hasattr(os, "mkfifo"):
        os.mkfifo(folder / "pipe")
    return folder


def test_there_are_many() -> None:
    assert len(set(WORDS)) == len(WORDS) > 200


@pytest.mark.parametrize("words", WORDS, ids=lambda words: " ".join(words)[:60])
def test_odd_words_are_refused(
    words: tuple[str, ...], desk: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(desk)
    monkeypatch.setattr(sys, "argv", ["simcore", *words])
    before = sorted(desk.rglob("*"))
    with pytest.raises(SystemExit) as ended:
        main()
    said = capsys.readouterr()
    assert ended.value.code == 2, said
    assert "Traceback" not in said.err and "wrote" not in said.out
    assert "must be" in said.err or said.err.startswith("Usage: ") or said.out.startswith("Usage: "), said.err
    assert len(said.err.splitlines()) < 12 and len(said.err) < 4000
    assert sorted(desk.rglob("*")) == before
