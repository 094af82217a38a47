"""Reports of bad input: an issue names file, key, what was got and what it must be."""

from collections.abc import Iterable
from dataclasses import dataclass

DONE = 0
AUDIT_FAILED = 1
BAD_INPUT = 2
BROKEN_DOWN = 70  # a fault of this program, as sysexits.h counts it
STOPPED = 130  # by Ctrl-C, as shells count it
OUTPUT_CLOSED = 141  # nobody read on (SIGPIPE), as shells count it


@dataclass(frozen=True)
class InputIssue:
    """One thing wrong with the input, on one line.

    Parameters
    ----------
    file : str
        The file as the user named it.
    key : str
        Key path in TOML form (``rear.shock.springs[0].rate``); empty for the whole file.
    got, must_be : str
        What stands there and what must stand there, both with their unit.
    hint : str
        The nearest known word, if one is near, or the value in the unit that was probably meant.
    """

    file: str
    key: str
    got: str
    must_be: str
    hint: str = ""

    def __str__(self) -> str:
        """Give the issue as one line."""
        place = f"{self.file}: {self.key}" if self.key else self.file
        hint = f' (did you mean "{self.hint}"?)' if self.hint else ""
        return f"{place}: got {self.got}, must be {self.must_be}{hint}"


class InputError(ValueError):
    """The input cannot be used; carries every issue found, printed one a line."""

    def __init__(self, issues: Iterable[InputIssue]) -> None:
        self.issues = tuple(issues)
        super().__init__(self.issues)

    def __str__(self) -> str:
        """Give all issues, one a line."""
        return "\n".join(str(issue) for issue in self.issues)

    def __reduce__(self) -> tuple[type["InputError"], tuple[tuple[InputIssue, ...]]]:
        """Travel between processes with the issues whole."""
        return type(self), (self.issues,)


class RejectedValue(ValueError):
    """One value that cannot be taken; whoever reads the file adds file and key.

    Parameters
    ----------
    got, must_be, hint : str
        As in `InputIssue`.
    """

    def __init__(self, got: str, must_be: str, hint: str = "") -> None:
        super().__init__(got, must_be, hint)
        self.got = got
        self.must_be = must_be
        self.hint = hint

    def __str__(self) -> str:
        """Give it as a sentence."""
        return f"got {self.got}, must be {self.must_be}"
