"""Opens the page in a browser; its key is in no command line, where all users of a machine can read it."""

import contextlib
import tempfile
import threading
import webbrowser
from collections.abc import Iterator
from pathlib import Path

from simcore.views.live.address import Address

CONFINED = Path("/snap")  # browsers from there see no folder of temporary files, but the home
LEADING = """<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="referrer" content="no-referrer">
<meta http-equiv="refresh" content="0; url={page}">
<title>bench</title>
<p><a href="{page}">To the page</a></p>
</html>
"""


@contextlib.contextmanager
def opened(address: Address) -> Iterator[None]:
    """Open the page by a file that leads on to it; only this user can read it, and it is removed in the end.

    Where no such file can be written nothing is opened.
    """
    with contextlib.ExitStack() as over:
        with contextlib.suppress(OSError, RuntimeError):  # no room, no leave, no home
            home = Path.home() if CONFINED.is_dir() else None
            made = tempfile.TemporaryDirectory(prefix="simcore-live-", dir=home, ignore_cleanup_errors=True)
            file = Path(over.enter_context(made)) / "page.html"
            file.touch(0o600)
            file.write_text(LEADING.format(page=address.page), encoding="utf-8")
            threading.Thread(
                target=webbrowser.open, args=(file.as_uri(),), daemon=True
            ).start()  # some wait to be closed
        yield
