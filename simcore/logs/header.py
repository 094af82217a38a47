"""Which column of a log is which channel, and what turns its numbers into the channel's unit."""

import dataclasses
import difflib
import re
from collections.abc import Iterator, Mapping, Sequence

from simcore.errors import InputIssue, RejectedValue
from simcore.files.words import nearest
from simcore.logs.channels import CHANNELS, TIME, channel_named, without_unit
from simcore.units import Q, column_unit, show

KNOWN = (TIME, *CHANNELS)
NEARLY = 0.85  # likeness from which a header is taken for a slip of the pen
_BRACKETS = re.compile(r"(.*?)\s*[\[(]([^\[\]()]*)[\])]\s*")


@dataclasses.dataclass(frozen=True)
class Source:
    """Where a channel stands in a log.

    Attributes
    ----------
    place : number of the column, from 0
    header : as it stands there
    channel : name of the channel
    factor : turns its numbers into the unit of the channel; negative where its sign is to be turned
    """

    place: int
    header: str
    channel: str
    factor: float


def parted(header: str) -> tuple[str, str]:
    """Name and unit of a header, as "gyro y [rad/s]"; without brackets no unit."""
    match = _BRACKETS.fullmatch(header)
    return (match[1].strip(), match[2].strip()) if match else (header.strip(), "")


def sources(
    headers: Sequence[str], columns: Mapping[str, str], file: str
) -> tuple[list[Source], list[InputIssue]]:
    """Find the channels of a log.

    Parameters
    ----------
    headers : of its columns
    columns : header to name of a channel, with a minus before it where the sign is to be turned; headers that
        are named like a channel need none
    file : to name in issues

    Returns
    -------
    Where each channel stands, and what is wrong.
    """
    found: list[Source] = []
    issues = []
    for asked in [*_mapped(headers, columns), *_own(headers)]:
        if isinstance(asked, InputIssue):
            issues.append(asked)
            continue
        place, name, unit, sign = asked
        if any(one.place == place for one in found):
            continue
        try:
            factor = sign * _factor(unit, name)
        except RejectedValue as refusal:
            issues.append(InputIssue(file, headers[place], f"the unit {refusal.got}", refusal.must_be))
            continue
        twice = next((one for one in found if one.channel == name), None)
        if twice is not None:
            got = f"two columns of {name}, this and {show(twice.header)}"
            issues.append(InputIssue(file, headers[place], got, "one column a channel"))
        found.append(Source(place, headers[place], name, factor))
    return found, issues + _lacking(headers, found, file, bool(issues))


Asked = tuple[int, str, str, float]  # column, channel, unit, sign


def _mapped(headers: Sequence[str], columns: Mapping[str, str]) -> Iterator[Asked | InputIssue]:
    """Columns that are named on the command line."""
    for left, right in columns.items():
        sign, name = (-1.0, right.strip()[1:]) if right.strip().startswith("-") else (1.0, right)
        channel = _known(name)
        if not channel:
            must_be = f"one of {', '.join(KNOWN)}"
            yield InputIssue("--column", left, show(right), must_be, nearest(name.strip(), KNOWN))
            continue
        own, unit = parted(left)
        exact = [k for k, header in enumerate(headers) if header.strip() == left.strip()]
        alike = [k for k, header in enumerate(headers) if parted(header)[0] in (left.strip(), own)]
        places = exact or alike
        if len(places) != 1:
            got = "no such column" if not places else f"{len(places)} columns of that name"
            yield InputIssue(
                "--column", left, got, f"one of {', '.join(map(show, headers))}", nearest(left, headers)
            )
            continue
        yield places[0], channel, parted(headers[places[0]])[1] or unit, sign


def _own(headers: Sequence[str]) -> Iterator[Asked]:
    """Columns that are named like a channel, with its unit at the end or in brackets."""
    for place, header in enumerate(headers):
        name, unit = parted(header)
        name = re.sub(r"\s+", "_", name.lower())
        channel = _known(name)
        if channel and not (unit and name == channel and unit != column_unit(channel)):
            yield place, channel, unit, 1.0
        elif channel:
            yield place, channel, f"{unit} beside {column_unit(channel)}", 1.0  # refused as a unit


def _nearly(header: str) -> str:
    """The name that a header is nearly; empty if it is like none."""
    near = difflib.get_close_matches(header.strip().lower()[:80], KNOWN, n=1, cutoff=NEARLY)
    return near[0] if near else ""


def _known(name: str) -> str:
    """Full name of a channel or the time; empty if there is none."""
    channel = channel_named(name)
    if name.strip() in (TIME, without_unit(TIME)):
        return TIME
    return channel.name if channel is not None else ""


def _factor(unit: str, channel: str) -> float:
    """What turns numbers in a unit into the unit of a channel; without a unit they are in that one."""
    return Q(column_unit(channel)).bench(f"1 {unit}") if unit else 1.0


def _lacking(headers: Sequence[str], found: Sequence[Source], file: str, refused: bool) -> list[InputIssue]:
    """Headers that are nearly a channel's name, and what a log cannot do without."""
    taken = {one.place for one in found}
    left = [header for place, header in enumerate(headers) if place not in taken]
    names = {one.channel for one in found}
    issues = [
        InputIssue(file, header, "a name that is none of a channel", "left out or one of them", near)
        for header in left
        if (near := _nearly(header)) and near not in names
    ]
    known = ", ".join(map(show, headers)) or "none"
    if TIME not in names and not refused:
        must_be = 'one that is the time, as time_s, or --column "its header=time_s"'
        issues.append(InputIssue(file, TIME, f"the columns {known}", must_be))
    if not names - {TIME} and not refused:
        must_be = f'one of {", ".join(CHANNELS)}, or --column "its header=CHANNEL"'
        issues.append(InputIssue(file, "channels", f"the columns {known}", must_be))
    return issues
