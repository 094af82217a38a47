"""Marks every test by the folder it stands in."""

from pathlib import Path

import pytest

FOLDERS = {"unit", "external", "behaviour", "robustness", "cli", "bench"}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        for folder in FOLDERS.intersection(Path(item.fspath).parts):
            item.add_marker(folder)
