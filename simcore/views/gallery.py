"""The gallery: pictures of every scenario in a folder: its question, how to read it, its conclusion."""

import dataclasses
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import get_args

from simcore.errors import InputError, InputIssue
from simcore.files import Rig, Scenario, load_scenario
from simcore.files.conclusion import Conclusion
from simcore.files.schema import hints
from simcore.files.schema import plain as plain_type
from simcore.files.source import read_toml
from simcore.plausibility.warn import warn_of_rig
from simcore.results.atomic_write import Writer, write_all
from simcore.results.headlines.tried import trial_faults, tried_elsewhere, tried_reasons
from simcore.results.result import Result
from simcore.results.tried import Trial
from simcore.standing.at_rest import standing_scenario
from simcore.studies.asked import answered
from simcore.studies.claims import broken_claims, conclude, conclusion_issues, why_not_conclude
from simcore.studies.compare import runs_of
from simcore.studies.inspect import inspect
from simcore.studies.limit import Limits, find_limit
from simcore.studies.rank import rank
from simcore.studies.ranking import Ranking
from simcore.studies.trials import try_conclusion
from simcore.views.catalogue import Draw, Picture, pictures_for, pictures_of
from simcore.views.export import AS_USUAL, Export
from simcore.views.markdown import code, image, link, marked, plain, title
from simcore.views.page.file import page as page_to_send
from simcore.views.reference import GENERATED, page

CHAPTERS: tuple[str, ...] = get_args(plain_type(hints(Conclusion)["chapter"])[0])
OTHER, RIGS = "further questions", "the rigs"
PAGE = "README.md"


@dataclasses.dataclass(frozen=True)
class Shown:
    """One picture of an exhibit.

    Attributes
    ----------
    picture : which
    command : of the program that makes it
    draw : draws it
    """

    picture: Picture
    command: str
    draw: Draw


@dataclasses.dataclass(frozen=True)
class Exhibit:
    """One file of the gallery.

    Attributes
    ----------
    unknown : pictures that its conclusion asks for and that there are not
    trials : of its conclusion: causes switched off, other rigs
    path : of the file
    chapter : of the gallery
    title : its question
    results : of its studies; the first one is what its conclusion speaks of
    shown : its pictures; the first tells the conclusion
    answer : of these results that of the study that the file asks for, of which its page is; None: the first
    """

    path: Path
    chapter: str
    title: str
    results: Sequence[Result]
    shown: Sequence[Shown]
    unknown: Sequence[InputIssue] = ()
    trials: Sequence[Trial] = ()
    answer: Result | None = None

    @property
    def scenario(self) -> Scenario:
        """The scenario of the first study."""
        return self.results[0].scenario

    @property
    def faults(self) -> list[str]:
        """What of its conclusion its runs do not bear out or have not, and what is doubtful about them."""
        first = self.results[0]
        issues = [*self.unknown, *conclusion_issues(self.scenario, first.cases_run)]
        broken = broken_claims(self.scenario, first.cases_run, first.summaries)
        concerns = [concern for result in self.results for concern in result.concerns]
        return [str(fault) for fault in (*issues, *broken, *trial_faults(self.trials), *concerns)]

    @property
    def files(self) -> dict[str, Draw]:
        """File name without ending to what draws it."""
        names = [self._file(k) for k in range(len(self.shown))]
        return {name: shown.draw for name, shown in zip(names, self.shown, strict=True)}

    def _file(self, k: int) -> str:
        name = self.path.stem
        return name if k == 0 and self.chapter != RIGS else f"{name}_{self.shown[k].picture.name}"

    @property
    def report(self) -> dict[str, Writer]:
        """File name of the page to send, to what writes it; empty unless it is asked for."""
        if not self.scenario.conclusion.report:
            return {}
        # without a mark: it is the same in every copy of the folder
        cases = self.results[0]
        answer = self.answer or cases
        return {f"{self.path.stem}.html": lambda file: page_to_send(answer, "", cases).write(file)}

    def page(self) -> str:
        """Its part of the gallery's page, as Markdown."""
        lines = [f"### {title(self.title)}"]
        for k, shown in enumerate(self.shown):
            lines += [image(self.title, f"{self._file(k)}.png"), f"*How to read it.* {shown.picture.caption}"]
        note = self.scenario.rig.note if self.chapter == RIGS else self.scenario.note
        lines += [plain(note)] if note else []
        if self.scenario.conclusion.says:
            lines.append(self._conclusion())
        lines += self.tried()
        asked = [*(shown.command for shown in self.shown), *(["report"] if self.report else [])]
        commands = dict.fromkeys(code(f"simcore {command} {self.path.as_posix()}") for command in asked)
        moves = ", with the rigs in motion" if runs_of(self.results[0]) else ""
        lines += [link(f"All of it on one page to send{moves}", file) for file in self.report]
        return "\n\n".join([*lines, ", ".join(commands)]) + "\n"

    def tried(self) -> list[str]:
        """What came of trying its conclusion, a paragraph each."""
        several = len(self.results[0].cases_run) > 1
        said = (tried_reasons(self.trials, several), tried_elsewhere(self.trials, several))
        return [marked(one) for one in said if one]

    def _conclusion(self) -> str:
        """What the file concludes, or why that cannot be said of its runs."""
        cases, first = self.results[0].summaries, self.results[0]
        doubt = why_not_conclude(self.scenario, first.cases_run, cases)
        return plain(doubt) if doubt else f"**Conclusion.** {plain(conclude(self.scenario, cases))}"


def exhibit(path: Path, workers: int = 1, rate: float | None = None, draws: int | None = None) -> Exhibit:
    """Run what a scenario file asks for, and what its conclusion is to be tried on.

    Parameters
    ----------
    path : of the file
    workers : processes for a sweep, and for what its conclusion is tried on
    rate : output rate in place of the file's, 1/s; metrics do not depend on it
    draws : of a ranking in place of the file's

    Raises
    ------
    InputError
        when the file is faulty. That there is no such picture as it asks for is a fault of the exhibit.
    """
    scenario = load_scenario(path)
    if rate is not None:
        scenario = scenario.changed({"output.rate": rate}, keep_variants=True)
    study, answer, cases = answered(scenario, workers=workers, draws=draws)
    results = {"compare" if study == "rank" else study: cases, study: answer}
    kinds = {name: type(result) for name, result in reversed(results.items())}
    kinds = kinds | {"limit": Limits, "rank": Ranking}
    known = {
        picture.name: (picture, command)
        for command, kind in kinds.items()
        for picture in pictures_for(kind, scenario)
    }
    conclusion = scenario.conclusion
    asked = [name for name in (conclusion.picture, *conclusion.also) if name is not None]
    unknown = [
        InputIssue(str(path), "conclusion", f'the picture "{name}"', f"one of {', '.join(known)}")
        for name in asked
        if name not in known
    ]
    first = conclusion.picture if conclusion.picture in known else next(iter(known))
    wanted = dict.fromkeys([first, *(name for name in asked if name in known)])
    commands = {known[name][1] for name in wanted} - set(results)
    if "limit" in commands:
        results["limit"] = find_limit(scenario)
    if "rank" in commands:
        results["rank"] = rank(scenario, draws=draws, workers=workers)
    shown = []
    for name in wanted:
        picture, by = known[name]
        shown.append(Shown(picture, by, partial(picture.draw, results[by])))
    trials = try_conclusion(scenario, cases.cases_run, cases.summaries, workers)
    studied, chapter = list(results.values()), conclusion.chapter or OTHER
    return Exhibit(path, chapter, scenario.title, studied, shown, unknown, trials, answer)


def rig_exhibit(path: Path) -> Exhibit:
    """Look at a rig file, standing on the level."""
    result = inspect(path)
    drawn = pictures_of(result)
    shown = [Shown(one, "inspect", drawn[one.name]) for one in pictures_for(type(result), result.scenario)]
    return Exhibit(path, RIGS, f"How does {result.standing.name} stand?", [result], shown)


@dataclasses.dataclass(frozen=True)
class Gallery:
    """Every scenario of a folder, by the chapters of their conclusions, and its rigs.

    Attributes
    ----------
    exhibits : in the order of their names
    """

    exhibits: list[Exhibit]

    @property
    def faults(self) -> dict[str, str]:
        """Files whose runs broke an audit or do not bear out the conclusion, and how."""
        return {one.path.stem: "; ".join(one.faults) for one in self.exhibits if one.faults}

    def page(self) -> str:
        """The gallery as Markdown, one chapter after the other."""
        parts = []
        for chapter in (*CHAPTERS, OTHER, RIGS):
            shown = [one for one in self.exhibits if one.chapter == chapter]
            parts += [f"## {chapter.capitalize()}\n"] if shown else []
            parts += [one.page() for one in shown]
        return "\n".join(parts)

    def save(self, folder: str | Path, how: Export = AS_USUAL) -> list[Path]:
        """Write the pictures of every file, and a page as README.md; all or none.

        A picture that shows the same as the file there is left as it is.
        """
        check_page(folder)
        text = page(self.page())
        tables: dict[str, Writer] = {PAGE: lambda path: path.write_text(text, encoding="utf-8")}
        pictures: dict[str, Draw] = {}
        for one in self.exhibits:
            taken = sorted(one.files.keys() & pictures)
            if taken:
                got = f"a picture {taken[0]}, which another file has too"
                raise InputError([InputIssue(str(one.path), "", got, "a file with a name of its own")])
            pictures |= one.files
            tables |= one.report
        return write_all(Path(folder), tables | how.writers(pictures, standing=Path(folder)))


def check_page(folder: str | Path) -> None:
    """Refuse a folder whose README.md was written by somebody.

    Raises
    ------
    InputError
        when it was.
    """
    path = Path(folder) / PAGE
    if path.is_file() and GENERATED not in path.read_text(encoding="utf-8", errors="replace"):
        got = f"a folder with a {PAGE} that simcore has not made"
        raise InputError([InputIssue(str(folder), "--out", got, "a folder without it: --out DIR")])


def gallery(
    folder: str | Path, workers: int = 1, progress: Callable[[float, float], None] | None = None
) -> Gallery:
    """Run every scenario file of a folder and look at every rig, beside them or in its folder `rigs`.

    Parameters
    ----------
    folder : with scenario files, rig files, or both
    workers : processes for the sweeps
    progress : called with (files done, files in all)

    Raises
    ------
    InputError
        when there is none, or one of them is faulty; before any is run.
    """
    home = Path(folder)
    files, shelf = sorted(home.glob("*.toml")), sorted((home / "rigs").glob("*.toml"))
    if not files and not shelf:
        must_be = "a folder with scenario or rig files (*.toml)"
        got = "a file" if home.is_file() else "no such file" if home.is_dir() else "no such folder"
        raise InputError([InputIssue(str(folder), "", got, must_be)])
    beside = [path for path in files if _is_rig(path)]
    rigs, scenarios = [*beside, *shelf], [path for path in files if path not in beside]
    _check_files(scenarios, rigs)
    found: list[Exhibit] = []
    for path in (*scenarios, *rigs):
        found.append(rig_exhibit(path) if path in rigs else exhibit(path, workers))
        if progress is not None:
            progress(len(found), len(scenarios) + len(rigs))
    return Gallery(found)


def _is_rig(path: Path) -> bool:
    """Whether a file has the keys of a rig rather than those of a scenario; unreadable ones have none."""
    try:
        keys = set(read_toml(path))
    except InputError:
        return False
    rig, scenario = set(hints(Rig)), set(hints(Scenario))
    return len(keys & (rig - scenario)) > len(keys & (scenario - rig))


def _check_files(scenarios: Sequence[Path], rigs: Sequence[Path]) -> None:
    """Refuse faulty files, and those whose pictures would bear the same names; warn of implausible rigs."""
    issues: list[InputIssue] = []
    for path in (*scenarios, *rigs):
        try:
            warn_of_rig(standing_scenario(path) if path in rigs else load_scenario(path))
        except InputError as error:
            issues += error.issues
    first: dict[str, Path] = {}
    for path in rigs:
        if first.setdefault(path.stem, path) != path:
            got = f"a rig file of the same name as {first[path.stem]}"
            issues.append(InputIssue(str(path), "", got, "a file with a name of its own"))
    if issues:
        raise InputError(issues)
