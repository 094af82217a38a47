"""Words of files on a page: they are shown as they are, whatever HTML or Markdown would make of them."""

import re
from urllib.parse import quote

_MEANT = re.compile(r"[\\`*\[\]~|$]|(?<!\w)_|_(?!\w)")
_FIRST = re.compile(r"^(?:(\d+)(?=[.)](?:\s|$))|(?=[#+=-]))", re.MULTILINE)
_HTML = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})


def plain(text: str) -> str:
    """Text whose letters stand for themselves, in paragraphs as it has them."""
    return _escaped("\n".join(line.strip() for line in text.strip().splitlines()))


def marked(paragraph: str) -> str:
    """A paragraph with heads between pairs of **, and no other marks."""
    return "**".join(_escaped(part) for part in paragraph.split("**"))


def _escaped(text: str) -> str:
    escaped = _MEANT.sub(lambda found: f"\\{found[0]}", text)
    return _FIRST.sub(lambda found: (found[1] or "") + "\\", escaped).translate(_HTML)


def title(text: str) -> str:
    """A title on one line."""
    return plain(" ".join(text.split()))


def code(text: str) -> str:
    """Something to type."""
    fence = "`" * (1 + max((len(run) for run in re.findall("`+", text)), default=0))
    return f"{fence}{text}{fence}" if len(fence) == 1 else f"{fence} {text} {fence}"


def image(alt: str, file: str) -> str:
    """A picture beside the page."""
    return f"![{title(alt)}]({quote(file)})"


def link(words: str, file: str) -> str:
    """A link to a file beside the page."""
    return f"[{title(words)}]({quote(file)})"
