"""Variants that build on others, and sets of settings that several of them take."""

from collections.abc import Iterator, Mapping
from typing import Any

from simcore.errors import InputIssue
from simcore.files.settings import Edit, edits
from simcore.files.words import bare, nearest
from simcore.units import show

FROM, WITH = "from", "with"
"""Keys of a variant that are no paths: the variant it builds on, and the sets of settings that it takes."""

VARIANT = {
    "type": "object",
    "propertyNames": {"minLength": 1},
    "properties": {
        FROM: {"type": "string", "description": "The variant that this one builds on."},
        WITH: {
            "type": ["string", "array"],
            "items": {"type": "string"},
            "description": "The common settings that it takes: a name of [common], or a list of them.",
        },
    },
}
"""The JSON Schema of a variant: other keys are paths."""

Table = Mapping[str, Any]


def edits_of(name: str, variants: Mapping[str, Table], common: Mapping[str, Table]) -> list[Edit]:
    """Give every setting of a variant: those of the one it builds on, of the sets it takes, its own.

    Parameters
    ----------
    name : str
        The variant; one without issues (`issues_of`).
    variants, common : mappings
        As a scenario has them.
    """
    found: list[Edit] = []
    for one in _line(name, variants):
        for taken in _taken(variants[one]):
            found += edits(common[taken], place_of("common", taken))
        own = {key: value for key, value in variants[one].items() if key not in (FROM, WITH)}
        found += edits(own, place_of("variants", one))
    return found


def place_of(kind: str, name: str) -> str:
    """Write the key of a table of settings as TOML does."""
    return f"{kind}.{bare(name)}"


def issues_of(
    name: str, variants: Mapping[str, Table], common: Mapping[str, Table], file: str
) -> Iterator[InputIssue]:
    """Give what is wrong with what a variant, or one that it builds on, builds on and takes."""
    line = _line(name, variants)
    circle = variants[line[0]].get(FROM) in line
    if circle:
        yield _circle(line, variants, file)
        return
    before: list[Any] = []
    for k, one in enumerate(line):
        key, settings = place_of("variants", one), variants[one]
        if k == 0 and FROM in settings:
            yield _unknown(
                file, f"{key}.{FROM}", settings[FROM], [other for other in variants if other != one]
            )
        for taken in _taken(settings):
            if not isinstance(taken, str) or taken not in common:
                yield _unknown(file, f"{key}.{WITH}", taken, list(common))
            elif taken in before:
                got = f"{show(taken)}, which it already has"
                yield InputIssue(file, f"{key}.{WITH}", got, "every set of settings once")
            before.append(taken)


def _circle(line: list[str], variants: Mapping[str, Table], file: str) -> InputIssue:
    """The issue of a circle, the same from whichever of its variants it was found."""
    members = line[: line.index(variants[line[0]][FROM]) + 1][::-1]
    first = members.index(min(members))
    words = ", which builds on ".join(show(one) for one in [*members[first:], *members[: first + 1]])
    key = f"{place_of('variants', members[first])}.{FROM}"
    return InputIssue(file, key, f"a circle: {words}", "a variant that does not build on this one")


def _line(name: str, variants: Mapping[str, Table]) -> list[str]:
    """Variants from the first one that a variant builds on to itself; a circle is gone round once."""
    line: dict[str, None] = {name: None}
    before = variants[name].get(FROM)
    while isinstance(before, str) and before in variants and before not in line:
        line[before] = None
        before = variants[before].get(FROM)
    return [*line][::-1]


def _taken(settings: Table) -> list[Any]:
    taken = settings.get(WITH, [])
    return [taken] if isinstance(taken, str) else taken if isinstance(taken, list) else [taken]


def _unknown(file: str, key: str, given: Any, known: list[str]) -> InputIssue:
    must_be = f"one of {', '.join(map(show, known))}" if known else "left out: there are none"
    return InputIssue(file, key, show(given), must_be, nearest(str(given), known))
