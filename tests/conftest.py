"""Marks every test by the folder it stands in; random inputs are new ones here, the same ones in CI."""

import os
from collections.abc import Iterator
from pathlib import Path

import figures
import pytest
from hypothesis import settings
from witnesses import FOLDERS as OUTSIDE
from witnesses import PAGE, Book, Noted, kept, page, watch

settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "here")

FOLDERS = {"unit", "external", "behaviour", "robustness", "cli", "browser", "bench"}
BOOK = Book()
SPEEDS: dict[str, dict[str, object]] = {}


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--write-witnesses", action="store_true", help="write tests/README.md from this run")
    parser.addoption("--write-figures", action="store_true", help="write tests/bench/README.md from this run")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        for folder in FOLDERS.intersection(Path(item.fspath).parts):
            item.add_marker(folder)


@pytest.fixture(autouse=True)
def _witnesses(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Note the comparisons of outside checks when their table is to be written."""
    path = Path(request.node.path)
    if request.config.getoption("--write-witnesses") and path.parent.name in OUTSIDE:
        noted = BOOK.tests.setdefault((path, request.node.originalname), Noted())
        watch(monkeypatch, noted)
    yield


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    """Note what a benchmark has measured, under the words of its name."""
    outcome = yield
    measured = getattr(item, "funcargs", {}).get("benchmark")
    if measured is not None:
        words = item.name.removeprefix("test_").replace("_", " ").replace("[", ": ").rstrip("]")
        SPEEDS[words] = dict(measured.extra_info)
    return outcome


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    if session.config.getoption("--write-witnesses") and exitstatus == pytest.ExitCode.OK:
        below = kept(PAGE.read_text(encoding="utf-8"))
        PAGE.write_text(page(BOOK) + below, encoding="utf-8")
    if session.config.getoption("--write-figures"):
        figures.write(SPEEDS)
