"""Who may speak to the page: whoever was given its address, and from that page alone."""

import hashlib
import hmac
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

HOST = "127.0.0.1"  # this machine, and nobody in its network
SECRET_BYTES = 32
LED = {"Dest": "document", "Mode": "navigate"}  # Sec-Fetch-* where a file led to the page
OWN = ("same-origin", "none")  # Sec-Fetch-Site of a page's own requests, and of an address that was typed


@dataclass(frozen=True)
class Address:
    """Where the page is.

    Attributes
    ----------
    port : on which it is served
    key : what nobody can guess; the first part of every path
    """

    port: int
    key: str

    @property
    def host(self) -> str:
        """As the header Host must say it."""
        return f"{HOST}:{self.port}"

    @property
    def origin(self) -> str:
        """As the header Origin must say it."""
        return f"http://{self.host}"

    @property
    def page(self) -> str:
        """To be opened in a browser."""
        return f"{self.origin}/{self.key}/"

    def refusal(self, path: str, headers: Mapping[str, str], lasting: bool = False) -> str:
        """Why a request is not answered; empty when it is.

        Parameters
        ----------
        path : of the request
        headers : of the request
        lasting : whether it opens a lasting connection, of which a browser always says where it comes from
        """
        key = path.removeprefix("/").partition("/")[0]
        if not hmac.compare_digest(key.encode(), self.key.encode()):
            return "the key in the address is not the one of this page"
        if headers.get("Host") != self.host:
            return f"the host must be {self.host}"
        origin = headers.get("Origin")
        if origin != self.origin and (lasting or origin is not None):
            return f"the origin must be {self.origin}"
        site = headers.get("Sec-Fetch-Site")
        if site is None or site in (OWN[:1] if lasting else OWN):
            return ""
        led = {name: headers.get(f"Sec-Fetch-{name}") for name in LED} == LED
        return "" if led and path == f"/{self.key}/" and not lasting else "another site asks"


def key_for(scenario: Path) -> str:
    """Key of a scenario's page: the same after a restart, so that an open page finds it again.

    It is made from a secret that only this user can read; where none can be kept, it is good for once.
    """
    secret = _kept_secret() or secrets.token_bytes(SECRET_BYTES)
    return hmac.new(secret, str(scenario.resolve()).encode(), hashlib.sha256).hexdigest()[:40]


def _kept_secret() -> bytes | None:
    base = os.environ.get("XDG_STATE_HOME")
    try:
        file = (Path(base) if base else Path.home() / ".local" / "state") / "simcore" / "live_secret"
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not file.exists():
            draft = file.with_name(f"{file.name}.{os.getpid()}")
            draft.touch(0o600, exist_ok=False)
            draft.write_bytes(secrets.token_bytes(SECRET_BYTES))
            draft.replace(file)
        known = file.stat()
        if hasattr(os, "getuid") and (known.st_uid != os.getuid() or known.st_mode & 0o077):
            return None  # others may have read it
        found = file.read_bytes()
    except (OSError, RuntimeError):  # no home, no room, no leave
        return None
    return found if len(found) == SECRET_BYTES else None
