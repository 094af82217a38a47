"""Moves every reading and guess of a worksheet, each alone, and runs a scenario with what comes of it."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from pathlib import Path

from simcore.accounts.job import JobState
from simcore.errors import InputError, InputIssue
from simcore.files.reading import load_scenario
from simcore.files.scenario import Scenario
from simcore.files.worksheet import Worksheet, load_worksheet
from simcore.readings.derive import derive
from simcore.readings.line_names import name_of, rows_name
from simcore.readings.moves import Move, Source, moves_of
from simcore.results.headlines.job import job_sentence
from simcore.results.metrics import Summary
from simcore.results.moved import Answer, Bar, Figure, Side, moves_visibly
from simcore.results.reliability import job_of
from simcore.results.store import FAILED, WHY, NoMetrics, Row, Rows
from simcore.studies.goals import check_goal
from simcore.studies.kept_runs import KeptRuns, Progress
from simcore.studies.plan import no_metrics
from simcore.studies.scenario_for import asked_of, figure_values, figures_of
from simcore.studies.sensitivity import Sensitivity

NEARLY = 0.5
"""Share of a visible change from which the other way is tried too."""
Announce = Callable[[str], None]
Cases = Mapping[str, Scenario]
Doable = tuple[Cases, str]
"""Cases of a moved rig; where there are none, why."""


def what_matters(
    worksheet: Worksheet | str | Path,
    scenario: Scenario | str | Path,
    folder: str | Path | None = None,
    workers: int = 1,
    progress: Progress | None = None,
    announce: Announce | None = None,
) -> Sensitivity:
    """Find which readings and guesses move the answer of a scenario most.

    Each is moved up by its error, the whole rig is worked out anew, and the scenario is run; those that
    come near to a visible change are moved down too.

    Parameters
    ----------
    worksheet, scenario : or their files; the worksheet's rig takes the place of the scenario's own
    folder : where finished runs are kept, so that it goes on where it was stopped; None: nowhere
    workers : processes on this machine
    progress : called with (runs done, runs known to be due)
    announce : called with how many runs there will be, in words

    Raises
    ------
    InputError
        When a file is faulty, or rig and scenario do not go together.
    """
    sheet = worksheet if isinstance(worksheet, Worksheet) else load_worksheet(worksheet)
    question = scenario if isinstance(scenario, Scenario) else load_scenario(scenario)
    derived = derive(sheet)
    derived.rig()
    asked, left_out = asked_of(question, derived.table)
    check_goal(asked)
    moves = moves_of(derived)
    with closing(Rows(folder)) as store:
        runs = KeptRuns(store, workers, progress)
        return _Study(sheet, asked, moves, runs, announce or (lambda text: None)).done(tuple(left_out))


class _Study:
    """One question, and everything that is moved for it."""

    def __init__(
        self, sheet: Worksheet, asked: Scenario, moves: Sequence[Move], runs: KeptRuns, announce: Announce
    ) -> None:
        self.sheet, self.asked, self.moves, self.runs, self.announce = sheet, asked, moves, runs, announce
        self.cases = asked.cases()

    def done(self, left_out: tuple[str, ...]) -> Sensitivity:
        """Do all runs."""
        up = [self.moved(move, 1.0) for move in self.moves]
        first = [self.cases, *(cases for cases, _ in up)]
        due = self.runs.left(case for cases in first for case in cases.values())
        self.announce(
            f"{len(due)} runs: {len(self.moves)} readings and guesses moved up, {len(self.cases)} "
            f"case{'s' * (len(self.cases) > 1)} each; then down those that come near to a visible change"
        )
        rows = self.runs.rows(self.cases)
        self._refuse(rows)
        jobs = tuple(job_of(row) for row in rows.values())
        figures = figures_of(self.asked, rows)
        sides = self.sides(up, self.moves, 1.0, figures, jobs)
        again = [k for k, side in enumerate(sides) if moves_visibly(figures, side, jobs, NEARLY)]
        down = [self.moved(self.moves[k], -1.0) for k in again]
        others = dict(
            zip(again, self.sides(down, [self.moves[k] for k in again], -1.0, figures, jobs), strict=True)
        )
        bars = tuple(
            self.bar(move, (side, *([others[k]] if k in others else [])))
            for k, (move, side) in enumerate(zip(self.moves, sides, strict=True))
        )
        answer = Answer(figures, tuple(self.cases), jobs, bars)
        return Sensitivity(self.asked, self.sheet, answer, left_out, self.runs.count)

    def moved(self, move: Move, sign: float) -> Doable:
        """Cases with the rig that a move gives; none, and why, where it gives none."""
        try:
            derived = derive(self.sheet, move.moved(sign))
            asked = self.asked.changed({"rig": derived.table}, keep_variants=True)
            return asked.cases(), ""
        except InputError as error:
            return {}, f"no rig: {no_metrics(error)[WHY]}"
        except (ArithmeticError, ValueError) as error:  # a formula has no answer there
            return {}, f"no rig: a formula of the worksheet has no answer ({error})"

    def sides(
        self,
        doable: Sequence[Doable],
        moves: Sequence[Move],
        sign: float,
        figures: Sequence[Figure],
        jobs: Sequence[JobState],
    ) -> list[Side]:
        """What came of moves in one way."""
        every = {(k, name): case for k, (cases, _) in enumerate(doable) for name, case in cases.items()}
        rows = self.runs.rows(every)
        return [
            self.side(move.to(sign), cases, {name: rows[k, name] for name in cases}, why, figures, jobs)
            for k, (move, (cases, why)) in enumerate(zip(moves, doable, strict=True))
        ]

    def side(
        self,
        to: float,
        cases: Cases,
        rows: Mapping[str, Summary],
        why: str,
        figures: Sequence[Figure],
        own: Sequence[JobState],
    ) -> Side:
        """What came of one move."""
        if not cases:
            return Side(to, (None,) * len(figures), (JobState.UNKNOWN,) * len(own), why)
        jobs = tuple(job_of(row) for row in rows.values())
        same = {name: job is other for name, job, other in zip(rows, jobs, own, strict=True)}
        first = next((name for name, alike in same.items() if not alike), "")
        said = _why(rows[first], cases[first]) if first else ""
        return Side(to, figure_values(figures, rows, same), jobs, said)

    def bar(self, move: Move, sides: tuple[Side, ...]) -> Bar:
        """A move with what came of it."""
        name = name_of(move.gives or move.tag, self.sheet)
        if move.source is Source.ROWS:
            name += f" ({rows_name(move.tag)})"
        return Bar(move.tag, move.gives, move.source, move.unit, move.value, move.error, name, sides)

    def _refuse(self, rows: Mapping[str, Row]) -> None:
        """Refuse a rig that the scenario cannot be run with at all."""
        issues = [
            InputIssue(
                str(self.sheet.path), "", f"a rig that {name} cannot be run with", f"one without: {row[WHY]}"
            )
            for name, row in rows.items()
            if row.get(FAILED) == NoMetrics.INPUT.name
        ]
        if issues:
            raise InputError(issues)


def _why(row: Row, case: Scenario) -> str:
    """Why a run did not do its job, or has no answer; "" for one that did it."""
    if FAILED in row and "job" not in row:
        return str(row[WHY])
    if job_of(row) is JobState.DONE:
        return ""
    return job_sentence(row, case, brief=True)
