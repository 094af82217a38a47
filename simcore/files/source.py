"""Reads TOML text from a file, with an issue instead of an exception for everything that can go wrong."""

import tomllib
from importlib.metadata import PackageNotFoundError
from importlib.metadata import version as installed_version
from pathlib import Path
from typing import Any

from simcore.errors import InputError, InputIssue
from simcore.files.kinds import expect_rig
from simcore.files.syntax import long_key_issues, syntax_issues
from simcore.units import show

MOST_BYTES = 1_000_000


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file.

    Raises
    ------
    InputError
        If the file is missing, unreadable or no TOML; names lines.
    """
    try:
        if path.exists() and not path.is_file():
            raise InputError([InputIssue(str(path), "", "no regular file", "a TOML file")])
        if path.exists() and path.stat().st_size > MOST_BYTES:
            raise InputError(
                [InputIssue(str(path), "", f"{path.stat().st_size} bytes", f"at most {MOST_BYTES}")]
            )
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError([InputIssue(str(path), "", "no such file", "an existing file")]) from None
    except UnicodeDecodeError as error:
        got = "bytes that are no UTF-8 text"
        raise InputError([InputIssue(str(path), f"byte {error.start}", got, "a TOML file")]) from None
    except (OSError, ValueError) as error:
        got = getattr(error, "strerror", None) or "an unreadable file"
        raise InputError([InputIssue(str(path), "", got, "a readable file")]) from None
    long_keys = list(long_key_issues(text, str(path)))
    if long_keys:
        raise InputError(long_keys)
    try:
        return tomllib.loads(text)
    except ValueError:
        raise InputError(syntax_issues(text, str(path))) from None
    except RecursionError:
        got = "tables or lists nested too deep"
        raise InputError([InputIssue(str(path), "", got, "a TOML file")]) from None


def read_rig(named: str, scenario: Path) -> dict[str, Any]:
    """Read the rig file that a scenario names, relative to the scenario's own file.

    Raises
    ------
    InputError
        As `read_toml`, or if the file is a scenario.
    """
    if not named or not named.isprintable():
        raise InputError([InputIssue(str(scenario), "rig", show(named), "the path of a rig file")])
    path = scenario.parent / named
    table = read_toml(path)
    expect_rig(table, path)
    return table


def version() -> str:
    """Give the program's version."""
    try:
        return installed_version("simcore")
    except PackageNotFoundError:  # run from a copied folder
        return "unknown"
