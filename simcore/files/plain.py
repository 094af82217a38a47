"""Values as reading TOML gives them, whatever Python or NumPy value they came as."""

from collections.abc import Mapping
from typing import Any


def as_read(value: Any) -> Any:
    """Give a Python or NumPy value as reading TOML would give it, sharing nothing with it."""
    if hasattr(value, "tolist"):
        return value.tolist()
    if isinstance(value, list | tuple):
        return [as_read(one) for one in value]
    if isinstance(value, Mapping):
        return {key: as_read(one) for key, one in value.items()}
    return value
