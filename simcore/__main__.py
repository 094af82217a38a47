"""The `simcore` command as a process: whatever ends it, it ends with a code and a sentence at most.

Nothing is imported before an interrupt is expected.
"""

import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any, TextIO


def main() -> None:
    """Entry point of the `simcore` command."""
    try:
        code = _ended()
    except KeyboardInterrupt:
        code = 130  # as `errors.STOPPED`, which may not be there yet
    sys.exit(code)


def _ended() -> int:
    """Do the command; gives its exit code."""
    import os
    import signal

    told = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if told:  # nothing is begun yet, and a library that is interrupted half way may say anything
        signal.signal(signal.SIGINT, lambda *_: os._exit(130))
    from simcore.cli import main as command
    from simcore.errors import STOPPED

    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed by whoever started this
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w"))
    stopped: list[int] = []

    def stop(number: int, frame: "Any") -> None:
        stopped.append(number)
        signal.default_int_handler(number, frame)

    if told:
        signal.signal(signal.SIGINT, stop)
    out = sys.stdout
    try:
        command()
        code: Any = 0
    except SystemExit as end:
        code = end.code or 0
    except Exception as error:
        code = STOPPED if stopped else _cannot_write(out, error) or _broken_down(error)
    if told:
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # all is done; the interpreter may be interrupted
    return _written(out) or code


def _written(out: "TextIO") -> int:
    """Write what is left of the output; gives 0, or the exit code when it cannot be written."""
    try:
        if sys.stdout is not out:  # the command line puts it aside when nobody reads on
            raise BrokenPipeError
        out.flush()
        return 0
    except OSError as error:
        return _cannot_write(out, error)


def _cannot_write(out: "TextIO", error: Exception) -> int:
    """Say that the output cannot be written, if it is that; gives 0, or the exit code."""
    import os

    from simcore.errors import BAD_INPUT, OUTPUT_CLOSED

    if not isinstance(error, OSError) or error.filename is not None:
        return 0
    try:
        number = out.fileno()
    except (OSError, ValueError):  # no file, as in a test
        return 0
    if isinstance(error, BrokenPipeError):
        code = OUTPUT_CLOSED
    else:
        try:
            os.write(number, b"\n")
            return 0
        except OSError as still:
            code = BAD_INPUT
            print(f"the output cannot be written: {still.strerror}", file=sys.stderr)  # noqa: T201
    os.dup2(os.open(os.devnull, os.O_WRONLY), number)  # else the interpreter tries again, and complains
    return code


def _broken_down(error: Exception) -> int:
    """Say that this program has a fault; gives the exit code."""
    import tempfile
    import traceback

    from simcore.errors import BROKEN_DOWN

    what = f"{type(error).__name__}: {error}".splitlines()[0]
    said = f"simcore has broken down, please report it ({what})"
    try:
        with tempfile.NamedTemporaryFile("w", prefix="simcore-", suffix=".txt", delete=False) as file:
            traceback.print_exception(error, file=file)
        said += f"; where it happened is in {file.name}"
    except OSError:
        pass
    print(said, file=sys.stderr)  # noqa: T201
    return BROKEN_DOWN


if __name__ == "__main__":
    main()
