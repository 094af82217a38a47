"""Shipped rigs as scenarios to build from."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

RIGS = Path(__file__).parents[2] / "scenarios" / "rigs"


@pytest.fixture
def shipped() -> Callable[[str], dict[str, Any]]:
    """Raw scenario around a shipped rig: level ground, hands off."""

    def raw(name: str) -> dict[str, Any]:
        rig = tomllib.loads((RIGS / f"{name}.toml").read_text(encoding="utf-8"))
        return {"title": "unit", "rig": rig, "driver": {"control": "torque", "torque": [[0, 0]]}}

    return raw
