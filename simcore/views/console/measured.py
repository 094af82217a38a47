"""A measured rig on the terminal: what was measured, how sure it is, and what was guessed."""

from simcore.readings.uncertain import made_of
from simcore.readings.workings import Entry, Origin, said
from simcore.studies.measure import Measurement
from simcore.views.console.layout import Grid, Line, Names, sentence

GUESSED = (Origin.GUESS, Origin.GUESSED_IN_PART)


def measurement_lines(result: Measurement, everything: bool, width: int | None) -> list[Line]:
    """Values that were measured, the rest in a sentence; or every value."""
    entries = result.derived.entries.values()
    shown = [entry for entry in entries if everything or entry.origin not in GUESSED]
    left = [entry for entry in entries if entry not in shown]
    columns: list[Names] = [("value ± error",), ("how it came about",), ("error mostly from",)]
    cells = [[said(one.number, one.unit), _how(one), _mostly(one)] for one in shown]
    lines = Grid(("rig file",), [(one.key,) for one in shown], columns, cells).lines(width) if shown else []
    if left:
        names = ", ".join(f"{one.key} {said(one.number, one.unit)}" for one in left)
        lines += [Line(""), *sentence(f"Guesses, or hanging on guesses: {names}", width)]
    if not everything:
        lines += sentence(
            "--all shows every value with where it comes from; sheet.csv has them too", width, "dim"
        )
    return lines


def _how(entry: Entry) -> str:
    return "GUESS" if entry.origin is Origin.GUESS else entry.formula


def _mostly(entry: Entry) -> str:
    """The reading that most of the error comes from, with its share of the error squared."""
    parts = made_of(entry.number)
    whole = sum(part**2 for part in parts.values())
    if not whole or entry.origin is Origin.READ:
        return "-"
    first, part = next(iter(parts.items()))
    return f"{first}, {100.0 * part**2 / whole:.0f} %"
