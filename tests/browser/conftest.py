"""A browser for the tests of a file; without one they skip and say why.

For a file and no longer: while it is open its event loop runs in this thread, where another could not be
started.
"""

import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

PROGRAMS = ("chromium-headless-shell", "chromium", "chrome-headless-shell", "google-chrome")


@pytest.fixture(scope="module")
def browser() -> Iterator["Browser"]:
    """A browser without a screen, found on the machine."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    program = next((found for name in PROGRAMS if (found := shutil.which(name))), None)
    if program is None:
        pytest.skip(f"no browser: none of {', '.join(PROGRAMS)} is on the path")
    with api.sync_playwright() as play:
        try:
            started = play.chromium.launch(executable_path=program)
        except api.Error as error:
            pytest.skip(f"{program} does not start here: {str(error).splitlines()[0]}")
        yield started
        started.close()
