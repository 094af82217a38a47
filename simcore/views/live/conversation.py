"""What is said between one page and the bench: the latest change is answered, what is stale is dropped."""

import asyncio
import json
import threading
import traceback
from collections import deque
from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from typing import Any, Protocol

from simcore.errors import InputError
from simcore.views.live.asked import (
    Asked,
    Begin,
    Command,
    First,
    NotUnderstood,
    SaveRig,
    SaveVariant,
    Second,
    understood,
)

MOST_WAITING = 8  # orders that are not changes, as to save
Message = Mapping[str, Any]
Stop = Callable[[], bool]


class Bench(Protocol):
    """Whoever answers, one question at a time; every answer is a message as it is sent."""

    def hello(self, case: str) -> Message:
        """What the page needs to begin with a case of the scenario; "" for the one it opens with."""

    def first(self, asked: First, stop: Stop) -> Message | None:
        """Answer quickly; None when it was stopped."""

    def second(self, asked: Second, stop: Stop) -> Message | None:
        """Answer whole; None when it was stopped."""

    def save_variant(self, asked: SaveVariant) -> Message:
        """Keep a change as a variant."""

    def save_rig(self, asked: SaveRig) -> Message:
        """Keep a changed rig as a file."""

    def command(self, asked: Command) -> Message:
        """Give the line that repeats a change."""


class Conversation:
    """One page's questions in their order, answered in a thread of their own while the page is listened to.

    Parameters
    ----------
    open_bench : reads the scenario as it stands in its file, and gives who answers
    workers : where questions are answered
    say : sends a text to the page
    """

    def __init__(
        self, open_bench: Callable[[], Bench], workers: Executor, say: Callable[[str], None]
    ) -> None:
        self._open_bench, self._workers, self._say = open_bench, workers, say
        self._bench: Bench | None = None
        self._unopened = True
        self._orders: deque[Asked] = deque()
        self._first: First | None = None
        self._second: Second | None = None
        self._stale = threading.Event()
        self._closed = False
        self._working: asyncio.Task[None] | None = None

    def begin(self) -> None:
        """Say hello to the page."""
        self._work()

    def hear(self, text: str | bytes) -> None:
        """Take a message of the page; what it makes stale is stopped."""
        try:
            asked = understood(text)
        except NotUnderstood as refusal:
            self._tell({"type": "refused", "text": str(refusal)})
            return
        self._unopened = self._bench is None  # the file may be a good one by now
        if isinstance(asked, First):
            self._first, self._second = asked, None
            self._stale.set()
        elif isinstance(asked, Second):
            self._second = asked
        elif len(self._orders) < MOST_WAITING:
            self._orders.append(asked)
        else:
            self._tell({"type": "refused", "text": "too much is asked at once"})
        self._work()

    def end(self) -> None:
        """Drop everything: nobody listens any more."""
        self._closed = True
        self._stale.set()

    def _work(self) -> None:
        if self._working is None or self._working.done():
            self._working = asyncio.get_running_loop().create_task(self._answer_all())

    async def _answer_all(self) -> None:
        loop = asyncio.get_running_loop()
        while not self._closed:
            job = self._next()
            if job is None:
                return
            self._stale = threading.Event()
            try:
                message = await loop.run_in_executor(self._workers, job, self._stale.is_set)
            except InputError as error:
                message = {"type": "refused", "text": str(error)}
            except Exception as error:  # a fault of the program must not end what else can be asked
                traceback.print_exception(error)
                what = f"{type(error).__name__}: {error}".splitlines()[0]
                text = f"simcore has broken down at this, please report it ({what}); the terminal says where"
                message = {"type": "refused", "text": text}
            if message is not None:
                self._tell(message)

    def _next(self) -> Callable[[Stop], Message | None] | None:
        """Take what is next: an order before a change, a change before all that is known of it."""
        if self._unopened:
            self._unopened = False
            return self._begun
        bench = self._bench
        if bench is None:
            self._orders.clear()
            self._first = self._second = None
            return None
        if self._orders:
            asked = self._orders.popleft()
            return lambda _: _done(bench, asked)
        if self._first is not None:
            first, self._first = self._first, None
            return lambda stop: bench.first(first, stop)
        if self._second is not None:
            second, self._second = self._second, None
            return lambda stop: bench.second(second, stop)
        return None

    def _begun(self, stop: Stop) -> Message | None:
        self._bench = self._open_bench()
        return self._bench.hello("")

    def _tell(self, message: Message) -> None:
        if not self._closed:
            self._say(json.dumps(message, allow_nan=False, separators=(",", ":")))


def _done(bench: Bench, asked: Asked) -> Message:
    """Carry out an order."""
    if isinstance(asked, Begin):
        return bench.hello(asked.case)
    if isinstance(asked, SaveVariant):
        return bench.save_variant(asked)
    if isinstance(asked, SaveRig):
        return bench.save_rig(asked)
    if isinstance(asked, Command):
        return bench.command(asked)
    raise TypeError(asked)
