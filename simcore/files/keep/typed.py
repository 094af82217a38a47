"""The line that repeats a change: what to type to run a case of a scenario with some settings."""

import shlex
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

import tomlkit

from simcore.errors import InputError, InputIssue
from simcore.files.relative import parted
from simcore.files.scenario import Scenario
from simcore.files.settings import parse_setting
from simcore.units import show


def command(scenario: Scenario, case: str, settings: Mapping[str, Any]) -> str:
    """Line that runs a case of a scenario with some settings, as a shell takes it.

    Raises
    ------
    InputError
        If the case is none, or a setting is one that nobody can type.
    """
    scenario.edits_of(case)
    words = ["simcore", "run", str(scenario.path)]
    if case in scenario.variants:
        words += ["--variant", case]
    for path, value in settings.items():
        words += ["--set", _typed(path, value)]
    return shlex.join(words)


def _typed(path: str, value: Any) -> str:
    """A setting as it is typed; text in quotes only where it would be taken for something else."""
    bare, operator = parted(path)
    for text in (str(value), _toml(value)):
        with suppress(InputError):
            typed = f"{bare}{operator or '='}{text}"
            key, read = parse_setting(typed)
            if parted(key) == (bare, operator) and read == value and type(read) is type(value):
                return typed
    raise InputError([InputIssue("setting", path, show(value), "a value that can be typed")])


def _toml(value: Any) -> str:
    try:
        return tomlkit.item(value).as_string()
    except (TypeError, ValueError):
        return ""
