"""The live page served beside the browser: in a thread, with whatever bench answers, or by the command."""

import asyncio
import os
import re
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from queue import Queue
from typing import TYPE_CHECKING

from opening import listened

from simcore.views.live.address import Address
from simcore.views.live.conversation import Bench
from simcore.views.live.server import listening, served

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

KEY = "k" * 40
ROOT = Path(__file__).parents[2]


@contextmanager
def serving(open_bench: Callable[[], Bench]) -> Iterator[str]:
    """Serve it until the block ends; gives its address."""
    said: Queue[Address] = Queue()
    place, over, loops = listening(None), asyncio.Event(), []

    async def serve() -> None:
        loops.append(asyncio.get_running_loop())
        await served(place, KEY, open_bench, said.put, over)

    thread = threading.Thread(target=lambda: asyncio.run(serve()))
    thread.start()
    try:
        yield said.get(timeout=10.0).page
    finally:
        loops[0].call_soon_threadsafe(over.set)
        thread.join(10.0)


@contextmanager
def commanded(scenario: Path, port: int, state: Path) -> Iterator[str]:
    """Serve it by the command, in a process of its own, until that is killed."""
    words = [sys.executable, "-m", "simcore", "live", str(scenario), "--port", str(port), "--no-browser"]
    environment = os.environ | {"PYTHONPATH": str(ROOT), "XDG_STATE_HOME": str(state)}
    with subprocess.Popen(
        words, env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        try:
            found = re.search(r"http://\S+", process.stdout.readline())
            assert found
            yield found.group()
        finally:
            process.kill()


@contextmanager
def shown(browser: "Browser", address: str, **screen: object) -> Iterator["Page"]:
    """The page with its first answer; what it says on the console must be nothing."""
    with listened(browser, **screen) as (page, said):
        page.goto(address)
        page.locator("body[data-shown]").wait_for()
        yield page
    assert [text for text in said if "WebSocket connection" not in text] == []  # that it was lost, on purpose
