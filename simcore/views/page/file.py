"""The page as a file: where it may be written, and that it is written whole or not at all."""

import dataclasses
import hashlib
from pathlib import Path

from markupsafe import escape

from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.results.atomic_write import Writer, check_folder, write_all
from simcore.results.result import Result
from simcore.studies.compare import compare
from simcore.studies.ranking import Ranking
from simcore.views.page.of_result import GENERATOR, page_of
from simcore.views.page.player import player
from simcore.views.place import PAGE

ENDINGS = (".html", ".htm")
HEAD = 4096  # bytes of a page, in which its mark stands
PLAYER = '<section class="player'  # in a page that shows rigs in motion


@dataclasses.dataclass(frozen=True, repr=False)
class Page:
    """A result as one page, which opens from disk and asks for nothing else.

    Attributes
    ----------
    title : of what was asked
    text : HTML
    """

    title: str
    text: str

    def save(self, file: str | Path) -> Path:
        """Write it, whole or not at all.

        Parameters
        ----------
        file : its name ends in .html; replaced where there is one, its folder is made when missing

        Raises
        ------
        InputError
            When it cannot be written.
        """
        path = Path(file)
        _check_ending(path)
        write_all(path.parent, {path.name: self.write})
        return path

    def write(self, path: Path) -> None:
        """Write its text, as one of several files that appear together."""
        path.write_text(self.text, encoding="utf-8")

    def __repr__(self) -> str:
        """Give its title and size."""
        return f"<page: {self.title} {len(self.text.encode()) / 1000:.0f} kB>"

    def _repr_html_(self) -> str:
        """The page in a frame of a notebook, in which its script reaches nothing outside."""
        style = "width: 100%; height: 48rem; border: 0; resize: vertical"
        inside, title = escape(self.text), escape(self.title)
        return f'<iframe sandbox="allow-scripts" style="{style}" title="{title}" srcdoc="{inside}"></iframe>'


def page(result: Result, mark: str | None = None, cases: Result | None = None) -> Page:
    """Give the page of a result, with its rigs in motion where it holds runs.

    Parameters
    ----------
    result : from any study, or read from a folder
    mark : what tells it from pages of other files; left out: by where the scenario file lies
    cases : the runs that a ranking rests on, to be shown in motion
    """
    text = page_of(result, player, mark_of(result.scenario) if mark is None else mark, cases)
    return Page(result.scenario.title, text)


def mark_of(scenario: Scenario) -> str:
    """What tells pages of other scenario files apart, without saying where the file lies."""
    return hashlib.sha256(str(scenario.path.resolve()).encode()).hexdigest()[:16]


def check_file(file: Path, scenario: Scenario, kind: str) -> None:
    """Refuse a file that cannot be written, or that is no page of this kind of result of this scenario file.

    Raises
    ------
    InputError
        saying what stands there.
    """
    _check_ending(file)
    check_folder(file.parent, [file.name])
    head = _head(file)
    other = "" if head is None else _other(head, scenario, kind)
    if other:
        raise InputError([InputIssue(str(file), "--out", other, "a place of its own: --out FILE.html")])


def _other(head: str, scenario: Scenario, kind: str) -> str:
    """What a file is that is no page of this kind of result of this scenario file; empty if it is one."""
    if _meta("generator", f"{GENERATOR} ") not in head:
        return "a file that is no page of this program"
    if not _is_of(head, scenario):
        return "the page of another scenario file"
    return "" if _is_kind(head, kind) else "the page of another kind of result"


def renewed(result: Result, folder: Path) -> dict[str, Writer]:
    """What writes the page that stands in a folder anew, where it is of an earlier result of the same kind.

    Such a page would go on saying what was. Where it shows the rigs of a ranking in motion, these are run
    again.
    """
    file = folder / PAGE
    head = _head(file)
    if head is None or not _is_of(head, result.scenario) or not _is_kind(head, result.kind):
        return {}
    moves = isinstance(result, Ranking) and PLAYER in file.read_text(encoding="utf-8", errors="replace")
    return {PAGE: page(result, cases=_cases(result.scenario) if moves else None).write}


def _cases(scenario: Scenario) -> Result | None:
    """Runs of all cases; None where one of them cannot be run."""
    try:
        return compare(scenario)
    except InputError:
        return None


def _check_ending(file: Path) -> None:
    if file.suffix.lower() not in ENDINGS:
        raise InputError([InputIssue("--out", "", f'"{file}"', "a name that ends in .html")])


def _head(file: Path) -> str | None:
    """Begin of a file; None where there is none."""
    if not file.is_file():
        return None
    with file.open("rb") as there:
        return there.read(HEAD).decode(errors="replace")


def _meta(name: str, content: str) -> str:
    """How a page says of itself what begins so."""
    return f'<meta name="{name}" content="{content}'


def _is_of(head: str, scenario: Scenario) -> bool:
    return _meta("mark", f'{mark_of(scenario)}"') in head


def _is_kind(head: str, kind: str) -> bool:
    return _meta("kind", f'{kind}"') in head
