"""Files of the pictures that a command writes, from the list that the program itself goes by."""

from pathlib import Path
from typing import Any

from simcore.files import load_scenario
from simcore.results.result import Result
from simcore.views.catalogue import pictures_for

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def pictures(kind: type[Result], scenario: str, settings: dict[str, Any] | None = None) -> set[str]:
    """File names of all pictures of a kind of result."""
    loaded = load_scenario(SCENARIOS / f"{scenario}.toml").changed(settings or {}, keep_variants=True)
    return {f"{one.name}.png" for one in pictures_for(kind, loaded)}
