"""The gallery: pictures of every scenario in a folder: its question, how to read it, its conclusion."""

import dataclasses
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import get_args

from simcore.errors import InputError, InputIssue
from simcore.files import Scenario, load_scenario
from simcore.files.scenario import Conclusion
from simcore.files.schema import hints, plain
from simcore.results.atomic_write import Writer, write_all
from simcore.results.result import Result
from simcore.studies.claims import broken_claims, check_conclusion, conclude
from simcore.studies.compare import compare
from simcore.studies.inspect import inspect
from simcore.studies.limit import Limits, find_limit
from simcore.studies.simulate import simulate
from simcore.studies.sweep import sweep
from simcore.views.catalogue import Draw, Picture, pictures_for, pictures_of
from simcore.views.export import AS_USUAL, Export
from simcore.views.reference import page

CHAPTERS: tuple[str, ...] = get_args(plain(hints(Conclusion)["chapter"])[0])
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
    path : of the file
    chapter : of the gallery
    title : its question
    results : of its studies; the first one is what its conclusion speaks of
    shown : its pictures; the first tells the conclusion
    """

    path: Path
    chapter: str
    title: str
    results: Sequence[Result]
    shown: Sequence[Shown]

    @property
    def scenario(self) -> Scenario:
        """The scenario of the first study."""
        return self.results[0].scenario

    @property
    def faults(self) -> list[str]:
        """What of its conclusion its runs do not bear out, and what is doubtful about them."""
        broken = broken_claims(self.scenario, self.results[0].summaries)
        return broken + [str(concern) for result in self.results for concern in result.concerns]

    @property
    def files(self) -> dict[str, Draw]:
        """File name without ending to what draws it."""
        names = [self._file(k) for k in range(len(self.shown))]
        return {name: shown.draw for name, shown in zip(names, self.shown, strict=True)}

    def _file(self, k: int) -> str:
        name = self.path.stem
        return name if k == 0 and self.chapter != RIGS else f"{name}_{self.shown[k].picture.name}"

    def page(self) -> str:
        """Its part of the gallery's page, as Markdown."""
        lines = [f"### {self.title}"]
        for k, shown in enumerate(self.shown):
            lines += [f"![{self.title}]({self._file(k)}.png)", f"*How to read it.* {shown.picture.caption}"]
        lines += [self.scenario.note.strip()] if self.scenario.note else []
        if self.scenario.conclusion.says:
            lines.append(f"**Conclusion.** {conclude(self.scenario, self.results[0].summaries)}")
        commands = dict.fromkeys(f"`simcore {shown.command} {self.path.as_posix()}`" for shown in self.shown)
        return "\n\n".join([*lines, ", ".join(commands)]) + "\n"


def _studied(scenario: Scenario, workers: int) -> tuple[str, Result]:
    """Command and result of the study that a scenario asks for."""
    if scenario.vary:
        return "sweep", sweep(scenario, workers=workers)
    if scenario.variants:
        return "compare", compare(scenario)
    check_conclusion(scenario, [scenario.case])
    return "run", simulate(scenario)


def exhibit(path: Path, workers: int = 1, rate: float | None = None) -> Exhibit:
    """Run what a scenario file asks for.

    Parameters
    ----------
    path : of the file
    workers : processes for a sweep
    rate : output rate in place of the file's, 1/s; metrics do not depend on it

    Raises
    ------
    InputError
        when the file is faulty, or asks for a picture that there is not of it.
    """
    scenario = load_scenario(path)
    if rate is not None:
        scenario = scenario.changed({"output.rate": rate}, keep_variants=True)
    command, result = _studied(scenario, workers)
    known = {picture.name: (picture, command) for picture in pictures_for(type(result), scenario)}
    known |= {picture.name: (picture, "limit") for picture in pictures_for(Limits, scenario)}
    conclusion = scenario.conclusion
    wanted = (conclusion.picture or next(iter(known)), *conclusion.also)
    issues = [
        InputIssue(str(path), "conclusion", f'the picture "{name}"', f"one of {', '.join(known)}")
        for name in wanted
        if name not in known
    ]
    if issues:
        raise InputError(issues)
    results = {command: result}
    if any(known[name][1] == "limit" for name in wanted):
        results["limit"] = find_limit(scenario)
    shown = []
    for name in wanted:
        picture, by = known[name]
        shown.append(Shown(picture, by, partial(picture.draw, results[by])))
    return Exhibit(path, conclusion.chapter or OTHER, scenario.title, list(results.values()), shown)


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
        text = page(self.page())
        tables: dict[str, Writer] = {PAGE: lambda path: path.write_text(text, encoding="utf-8")}
        pictures = {name: draw for one in self.exhibits for name, draw in one.files.items()}
        return write_all(Path(folder), tables | how.writers(pictures, standing=Path(folder)))


def gallery(
    folder: str | Path, workers: int = 1, progress: Callable[[float, float], None] | None = None
) -> Gallery:
    """Run every scenario file of a folder and look at every rig in its folder `rigs`.

    Parameters
    ----------
    folder : with scenario files
    workers : processes for the sweeps
    progress : called with (files done, files in all)

    Raises
    ------
    InputError
        when there is none, or one of them is faulty.
    """
    home, found = Path(folder), []
    files, rigs = sorted(home.glob("*.toml")), sorted((home / "rigs").glob("*.toml"))
    if not files:
        must_be = "a folder with scenario files (*.toml)"
        raise InputError([InputIssue(str(folder), "", "no scenario file", must_be)])
    for k, path in enumerate([*files, *rigs]):
        found.append(rig_exhibit(path) if path in rigs else exhibit(path, workers))
        if progress is not None:
            progress(k + 1, len(files) + len(rigs))
    return Gallery(found)
