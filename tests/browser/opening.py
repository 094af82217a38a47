"""Opens a page from disk as whoever gets it would, and holds it to its silence."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


@contextmanager
def listened(browser: "Browser", **screen: Any) -> Iterator[tuple["Page", list[str]]]:
    """An empty page, and all that what is opened on it will say on the console."""
    context = browser.new_context(**screen)
    page, said = context.new_page(), []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page, said
    context.close()


@contextmanager
def opened(browser: "Browser", file: Path, **screen: Any) -> Iterator["Page"]:
    """The page, ready; it must have said nothing on the console and asked for nothing but itself."""
    with listened(browser, **screen) as (page, said):
        page.on("request", lambda request: said.append(request.url) if request.url != file.as_uri() else None)
        page.goto(file.as_uri())
        if page.locator(".player").count():
            page.locator(".player[data-ready]").wait_for()
        yield page
    assert said == []
