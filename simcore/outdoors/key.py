"""The plan of a trial, and the sealed key that keeps it: packed against a glance, no secret."""

import base64
import dataclasses
import hashlib
import json
import textwrap
import tomllib
import zlib
from pathlib import Path
from typing import Any

import tomli_w

from simcore.errors import InputError, InputIssue
from simcore.files import Scenario
from simcore.files.check import check
from simcore.outdoors.measure import Measure
from simcore.outdoors.power import Expected, Size
from simcore.outdoors.schedule import PlannedRun
from simcore.results.plain import from_plain, to_plain

FORMAT = 1
LARGEST = 20_000_000  # bytes of what is packed in a key
NAME = 12  # letters of a trial's name
HEAD = """\
# SEALED KEY of trial {trial}: which code word is which set-up, and the plan.
# Leave it alone until the results are typed in. It is packed so that a glance does not tell; it is no secret,
# and whoever wants to know can know. Whoever marks the parts opens it:  simcore trial open {file}
# After the trial:  simcore trial score results.csv {file}
"""
DAMAGE = (
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
    IndexError,
    RecursionError,
    OverflowError,
    zlib.error,
)


@dataclasses.dataclass(frozen=True)
class Plan:
    """A trial as it was planned.

    Attributes
    ----------
    base, changed : names of the two set-ups, without and with the change
    words : their code words
    size : what is measured and expected, and what that takes
    drivers : who drives
    runs : in their order
    seed : that order and words were drawn from
    """

    base: str
    changed: str
    words: tuple[str, str]
    size: Size
    drivers: tuple[str, ...]
    runs: tuple[PlannedRun, ...]
    seed: int

    @property
    def measure(self) -> Measure:
        """What is measured."""
        return self.size.expected.measure

    @property
    def expected(self) -> Expected:
        """What is expected of the runs."""
        return self.size.expected

    @property
    def pairs(self) -> int:
        """How many pairs of runs."""
        return len(self.runs) // 2

    def word(self, run: PlannedRun) -> str:
        """Code word of the set-up of a run."""
        return self.words[run.changed]


@dataclasses.dataclass(frozen=True)
class Key:
    """A plan with its scenario, as it is sealed.

    Attributes
    ----------
    scenario : the question
    plan : of the trial
    """

    scenario: Scenario
    plan: Plan

    @property
    def packed(self) -> str:
        """Everything, packed."""
        form = {
            "format": FORMAT,
            "file": str(self.scenario.path),
            "scenario": self.scenario.table,
            "plan": to_plain(self.plan),
        }
        text = json.dumps(form, allow_nan=False, sort_keys=True).encode()
        return base64.b64encode(zlib.compress(text, 9)).decode()

    @property
    def trial(self) -> str:
        """Name of the trial: a digest of its key, by which key and results know each other."""
        return name_of(self.packed)

    def text(self, file: str) -> str:
        """The sealed key as a file."""
        lines = "\n".join(textwrap.wrap(self.packed, 100))
        table = tomli_w.dumps({"trial": self.trial, "sealed": f"{lines}\n"}, multiline_strings=True)
        return HEAD.format(trial=self.trial, file=file) + table


def name_of(packed: str) -> str:
    """Name of the trial of a packed key."""
    return hashlib.sha256(packed.encode()).hexdigest()[:NAME]


def read_key(path: Path) -> Key:
    """Open a sealed key.

    Raises
    ------
    InputError
        When it cannot be read, or is not as it was sealed.
    """
    must_be = "a key that simcore trial plan has written, as it was written"
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise InputError([InputIssue(str(path), "", "no such file", must_be)]) from None
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or "no text"
        raise InputError([InputIssue(str(path), "", reason, must_be)]) from error
    try:
        table = tomllib.loads(text)
        packed = "".join(table["sealed"].split())
        if name_of(packed) != table["trial"]:
            raise ValueError("altered after it was sealed")
        form = _unpacked(packed)
        if form["format"] != FORMAT:
            raise ValueError("from another version")
        scenario = check(Scenario, form["scenario"], str(path)).from_file(Path(form["file"]))
        return Key(scenario, from_plain(Plan, form["plan"]))
    except InputError:
        raise
    except DAMAGE as error:
        got = f"no key, or a damaged one ({' '.join(str(error).split())[:120]})"
        raise InputError([InputIssue(str(path), "", got, must_be)]) from error


def _unpacked(packed: str) -> dict[str, Any]:
    unpacking = zlib.decompressobj()
    text = unpacking.decompress(base64.b64decode(packed, validate=True), LARGEST)
    if not unpacking.eof:
        raise ValueError("more in it than a key holds")
    found: dict[str, Any] = json.loads(text)
    return found
