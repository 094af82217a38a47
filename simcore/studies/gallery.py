"""The gallery: pictures of every scenario in a folder: its question, how to read it, its finding."""

import dataclasses
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from simcore.faults import BadInput, Fault
from simcore.files import Scenario, load_scenario
from simcore.files.scenario import Finding
from simcore.files.schema import hints, plain
from simcore.outbox import Writer
from simcore.pictures.prints import AS_USUAL, Draw, Prints, save_result
from simcore.pictures.reading import READING
from simcore.results.metrics import Summary
from simcore.run import simulate
from simcore.studies.compare import compare
from simcore.studies.sweep import sweep
from simcore.studies.told import broken_claims, check_finding, told

if TYPE_CHECKING:
    from simcore.run import Run
    from simcore.studies.compare import Comparison
    from simcore.studies.sweep import Sweep

CHAPTERS: tuple[str, ...] = get_args(plain(hints(Finding)["chapter"])[0])
OTHER = "further questions"
PAGE = "README.md"


@dataclasses.dataclass(frozen=True)
class Exhibit:
    """One scenario of the gallery.

    Attributes
    ----------
    name : of its file
    scenario : with its finding
    command : that makes it, `run`, `compare` or `sweep`
    pictures : what draws each picture that is shown, by its name; the first tells the finding
    summaries : of its cases
    sound : whether every run kept its audit
    """

    name: str
    scenario: Scenario
    command: str
    pictures: Mapping[str, Draw]
    summaries: Mapping[str, Summary]
    sound: bool

    @property
    def broken(self) -> list[str]:
        """What of its finding these runs do not bear out."""
        return broken_claims(self.scenario, self.summaries)

    @property
    def files(self) -> dict[str, Draw]:
        """File name without ending to what draws it."""
        first = next(iter(self.pictures))
        return {
            self.name if name == first else f"{self.name}_{name}": draw
            for name, draw in self.pictures.items()
        }

    def page(self, folder: str) -> str:
        """Its part of the gallery's page, as Markdown; `folder` is where the scenarios are."""
        title = self.scenario.title
        lines = [f"### {title}"]
        for name, file in zip(self.pictures, self.files, strict=True):
            lines += [f"![{title}]({file}.png)", f"*How to read it.* {READING[self._kind(name)]}"]
        lines += [self.scenario.note.strip()] if self.scenario.note else []
        lines += [f"**Finding.** {told(self.scenario, self.summaries)}"] if self.scenario.finding.says else []
        lines += [f"`simcore {self.command} {folder}/{self.name}.toml`"]
        return "\n\n".join(lines) + "\n"

    def _kind(self, picture: str) -> str:
        if self.command != "sweep":
            return picture
        return "curves" if len(self.scenario.vary) == 1 else "maps"


def _studied(scenario: Scenario, workers: int) -> tuple[str, "Run | Comparison | Sweep"]:
    """Command and result of the study that a scenario asks for."""
    if scenario.vary:
        return "sweep", sweep(scenario, workers=workers)
    if scenario.variants:
        return "compare", compare(scenario)
    check_finding(scenario, [scenario.case])
    return "run", simulate(scenario)


def exhibit(path: Path, workers: int = 1, rate: float | None = None) -> Exhibit:
    """Run what a scenario file asks for.

    Parameters
    ----------
    path : of the file
    workers : processes for a sweep
    rate : output rate in place of the file's, 1/s; figures do not depend on it

    Raises
    ------
    BadInput
        when the file is faulty, or asks for a picture that its study does not make.
    """
    scenario = load_scenario(path)
    if rate is not None:
        scenario = scenario.changed({"output.rate": rate}, keep_variants=True)
    command, result = _studied(scenario, workers)
    drawn, finding = result.pictures(), scenario.finding
    wanted = (finding.picture or next(iter(drawn)), *finding.also)
    must_be = f"one of {', '.join(drawn)}"
    faults = [
        Fault(str(path), "finding", f'the picture "{name}"', must_be) for name in wanted if name not in drawn
    ]
    if faults:
        raise BadInput(faults)
    pictures = {name: drawn[name] for name in wanted}
    return Exhibit(path.stem, scenario, command, pictures, result.summaries, result.sound)


@dataclasses.dataclass(frozen=True)
class Gallery:
    """Every scenario of a folder, by the chapters of their findings.

    Attributes
    ----------
    folder : of the scenarios
    exhibits : in the order of their names
    """

    folder: Path
    exhibits: list[Exhibit]

    @property
    def faults(self) -> dict[str, str]:
        """Scenarios whose runs broke an audit or do not bear out the finding, and how."""
        found = {one.name: "; ".join(one.broken) for one in self.exhibits if one.broken}
        return found | {one.name: "a run broke its audit" for one in self.exhibits if not one.sound}

    def page(self) -> str:
        """The gallery as Markdown, one chapter after the other."""
        parts = []
        for chapter in (*CHAPTERS, OTHER):
            shown = [one for one in self.exhibits if (one.scenario.finding.chapter or OTHER) == chapter]
            parts += [f"## {chapter.capitalize()}\n"] if shown else []
            parts += [one.page(self.folder.name) for one in shown]
        return "\n".join(parts)

    def save(self, folder: str | Path, page: str, prints: Prints = AS_USUAL) -> list[Path]:
        """Write the pictures of every scenario, and a page of text as README.md; all or none."""
        tables: dict[str, Writer] = {PAGE: lambda path: path.write_text(page, encoding="utf-8")}
        pictures = {name: draw for one in self.exhibits for name, draw in one.files.items()}
        return save_result(folder, tables, pictures, prints)


def gallery(
    folder: str | Path, workers: int = 1, progress: Callable[[float, float], None] | None = None
) -> Gallery:
    """Run every scenario file of a folder.

    Parameters
    ----------
    folder : with scenario files
    workers : processes for the sweeps
    progress : called with (scenarios done, scenarios in all)

    Raises
    ------
    BadInput
        when there is none, or one of them is faulty.
    """
    files, found = sorted(Path(folder).glob("*.toml")), []
    if not files:
        raise BadInput([Fault(str(folder), "", "no scenario file", "a folder with scenario files (*.toml)")])
    for k, path in enumerate(files):
        found.append(exhibit(path, workers))
        if progress is not None:
            progress(k + 1, len(files))
    return Gallery(Path(folder), found)
