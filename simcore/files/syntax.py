"""What is wrong with a text that is no TOML: where it gives out, and numbers that TOML does not know."""

import re
import tomllib
from collections.abc import Iterator

from simcore.errors import InputIssue
from simcore.slips import slip

MOST, LONGEST = 50, 1000  # slips that are looked for in one file, characters of a line that is looked at
_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_KEYED = re.compile(r"""("[^"]*"|'[^']*'|[\w.-]+)\s*=\s*""")
_END = r"(?=\s*(?:[}\]#]|,\s*[A-Za-z_\"'\]}]|,?\s*$))"
_UNIT = r"[A-Za-zµμΩ°%][\w*/·^%°-]*"
_BARE = re.compile(
    rf"[+-]?[0-9][0-9.]*(?:\s*:\s*[0-9.]+|(?:,[0-9]+)*(?:[eE][+-]?[0-9]+)?(?:\s*{_UNIT}(?:\s+{_UNIT})*)?){_END}"
)
MOST_PARTS = 100
_PART = r"""(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+"""
_LONG_KEY = re.compile(rf"(?<![\w.-])(?:{_PART}\.[ \t]*+){{{MOST_PARTS}}}")
_End = tuple[float, float]


def syntax_issues(text: str, file: str) -> Iterator[InputIssue]:
    """Give every issue of a text that is no TOML.

    A number that TOML does not know as one is taken out, so that the next one is found too; what stays wrong
    after that is an issue of its own.

    Parameters
    ----------
    text : str
        What stands in the file.
    file : str
        The file to name.
    """
    lines, fault = text.split("\n"), _fault(text)
    for _ in range(MOST):
        if fault is None:
            return
        mended = _mended(lines, fault, file)
        if mended is None:
            break
        issue, lines, fault = mended
        yield issue
    if fault is not None:
        yield _unreadable(fault, file)


def long_key_issues(text: str, file: str) -> Iterator[InputIssue]:
    """Give the first key of too many parts between dots: reading it takes the square of their number."""
    match = _LONG_KEY.search(text)
    if match is not None:
        line = text.count("\n", 0, match.start()) + 1
        got = f"a key of more than {MOST_PARTS} parts between dots"
        yield InputIssue(file, f"line {line}", got, "a key, such as ground.slope")


def _fault(text: str) -> ValueError | None:
    try:
        tomllib.loads(text)
    except ValueError as error:
        return error
    except RecursionError:  # what lies behind stays unread
        return None
    return None


def _place(fault: ValueError) -> _End:
    """Line and column at which a text gives out."""
    at = _AT.search(str(fault))
    return (float(at[1]), float(at[2])) if at and at[1] else (float("inf"), 0.0)


def _mended(
    lines: list[str], fault: ValueError, file: str
) -> tuple[InputIssue, list[str], ValueError | None] | None:
    """Give the slip that a text gives out at, and the text and its next fault without it; None if it is none.

    It is to blame only if the text gives out further on without it.
    """
    line = _place(fault)[0]
    if line > len(lines) or len(lines[int(line) - 1]) > LONGEST:
        return None
    k = int(line) - 1
    for match in _KEYED.finditer(lines[k]):
        bare = _BARE.match(lines[k], match.end())
        if bare is None:
            continue
        instead = "0".ljust(len(bare[0]))
        mended = [*lines[:k], lines[k][: bare.start()] + instead + lines[k][bare.end() :], *lines[k + 1 :]]
        after = _fault("\n".join(mended))
        if after is None or _place(after) > _place(fault):
            return _issue(bare[0].strip(), match[1], k + 1, file), mended, after
    return None


def _issue(bare: str, key: str, line: int, file: str) -> InputIssue:
    place = f"line {line}, {key}"
    found = slip(bare, "1") or slip(bare, "V" if key.endswith("voltage") else "")
    if found is None:
        return InputIssue(file, place, bare, "a number, or text in quotes", bare)
    return InputIssue(file, place, f"{bare} {found.what}".strip(), found.must_be, found.meant)


def _unreadable(fault: ValueError, file: str) -> InputIssue:
    message = "".join(c if c.isprintable() else "?" for c in str(fault))
    at = _AT.search(message)
    place = "" if at is None else f"line {at[1]}, column {at[2]}" if at[1] else "end of document"
    what = _AT.sub("", message)
    return InputIssue(file, place, what[:1].lower() + what[1:], "valid TOML")
