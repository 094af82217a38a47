"""The commands at the workbench, as a user types them."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
import tomli_w
from jsonschema import Draft202012Validator
from worksheets_to_move import filled

from simcore.files.schema import written
from simcore.files.worksheet import Worksheet


@pytest.mark.parametrize("kind", ["rig", "scenario"])
def test_schema_is_printed_and_written_as_it_is_shipped(simcore, desk: Path, kind: str) -> None:
    shipped = (desk / "scenarios" / "schema" / f"{kind}.json").read_text(encoding="utf-8")
    printed = simcore("schema", kind)
    assert (printed.returncode, printed.stderr, printed.stdout) == (0, "", shipped)
    Draft202012Validator.check_schema(json.loads(printed.stdout))
    for _ in range(2):  # it replaces its own
        done = simcore("schema", kind, "--out", f"mine/schema/{kind}.json")
        assert (done.returncode, done.stdout) == (0, f"wrote mine/schema/{kind}.json\n")
        assert (desk / "mine" / "schema" / f"{kind}.json").read_text(encoding="utf-8") == shipped


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["rigg"], 'schema: got "rigg", must be one of rig, scenario, worksheet, dots (did you mean "rig"?)'),
        (
            ["rig", "--out", "scenarios/ledge.toml"],
            "scenarios/ledge.toml: --out: got a file that simcore schema has not written, "
            "must be a new file, or an older schema",
        ),
    ],
)
def test_schema_refuses_with_one_message(simcore, desk: Path, words: list[str], message: str) -> None:
    before = (desk / "scenarios" / "ledge.toml").read_bytes()
    done = simcore("schema", *words)
    assert (done.returncode, done.stdout, done.stderr) == (2, "", message + "\n")
    assert (desk / "scenarios" / "ledge.toml").read_bytes() == before


def test_schema_loads_no_heavy_library() -> None:
    code = (
        "import sys\n"
        "from simcore.cli import app\n"
        "try:\n"
        "    app(['schema', 'scenario'])\n"
        "except SystemExit as end:\n"
        "    assert not end.code\n"
        "heavy = {'numba', 'scipy', 'pandas', 'matplotlib', 'numpy', 'pint'} & set(sys.modules)\n"
        "sys.exit(f'loaded {heavy}' if heavy else 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


QUESTION = """
title = "What do the front tyres carry up 10 deg?"
rig = "rigs/gully.toml"
ground = { slope = 10 }
driver = { control = "torque", torque = [[0, 0]], brake = [[0, 100]] }
end = { duration = 0.002 }
conclusion = { shown = ["front_load_mean_N"] }
"""


@pytest.fixture
def asked(desk: Path) -> Path:
    """A desk with a worksheet that leaves little open, and a question of it."""
    (desk / "mine.toml").write_text(tomli_w.dumps(written(filled(), Worksheet)), encoding="utf-8")
    (desk / "scenarios" / "front.toml").write_text(QUESTION, encoding="utf-8")
    return desk


def test_measure_says_what_an_answer_hangs_on(simcore, asked: Path) -> None:
    done = simcore("measure", "mine.toml", "--for", "scenarios/front.toml")
    assert done.returncode == 0, done.stderr
    first, then = (
        done.stdout.index(text) for text in ("What is known of the rig?", "What do the front tyres")
    )
    assert first < then and "All of it together" in done.stdout
    found = re.search(r"(\d+) runs: (\d+) readings and guesses moved up, 1 case each", done.stderr)
    assert found is not None and 0 < int(found[1]) <= int(found[2]) + 1  # what changes no value is not run
    folder = asked / "plots" / "mine" / "measure" / "for_front"
    names = {"sensitivity.json", "matters.csv", "answer.csv", "matters.png", "runs.jsonl"}
    assert {path.name for path in folder.iterdir()} == names
    assert (asked / "plots" / "mine" / "measure" / "measurement.json").is_file()


def test_measure_refuses_a_question_before_anything_is_written(simcore, asked: Path) -> None:
    for name, message in (("nowhere.toml", "nowhere.toml"), ("mine.toml", "must be a scenario")):
        done = simcore("measure", "mine.toml", "--for", name)
        assert (done.returncode, done.stdout) == (2, "") and message in done.stderr
        assert "Traceback" not in done.stderr and not (asked / "plots").exists()
