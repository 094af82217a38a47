"""Text of a file as it lies on disk: read, replaced whole, or made new; never half written."""

import os
import secrets
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from simcore.errors import InputError, InputIssue
from simcore.files.source import read_toml


@dataclass(frozen=True)
class Layout:
    """How the text of a file is written down beside its words."""

    mark: bytes = b""
    newline: str = "\n"

    def of(self, text: str) -> bytes:
        """Bytes of a text."""
        return self.mark + text.replace("\n", self.newline).encode("utf-8")


def read(path: Path) -> tuple[str, Layout]:
    """Text of a file that is TOML, and how it is written down; a mix of line ends stays in the text."""
    read_toml(path)
    data = path.read_bytes()
    mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
    text = data.removeprefix(mark).decode("utf-8")
    whole = text.count("\r\n") == text.count("\n") > 0
    return (text.replace("\r\n", "\n"), Layout(mark, "\r\n")) if whole else (text, Layout(mark))


def replace(path: Path, data: bytes) -> None:
    """Put other bytes in the place of a file, all at once."""
    draft = _draft(path, data)
    try:
        with suppress(OSError):
            draft.chmod(path.stat().st_mode & 0o7777)
        draft.replace(path)
    except OSError as error:
        draft.unlink(missing_ok=True)
        raise _unwritable(path, error) from None


def create(path: Path, data: bytes) -> None:
    """Make a file, all at once, and never in the place of another one."""
    draft = _draft(path, data)
    try:
        path.hardlink_to(draft)
    except FileExistsError:
        got = "a file that is there already"
        raise InputError([InputIssue(str(path), "", got, "the name of a new file")]) from None
    except OSError as error:
        raise _unwritable(path, error) from None
    finally:
        draft.unlink(missing_ok=True)


def _draft(path: Path, data: bytes) -> Path:
    """A file beside another one with these bytes, on disk."""
    draft = path.with_name(f".{secrets.token_hex(8)}.draft")
    try:
        with draft.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        draft.unlink(missing_ok=True)
        raise _unwritable(path, error) from None
    return draft


def _unwritable(path: Path, error: OSError) -> InputError:
    got = error.strerror or "no file that can be written"
    return InputError([InputIssue(str(path), "", got, "in a folder with room that can be written")])
