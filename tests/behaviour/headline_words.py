"""What every headline must be, whatever it says."""

import re

FAILS = (
    *("does not", "hardly", "stops at", "stops after", "stops on", "stops before", "stops too late", "rolls"),
    *("not there", "too late", "slides", "hangs on", "tips over", "lifts its", "front tyres too light"),
    "misses its goal",
)
"""How the headline of a run begins that failed."""
MINUS = "\N{MINUS SIGN}"
PITCH = re.compile(r"\b(nose|pitch|rises|dives)\b")
UNITS = re.compile(r"( (mm|m|s|g|deg|%|V|A)\b|°| of what this slope takes| to \d)")
COUNTS = re.compile(r"\b(the other \d+|\d+ of \d+ (runs|cases)|(All|Both) \d+|\d+ more|\(\d+ with)")


def readable(text: str) -> None:
    """One or a few sentences of words and numbers with their units."""
    assert text and text[:1] in f'"{text[:1].upper()}', text
    assert 1 <= len(re.split(r"\. ", text)) <= 3 and not text.endswith("."), text
    assert not re.search(r"\b(none|nan|inf)\b|.None\b", text) and '""' not in text, text
    assert not re.search(r"\b([a-z]+) \1\b", text) and "  " not in text and " ," not in text, text
    assert not re.search(rf"[-{MINUS}]0(\.0+)? ", text) and "_" not in text, text
    assert not re.search(r"(^|[^\d.])-\d", text), text  # no way is a negative one
    unquoted = COUNTS.sub("", re.sub(r'"[^"]*"', "", text))
    for number in re.finditer(r"\d+(\.\d+)?", unquoted):
        assert UNITS.match(unquoted[number.end() :]), f"{number[0]} in {text}"
