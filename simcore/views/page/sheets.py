"""The sheets of a trial to print: one for who drives, without the set-ups; one for who changes them."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from markupsafe import Markup

from simcore.outdoors.key import Key, Plan
from simcore.outdoors.paired import LEVEL
from simcore.views.page.shipped import template, text

SPOILS = (
    "Sound: the driver stands out of earshot of the bench, or wears ear muffs.",
    "Look: cover what differs, on both set-ups alike, with the same tape or hood.",
    "Order: nobody who drives sees this sheet, the results file or the key.",
    "Face: set the rig down, step back, look away; say the run number and nothing else.",
    "Time: do the same steps for the same time between all runs, whether parts change or not.",
)
CARE = (
    "Switch the rig off and unplug the pack before you touch wheels, gears or links.",
    "Fingers, hair and cables away from spinning wheels and gears; hold the rig clear when you power it.",
    "LiPo packs: as their maker says. Charge in sight and fireproof; a swollen or hit pack is out.",
    "Nobody stands below the rig on a slope. Rules of the place come before anything written here.",
)


class Column(NamedTuple):
    """A column of a sheet: head, and how wide, % of the sheet."""

    head: str
    width: float


class Sheet(NamedTuple):
    """What a sheet says.

    Attributes
    ----------
    name, who : of the sheet, and whose it is
    steps, lists : what to do, in order; further lists under their headings
    columns, rows : of the table; a row that begins a pair has a line above it
    """

    name: str
    who: str
    steps: Sequence[str]
    lists: Sequence[tuple[str, Sequence[str]]]
    columns: Sequence[Column]
    rows: Sequence[tuple[bool, Sequence[str]]]


def driver_sheet(key: Key) -> str:
    """The driver's sheet: run numbers and fields, nothing that tells of a set-up."""
    plan = key.plan
    fields = "circle one" if plan.measure.yes_no else "write the number"
    steps = (
        "Do every run in this order: same start line, same line over the rock, same throttle habit.",
        f"After each run note {plan.measure.asked} ({fields}), before you talk to anybody.",
        "After the second run of a pair note your guess: which of the two had the change, first or second; "
        "? where you have no idea. Guess even when you are not sure.",
        "Do not look at the bench, do not ask. Note what you heard or saw that told you something.",
        "A run that went wrong for another reason (a glitch, somebody in the way): cross it out, say why.",
    )
    columns = [Column("run", 7), Column("pair", 7), Column("driver", 15), Column(plan.measure.asked, 22)]
    columns += [Column("guess", 16), Column("what went wrong, what you noticed", 33)]
    outcome = "yes     no" if plan.measure.yes_no else ""
    rows = []
    for place, run in enumerate(plan.runs):
        guess = "1st   2nd   ?" if place % 2 else ""
        rows.append((place % 2 == 0, [str(run.run), str(run.pair), run.driver, outcome, guess, ""]))
    lists = [("Take care", CARE)]
    return _printed(key, Sheet("Driver", "for who drives", steps, lists, columns, rows))


def mechanic_sheet(key: Key) -> str:
    """The mechanic's sheet: the code word of every run, and what keeps the driver blind."""
    plan = key.plan
    steps = (
        "Somebody else marks the parts with the code words: the key says which is which "
        "(simcore trial open). If there is nobody else you know it yourself, and only the driver is blind.",
        "Between all runs do the same: switch off, unplug, take the parts off, fit those with the code word "
        "of the next run, plug in. When the word stays the same take them off and fit the same ones again: a "
        "sham change, so that neither time nor noise tells.",
        "Time the first few changes, take the longest as the time of all, and wait until it is over.",
        "Both runs of a pair follow one another: pack charged alike, tyres wiped alike, the same start.",
        "Note time, temperature, battery voltage, dust and tyres before each run.",
        "Decide that a run must not count before the key is opened, and write why.",
    )
    columns = [
        Column("run", 6),
        Column("pair", 6),
        Column("driver", 13),
        Column("fit", 13),
        Column("time", 9),
    ]
    columns += [Column("temp. \N{DEGREE SIGN}C", 9), Column("battery V", 10), Column("dust", 10)]
    columns += [Column("tyres", 10), Column("left out, why", 14)]
    rows = [
        (place % 2 == 0, [str(run.run), str(run.pair), run.driver, plan.word(run), *[""] * 6])
        for place, run in enumerate(plan.runs)
    ]
    lists = [
        ("What tells the driver, and must not", SPOILS),
        ("Take care", CARE),
        ("The plan", tuple(_plan(plan))),
    ]
    return _printed(
        key,
        Sheet(
            "Mechanic", "for who changes the set-up; the driver must not see it", steps, lists, columns, rows
        ),
    )


def _plan(plan: Plan) -> Iterator[str]:
    """How the trial is made."""
    yield f"{plan.pairs} pairs of runs, {len(plan.runs)} runs; tests at {LEVEL:g}, two-sided."
    two = len(plan.drivers) > 1
    yield "Orders are drawn and balanced: as many pairs one way round as the other" + (
        ", for each driver." if two else "."
    )
    if two:
        yield "Two drivers, taking turns: what holds for one hand alone is no property of the rig."
    yield "Stop where the plan stops. Looking at results and going on until it shows is no test."


def _printed(key: Key, sheet: Sheet) -> str:
    return template("sheet.html").render(sheet=sheet, trial=key.trial, style=Markup(text("sheet.css")))
