"""The server of the live page: on this machine alone, and for no file but what is shipped for the page."""

import asyncio
import contextlib
import errno
import signal
import socket
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from importlib.resources import files
from pathlib import PurePath
from typing import Any

from tornado import httpserver, web, websocket

from simcore.errors import InputError, InputIssue
from simcore.views.live.address import HOST, Address
from simcore.views.live.asked import LONGEST
from simcore.views.live.conversation import Bench, Conversation
from simcore.views.page import shipped
from simcore.views.page.player import COMMON, SCRIPTS

PORT = 8177  # where it is served unless another is asked for, so that an open page finds it again
PARTS = ("side.js", "curves.js", "knobs.js", "live.js")
KINDS = {"": "text/html", ".css": "text/css", ".js": "text/javascript"}
HEAD_BYTES = 16_000
ALIVE = 20.0  # s between two signs of life
OpenBench = Callable[[], Bench]


@cache
def page() -> dict[str, str]:
    """What is served, by its name below the key; the player's parts are asked for once a rig is to move."""
    here = files("simcore.views.live")
    own = {
        name: here.joinpath(name).read_text(encoding="utf-8") for name in ("page.html", "live.css", *PARTS)
    }
    script = "\n".join([shipped.text(COMMON), *(own[name] for name in PARTS)])
    player = "\n".join(map(shipped.text, SCRIPTS))
    return {
        "": own["page.html"],
        "live.css": f"{shipped.text('page.css')}\n{own['live.css']}",
        "live.js": f'(() => {{\n"use strict";\n{script}\n}})();\n',
        "film.css": shipped.text("player.css"),
        "film.js": f'const startPlayer = (() => {{\n"use strict";\n{player}\nreturn start;\n}})();\n',
    }


def listening(port: int | None) -> socket.socket:
    """A socket on this machine alone.

    Parameters
    ----------
    port : asked for; None: the usual one, or any where that one is taken

    Raises
    ------
    InputError
        when the port that was asked for cannot be had.
    """
    try:
        return _bound(PORT if port is None else port)
    except OSError as error:
        if port is None:
            return _bound(0)
        got = f"{port}, which is in use" if error.errno == errno.EADDRINUSE else f"{port} ({error.strerror})"
        raise InputError([InputIssue("--port", "", got, "a free port from 1024 to 65535")]) from None


def _bound(port: int) -> socket.socket:
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((HOST, port))
        made.listen(16)
        made.setblocking(False)
    except OSError:
        made.close()
        raise
    return made


def serve(place: socket.socket, key: str, open_bench: OpenBench, ready: Callable[[Address], None]) -> None:
    """Serve the page until Ctrl-C.

    Parameters
    ----------
    place : as `listening` gives it
    key : of the address
    open_bench : gives who answers a page
    ready : called once with the address, when it can be opened
    """

    async def until_stopped() -> None:
        over = asyncio.Event()
        with contextlib.suppress(NotImplementedError):  # then Ctrl-C breaks off the loop itself
            asyncio.get_running_loop().add_signal_handler(signal.SIGINT, over.set)
        await served(place, key, open_bench, ready, over)

    asyncio.run(until_stopped())


async def served(
    place: socket.socket,
    key: str,
    open_bench: OpenBench,
    ready: Callable[[Address], None],
    over: asyncio.Event,
) -> None:
    """Serve the page as `serve` does, until it is over."""
    address = Address(place.getsockname()[1], key)
    with ThreadPoolExecutor(1, "bench") as workers:
        application = _Pages(address, open_bench, workers)
        server = httpserver.HTTPServer(application, max_header_size=HEAD_BYTES, max_body_size=HEAD_BYTES)
        server.add_socket(place)
        ready(address)
        try:
            await over.wait()
        finally:
            server.stop()
            for line in list(application.lines):
                line.close(1001, "the bench was stopped")
                line.on_close()
            await server.close_all_connections()
            workers.shutdown(wait=False, cancel_futures=True)


class _Pages(web.Application):
    """Everything that is served, below the key; whatever else is asked for is refused."""

    def __init__(self, address: Address, open_bench: OpenBench, workers: ThreadPoolExecutor) -> None:
        self.address, self.open_bench, self.workers = address, open_bench, workers
        self.lines: set[_Line] = set()
        paths = [(r"/[^/]+/socket", _Line), (r"/[^/]+/(|(?:live|film)\.(?:css|js))", _Shipped)]
        super().__init__(
            paths,
            default_handler_class=_Unknown,
            websocket_max_message_size=LONGEST,
            websocket_ping_interval=ALIVE,
            log_function=lambda _: None,
        )


class _Guarded(web.RequestHandler):
    """Answers only who has the key, by the right name, from the page itself."""

    application: _Pages
    lasting = False

    def prepare(self) -> None:
        """Refuse whoever should not ask."""
        why = self.application.address.refusal(self.request.path, self.request.headers, self.lasting)
        if why:
            self.set_status(403)
            self.finish(f"Refused: {why}.\n")

    def set_default_headers(self) -> None:
        """Say what a browser may do with what it gets: nothing that leaves this page."""
        host = self.application.address.host
        policy = {
            "default-src": "'none'",
            "script-src": "'self'",
            "style-src": "'self'",
            "style-src-attr": "'unsafe-inline'",
            "img-src": "data:",
            "connect-src": f"ws://{host}",
            "base-uri": "'none'",
            "form-action": "'none'",
            "frame-ancestors": "'none'",
        }
        headers = {
            "Content-Security-Policy": "; ".join(f"{what} {where}" for what, where in policy.items()),
            "Content-Type": "text/plain; charset=utf-8",
            "Cache-Control": "no-store",
            "Cross-Origin-Opener-Policy": "same-origin",
            "Cross-Origin-Resource-Policy": "same-origin",
            "Referrer-Policy": "no-referrer",
            "X-Content-Type-Options": "nosniff",
        }
        self.clear_header("Server")
        for name, value in headers.items():
            self.set_header(name, value)

    def write_error(self, status_code: int, **_: Any) -> None:
        """Say a fault in a line."""
        self.finish(f"{status_code}\n")

    def data_received(self, chunk: bytes) -> None:
        """Take nothing."""


class _Unknown(_Guarded):
    """What is not there."""

    def get(self) -> None:
        """Say so."""
        self.set_status(404)
        self.finish("There is nothing here.\n")


class _Shipped(_Guarded):
    """The page, its style and its script."""

    def get(self, name: str) -> None:
        """Give one of them."""
        self.set_header("Content-Type", f"{KINDS[PurePath(name).suffix]}; charset=utf-8")
        self.finish(page()[name])


class _Line(_Guarded, websocket.WebSocketHandler):
    """The lasting connection to one page."""

    lasting = True

    def check_origin(self, origin: str) -> bool:
        """As every request: the page itself."""
        return origin == self.application.address.origin

    def open(self, *_: str) -> None:
        """Begin to talk."""
        self.set_nodelay(True)
        self.talk = Conversation(self.application.open_bench, self.application.workers, self.say)
        self.application.lines.add(self)
        self.talk.begin()

    def say(self, text: str) -> None:
        """Send a text, unless nobody is there."""
        with contextlib.suppress(websocket.WebSocketClosedError):
            self.write_message(text)

    def on_message(self, message: str | bytes) -> None:
        """Hear the page."""
        self.talk.hear(message)

    def on_close(self) -> None:
        """Stop what nobody waits for."""
        self.application.lines.discard(self)
        self.talk.end()
