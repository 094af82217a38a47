"""The live page served beside the browser: in a thread of the test, with whatever bench answers."""

import asyncio
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from queue import Queue
from typing import TYPE_CHECKING

from simcore.views.live.address import Address
from simcore.views.live.conversation import Bench
from simcore.views.live.server import listening, served

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

KEY = "k" * 40


@contextmanager
def serving(open_bench: Callable[[], Bench], port: int | None = None) -> Iterator[Address]:
    """Serve it until the block ends; then it is gone, as when it was killed."""
    said: Queue[Address] = Queue()
    place, over, loops = listening(port), asyncio.Event(), []

    async def serve() -> None:
        loops.append(asyncio.get_running_loop())
        await served(place, KEY, open_bench, said.put, over)

    thread = threading.Thread(target=lambda: asyncio.run(serve()))
    thread.start()
    try:
        yield said.get(timeout=10.0)
    finally:
        loops[0].call_soon_threadsafe(over.set)
        thread.join(10.0)


@contextmanager
def shown(browser: "Browser", address: Address, **screen: object) -> Iterator["Page"]:
    """The page with its first answer; what it says on the console must be nothing."""
    context = browser.new_context(**screen)
    page, said = context.new_page(), []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(address.page)
    page.locator("body[data-shown]").wait_for()
    yield page
    context.close()
    assert [text for text in said if "WebSocket connection" not in text] == []  # that it was lost, on purpose
