"""A measured rig on the terminal: what was measured, how sure it is, and what was guessed."""

from collections.abc import Mapping, Sequence

from simcore.readings.uncertain import mostly_of
from simcore.readings.workings import Entry, Origin, said
from simcore.studies.measure import Measurement
from simcore.views.console.layout import Block, Grid, Hint, Line, Names

GUESSED = (Origin.GUESS, Origin.GUESSED_IN_PART)
ENDS = ("rear.", "front.")


def measurement_blocks(result: Measurement, everything: bool) -> list[Block]:
    """Values that were measured, with how and how sure; guesses, both ends side by side; or every value."""
    groups = _grouped(result.derived.entries)
    shown = {key: group for key, group in groups.items() if everything or not _guessed(group)}
    columns: list[Names] = [("value ± error",), ("how it came about",), ("error mostly from",)]
    cells = [[_said(group), _how(group), _mostly(group)] for group in shown.values()]
    names = [(key,) for key in shown]
    blocks: list[Block] = [Grid(("rig file",), names, columns, cells)] if shown else []
    left = {key: group for key, group in groups.items() if key not in shown}
    if left:
        blocks += [*([Line("")] if shown else []), _guesses(left)]
    for table, missing in result.derived.unused.items():
        blocks.append(Line(f"Not used: {table}, without {' and '.join(missing)}"))
    if not everything:
        blocks.append(Hint("--all shows every value with where it comes from; sheet.csv has them too"))
    return blocks


def _grouped(entries: Mapping[str, Entry]) -> dict[str, list[Entry]]:
    """Entries by key, both numbers of a place together."""
    groups: dict[str, list[Entry]] = {}
    for key, entry in entries.items():
        groups.setdefault(key.removesuffix(".0").removesuffix(".1"), []).append(entry)
    return groups


def _guesses(groups: Mapping[str, list[Entry]]) -> Grid:
    """Guesses of both axles side by side, then those of the whole rig."""
    sides = [[key.removeprefix(end) for key in groups if key.startswith(end)] for end in ENDS]
    keys = list(dict.fromkeys([*sides[0], *sides[1]]))
    cells = [[_said(groups.get(end + key, [])) for end in ENDS] for key in keys]
    rest = [key for key in groups if not key.startswith(ENDS)]
    cells += [[_said(groups[key]), ""] for key in rest]
    head = ("guesses, or hanging on guesses",)
    return Grid(head, [(key,) for key in (*keys, *rest)], [("rear",), ("front",)], cells)


def _guessed(group: Sequence[Entry]) -> bool:
    return any(entry.origin in GUESSED for entry in group)


def _said(group: Sequence[Entry]) -> str:
    if len(group) < 2:
        return said(group[0].number, group[0].unit) if group else "-"
    return f"[{', '.join(said(entry.number, entry.unit, behind=False) for entry in group)}] {group[0].unit}"


def _how(group: Sequence[Entry]) -> str:
    ways = ["GUESS" if entry.origin is Origin.GUESS else entry.formula for entry in group]
    return "; ".join(dict.fromkeys(ways))


def _mostly(group: Sequence[Entry]) -> str:
    """The reading that most of the error comes from, with its share of the error squared."""
    worked_out = [mostly_of(entry.number) for entry in group if entry.origin is not Origin.READ]
    found = [f"{first}, {100.0 * share:.0f} %" for first, share in worked_out if first]
    return "; ".join(dict.fromkeys(found)) or "-"
