"""The commands at the workbench, as a user types them."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator


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
        (["rigg"], 'schema: got "rigg", must be one of rig, scenario (did you mean "rig"?)'),
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
