"""Marks every test by the folder it stands in; random inputs are new ones here, the same ones in CI."""

import os
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "here")

FOLDERS = {"unit", "external", "behaviour", "robustness", "cli", "bench"}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        for folder in FOLDERS.intersection(Path(item.fspath).parts):
            item.add_marker(folder)
