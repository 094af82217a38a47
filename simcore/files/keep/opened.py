"""A scenario as it was read, and whether its files are still what they were then."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from simcore.errors import InputError, InputIssue
from simcore.files.reading import load_scenario
from simcore.files.scenario import Scenario

TRIES = 5  # readings of files that somebody is just writing


@dataclass(frozen=True)
class Opened:
    """A scenario as it was read, and by what its files are known.

    Attributes
    ----------
    scenario : with its variants
    digests : of the scenario's file, of that of its rig, and of those of rigs that it names
    """

    scenario: Scenario
    digests: Mapping[Path, str]

    def check_unchanged(self) -> None:
        """Refuse to go on from files that are not what was read any more.

        Raises
        ------
        InputError
            Naming them.
        """
        got, must_be = "another file than was read", "as it was: read it anew, then make the change again"
        issues = [
            InputIssue(str(path), "", got, must_be)
            for path, known in self.digests.items()
            if _digest(path) != known
        ]
        if issues:
            raise InputError(issues)


def opened(path: Path) -> Opened:
    """Read a scenario and remember what its files were; raises as `load_scenario`."""
    for _ in range(TRIES):
        before = _digest(path)
        scenario = load_scenario(path)
        named = (path.parent / name for name in scenario.rigs)
        files = dict.fromkeys((path, Path(scenario.rig_file), *named))
        found = Opened(scenario, {one: _digest(one) for one in files})
        if found.digests[path] == before:
            return found
    raise InputError([InputIssue(str(path), "", "a file that is being written", "left alone for a moment")])


def _digest(path: Path) -> str:
    """What a file is known by; empty if it cannot be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except (OSError, ValueError):
        return ""
