"""Serves a bench to a client in one event loop, as a browser would use it."""

import asyncio
import json
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from typing import Any

from tornado.httpclient import AsyncHTTPClient, HTTPRequest, HTTPResponse
from tornado.websocket import WebSocketClientConnection, websocket_connect

from simcore.views.live.address import Address
from simcore.views.live.conversation import Bench
from simcore.views.live.server import listening, served

KEY = "k" * 40


def with_server(bench: Bench | Callable[[], Bench], act: Callable[[Address], Awaitable[None]]) -> None:
    """Do something while a bench is served, and stop it then."""

    open_bench = bench if callable(bench) else lambda: bench

    async def both() -> None:
        over, addresses = asyncio.Event(), asyncio.Queue[Address]()
        place = listening(None)
        server = asyncio.create_task(served(place, KEY, open_bench, addresses.put_nowait, over))
        try:
            await asyncio.wait_for(act(await addresses.get()), 20.0)
        finally:
            over.set()
            await asyncio.wait_for(server, 20.0)

    asyncio.run(both())


async def got(url: str, method: str = "GET", **headers: str) -> HTTPResponse:
    """What the server answers."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    request = HTTPRequest(url, method=method, headers=named, body="" if method == "POST" else None)
    return await AsyncHTTPClient().fetch(request, raise_error=False)


@asynccontextmanager
async def line(address: Address, **headers: str) -> AsyncIterator[WebSocketClientConnection]:
    """A lasting connection as the page opens it."""
    named = {"Origin": address.origin} | headers
    place = f"{address.page}socket".replace("http", "ws")
    talk = await websocket_connect(HTTPRequest(place, headers=named))
    try:
        yield talk
    finally:
        talk.close()


async def heard(connection: WebSocketClientConnection) -> dict[str, Any]:
    """The next message."""
    text = await asyncio.wait_for(connection.read_message(), 10.0)
    assert text is not None
    return json.loads(text)
