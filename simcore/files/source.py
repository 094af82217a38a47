"""Reads TOML text from a file, with an issue instead of an exception for everything that can go wrong."""

import re
import tomllib
from importlib.metadata import PackageNotFoundError
from importlib.metadata import version as installed_version
from pathlib import Path
from typing import Any

from simcore.errors import InputError, InputIssue
from simcore.units import show

MOST_BYTES = 1_000_000
_AT = re.compile(r"\s*\(at (line \d+, column \d+|end of document)\)$")


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file.

    Raises
    ------
    InputError
        If the file is missing, unreadable or no TOML; names line and column.
    """
    try:
        if path.exists() and not path.is_file():
            raise InputError([InputIssue(str(path), "", "no regular file", "a TOML file")])
        if path.exists() and path.stat().st_size > MOST_BYTES:
            raise InputError(
                [InputIssue(str(path), "", f"{path.stat().st_size} bytes", f"at most {MOST_BYTES}")]
            )
        return tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except FileNotFoundError:
        issue = InputIssue(str(path), "", "no such file", "an existing file")
    except (OSError, ValueError) as error:
        issue = _unreadable(path, error)
    except RecursionError:
        issue = InputIssue(str(path), "", "tables or lists nested too deep", "a TOML file")
    raise InputError([issue])


def read_rig(named: str, scenario: Path) -> dict[str, Any]:
    """Read the rig file that a scenario names, relative to the scenario's own file.

    Raises
    ------
    InputError
        As `read_toml`.
    """
    if not named or not named.isprintable():
        raise InputError([InputIssue(str(scenario), "rig", show(named), "the path of a rig file")])
    return read_toml(scenario.parent / named)


def _unreadable(path: Path, error: OSError | ValueError) -> InputIssue:
    if isinstance(error, OSError):
        return InputIssue(str(path), "", error.strerror or "an unreadable file", "a readable file")
    if isinstance(error, UnicodeDecodeError):
        return InputIssue(str(path), f"byte {error.start}", "bytes that are no UTF-8 text", "a TOML file")
    message = "".join(c if c.isprintable() else "?" for c in str(error))
    at = _AT.search(message)
    place = at[1] if at else ""
    what = _AT.sub("", message)
    return InputIssue(str(path), place, what[:1].lower() + what[1:], "valid TOML")


def version() -> str:
    """Give the program's version."""
    try:
        return installed_version("simcore")
    except PackageNotFoundError:  # run from a copied folder
        return "unknown"
