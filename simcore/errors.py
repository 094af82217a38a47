"""Reports of bad input: an issue names file, key, what was got and what it must be."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

DONE = 0
AUDIT_FAILED = 1
BAD_INPUT = 2
BROKEN_DOWN = 70  # a fault of this program, as sysexits.h counts it
STOPPED = 130  # by Ctrl-C, as shells count it
MOST_SAID = 40  # issues of one file, so that the first ones stay on the screen
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
        """Give all issues, one a line; of a file with many the first ones, and how many more there are."""
        count = Counter(issue.file for issue in self.issues)
        said: Counter[str] = Counter()
        lines = []
        for issue in self.issues:
            said[issue.file] += 1
            if said[issue.file] <= MOST_SAID:
                lines.append(str(issue))
            elif said[issue.file] == count[issue.file]:
                lines.append(f"{issue.file}: {count[issue.file] - MOST_SAID} more that are wrong")
        return "\n".join(lines)

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
