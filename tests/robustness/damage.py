"""Damages files at random (bytes, spans, lines, numbers, letters), and reads them as the program does."""

import json
import random
import re
from collections.abc import Callable
from pathlib import Path

from simcore.errors import InputError
from simcore.files import load_rig, load_scenario
from simcore.files.worksheet import load_worksheet
from simcore.logs import read_log
from simcore.results.store import Rows
from simcore.rig.model import build
from simcore.solve.settle import settle
from simcore.studies.load import load
from simcore.video.track import load_dots

NUMBER = re.compile(rb"-?\d+(\.\d+)?")
ABSURD = (
    *(b"nan", b"inf", b"-inf", b"-1", b"0", b"-0.0", b"1e400", b"1e308", b"5e-324", b"1e9", b"1_0", b"0x10"),
    *(
        b"",
        b'""',
        b"[]",
        b"{}",
        b"true",
        b'"5 mm"',
        b'"5 V"',
        b'"1e9 mm"',
        b'"9**9**9"',
        b"1979-05-27",
        b"9" * 400,
    ),
)
ALIKE = {b"a": "\u0430", b"e": "\u0435", b"o": "\u043e", b"-": "\u2212", b".": "\u2024", b"1": "\uff11"}
PIECES = (
    b"\x00",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"\r",
    b"[",
    b"]]",
    b'"""',
    b"'",
    b"#",
    b"\\u0000",
    b"\\ud800",
    b"{",
)


def damaged(text: bytes, dice: random.Random) -> bytes:
    """A text with one to three things wrong, as it may be."""
    for _ in range(dice.choice((1, 1, 1, 2, 3))):
        text = dice.choice(WAYS)(text or b" ", dice)
    return text


def _flip(text: bytes, dice: random.Random) -> bytes:
    place = dice.randrange(len(text))
    return text[:place] + bytes([text[place] ^ (1 << dice.randrange(8))]) + text[place + 1 :]


def _cut(text: bytes, dice: random.Random) -> bytes:
    start = dice.randrange(len(text))
    return text[:start] + text[start + dice.choice((1, 2, 10, 100, 10**9)) :]


def _insert(text: bytes, dice: random.Random) -> bytes:
    place = dice.randrange(len(text))
    return text[:place] + dice.choice((*PIECES, dice.randbytes(3))) + text[place:]


def _number(text: bytes, dice: random.Random) -> bytes:
    found = list(NUMBER.finditer(text))
    if not found:
        return text
    one = dice.choice(found)
    scaled = str(float(one[0]) * 10.0 ** dice.randint(-6, 6)).encode()
    return text[: one.start()] + dice.choice((*ABSURD, scaled, scaled, b"-" + one[0])) + text[one.end() :]


def _lines(text: bytes, dice: random.Random) -> bytes:
    lines = text.split(b"\n")
    one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
    lines.insert(one, lines[other])
    if dice.random() < 0.5:
        del lines[other]
    return b"\n".join(lines)


def _alike(text: bytes, dice: random.Random) -> bytes:
    letter = dice.choice(list(ALIKE))
    places = [found.start() for found in re.finditer(re.escape(letter), text)]
    if not places:
        return text
    place = dice.choice(places)
    return text[:place] + ALIKE[letter].encode() + text[place + 1 :]


WAYS = (_flip, _cut, _insert, _number, _number, _number, _lines, _alike)


def stand(path: Path) -> None:
    """Read a scenario, and put its rig on the ground."""
    scenario = load_scenario(path)
    for case in scenario.cases().values():
        settle(case, build(case))


def rows(path: Path) -> None:
    """Read kept rows."""
    Rows(path.parent).close()


def unsealed(path: Path) -> None:
    """Read a saved result as if it came from an older program, whose results bear no digest."""
    text = re.sub(rb'^{"sum": "\w*", ', b"{", path.read_bytes())
    path.write_bytes(text)
    load(path)


READERS: dict[str, Callable[[Path], object]] = {
    "rig": load_rig,
    "scenario": load_scenario,
    "stand": stand,
    "worksheet": load_worksheet,
    "dots": load_dots,
    "log": read_log,
    "runs": rows,
    "result": unsealed,
}


def refused_well(read: Callable[[Path], object], path: Path) -> bool:
    """Whether a file was refused, with a message in the form that all have; else it was read.

    Raises
    ------
    AssertionError
        when the message is not in that form; and whatever the reader raises beside.
    """
    try:
        read(path)
    except InputError as error:
        lines = str(error).splitlines()
        assert lines and all(": got " in line or line.endswith("more that are wrong") for line in lines), (
            lines
        )
        assert json.dumps(lines)
        return True
    return False
