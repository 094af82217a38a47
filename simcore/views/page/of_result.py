"""The page of a result: one HTML text that opens from disk and asks for nothing else."""

import base64
import hashlib
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from markupsafe import Markup

from simcore.files.source import version
from simcore.outdoors.field_trial import FieldTrial
from simcore.results.conditions import Conditions
from simcore.results.headlines.loads import load_headline, shares
from simcore.results.result import Concern, Doubt, Result
from simcore.results.run import Run
from simcore.rig.masses import SIDES
from simcore.studies.compare import runs_of
from simcore.studies.inspect import Inspection
from simcore.studies.measure import Measurement
from simcore.studies.ranking import Ranking
from simcore.studies.sweep import Sweep
from simcore.views.account_lines import SEEN_AS_TRAVEL, SUM_OF_LOAD
from simcore.views.console.layout import TEXT, Block, Grid, Hint, is_number
from simcore.views.console.report import conclusion, numbers
from simcore.views.page.again import again
from simcore.views.page.curves import OverTime, accounts
from simcore.views.page.figures import Figures, of_other, of_runs
from simcore.views.page.part import Part
from simcore.views.page.rigs import change_blocks, conditions, rig_blocks
from simcore.views.page.shipped import template, text

MOST_RUNS = 60  # of a sweep, that are listed whole
MOST_CELLS = 4000  # of the table that holds every number
CAUTIONS = (
    "It is for scale models. Never use it for a vehicle that carries people; that is the work of licensed "
    "engineers under the local codes.",
    "It is a side view: no roll, no steering, left and right tyres as one. Its answers are as good as the "
    "bench numbers behind them.",
    "On the bench: take the pinion off or hold the rig clear before you power a motor, and keep fingers, "
    "hair and cables away from spinning wheels and gears.",
    "Treat LiPo packs as their maker says: no puncture, no unattended charging, a fireproof place.",
    "Local rules and the maker's instructions come before anything written here.",
)
GENERATOR = "simcore"
ANSWER_FIRST = ("ranking", "spread", "field_trial")  # kinds of many runs: their charts and tables come first
EVERY_NUMBER, EVERY_RUN = "Every number, with its name in files", "Every run"
_BLANKS = re.compile(r"\s*([{};])\s*|(?<=\w:) +")
DRIVEN = "Driven outdoors; every number is as its drivers wrote it down, and the prediction is computed."
COMPUTED, READ = "Computed, not measured.", "Worked out from the readings and guesses of its worksheet."
Player = Callable[[Mapping[str, Run]], Part]


class Table(NamedTuple):
    """A table as the template takes it: heads and cells with whether they stand flush right."""

    caption: str
    corner: Sequence[str]
    heads: Sequence[tuple[str, bool]]
    rows: Sequence[tuple[Sequence[str], Sequence[tuple[str, bool]]]]


class Account(NamedTuple):
    """Who carries the load in one run."""

    name: str
    sentence: str
    shares: Sequence[str]
    charts: Sequence[Part]


def page_of(result: Result, player: Player | None = None, mark: str = "", cases: Result | None = None) -> str:
    """The page of a result.

    Parameters
    ----------
    result : from any study, or read from a folder
    player : gives the rigs in motion, for results that hold runs; None: the page goes without
    mark : what tells it from pages of other files
    cases : the runs that it rests on, of which the file's conclusion speaks; they are shown in motion below
        it. None: its own

    Returns
    -------
    HTML; whatever files say stands in it as text.
    """
    own = result if cases is None else cases
    driven = result.unchanged if isinstance(result, Ranking) and result.basis.each else result.scenario
    runs, moving = runs_of(result), runs_of(own)
    motion = player(moving) if player and moving else None
    script = _slim(motion.script) if motion else ""
    few, every = _numbers(result)
    figures, carried = _figures(result, runs)
    styles = [text("page.css"), *dict.fromkeys(part.style for one in figures for part in one.parts)]
    values: dict[str, Any] = {
        "policy": _policy(script),
        "generator": f"{GENERATOR} {version()}",
        "mark": mark,
        "kind": result.kind,
        "title": result.scenario.title,
        "style": Markup(_tight(_slim("".join([*styles, motion.style if motion else ""])))),
        "script": Markup(script),
        "concerns": sorted(dict.fromkeys([*result.concerns, *own.concerns]), key=_gravest_first),
        "asked": result.asked,
        "headline": result.headline,
        "note": result.scenario.note,
        "conclusion": _shown(conclusion(own)),
        "answer_first": result.kind in ANSWER_FIRST,
        "motion": Markup(_slim(motion.html)) if motion else "",
        "driven": _driven(result),
        "held": conditions(driven),
        "changes": _shown(change_blocks(driven, _tried(result))),
        "rig": _shown(rig_blocks(result.scenario)),
        "figures": figures,
        "accounts": carried,
        "accounts_read": f"{SUM_OF_LOAD} {SEEN_AS_TRAVEL}",
        "few": few,
        "every": every,
        "more": EVERY_RUN if _of_many(result) else EVERY_NUMBER,
        "again": again(result),
        "cautions": CAUTIONS,
        "closing": _closing(result),
    }
    return template("page.html").render(values)


def _tried(result: Result) -> list[str]:
    """Changes of which a trial is; of any other result all count."""
    return [result.plan.changed] if isinstance(result, FieldTrial) else []


def _driven(result: Result) -> str:
    """Heading over the rig and what held."""
    match result:
        case Inspection() | Measurement():
            return "The rig"
        case FieldTrial():
            return "The scenario behind it"
    return "What was driven"


def _closing(result: Result) -> str:
    """Where its numbers come from."""
    match result:
        case Measurement():
            return READ
        case FieldTrial():
            return DRIVEN
    return COMPUTED


def _figures(result: Result, runs: Mapping[str, Run]) -> tuple[list[Figures], list[Account]]:
    """Charts of a result, and accounts of its runs."""
    if not runs:
        return of_other(result), []
    time = OverTime(runs)
    return [of_runs(time)], list(_accounts(time))


def _accounts(time: OverTime) -> Iterator[Account]:
    for name, run in time.runs.items():
        sentence = load_headline(run.summary, run.series, Conditions.of(run.scenario))
        words = [f"{axle.capitalize()} tyres: {shares(run.series, axle).words}." for axle in SIDES]
        yield Account(name, sentence, words, [one.part for one in accounts(time, name)])


def _numbers(result: Result) -> tuple[list[Any], list[Any]]:
    """The numbers that tell most as the terminal says them, and all unless there is too much."""
    many = _of_many(result)
    few = _shown(numbers(result, False, brief=many))
    every = _shown(numbers(result, not many))  # of many runs all, though not all of each
    cells = sum(len(row[1]) for one in every if isinstance(one, Table) for row in one.rows)
    return few, [] if every == few or cells > MOST_CELLS else every


def _of_many(result: Result) -> bool:
    """Whether there are more runs than are listed whole."""
    return isinstance(result, Sweep) and len(result.points) > MOST_RUNS


def _shown(blocks: Sequence[Block]) -> list[Any]:
    """Sentences and tables; without hints on how to type for more."""
    return [
        _table(one) if isinstance(one, Grid) else one
        for one in blocks
        if not isinstance(one, Hint) and (isinstance(one, Grid) or one.text)
    ]


def _table(grid: Grid) -> Table:
    unnamed = "value" if len(grid.columns) == 1 else "note"
    heads = ["\n".join(part for part in head if part) or unnamed for head in grid.columns]
    columns = zip(*grid.cells, strict=True) if grid.cells else [()] * len(heads)
    flush = [_stands_right(column) for column in columns]
    rows = [
        (names, list(zip(cells, flush, strict=True)))
        for names, cells in zip(grid.rows, grid.cells, strict=True)
    ]
    alone = len(grid.corner) == 1  # then it names the table
    return Table(
        grid.corner[0] if alone else "",
        [""] if alone else grid.corner,
        list(zip(heads, flush, strict=True)),
        rows,
    )


def _stands_right(cells: Sequence[str]) -> bool:
    """Whether a column stands flush right: numbers, with no more than short words among them."""
    return any(map(is_number, cells)) and max(map(len, cells)) <= TEXT


def _slim(text: str) -> str:
    """Text of a template, style or script without what only its author needs: indents, blanks, comments."""
    lines = (line.strip() for line in text.splitlines())
    return "\n".join(line for line in lines if line and not line.startswith("//"))


def _tight(style: str) -> str:
    """A style without blanks that only its author needs."""
    return _BLANKS.sub(r"\1", style)


def _gravest_first(concern: Concern) -> bool:
    return concern.doubt is not Doubt.AUDIT_FAILED


def _policy(script: str) -> str:
    """What a browser may do with the page: its own style and the one script that it was written with."""
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    allowed = {
        "default-src": "'none'",
        "style-src": "'unsafe-inline'",
        "script-src": f"'sha256-{digest}'" if script else "'none'",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    return "; ".join(f"{what} {where}" for what, where in allowed.items())
