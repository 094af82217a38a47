"""The page as a file: where it may be written, and that it is written whole or not at all."""

import hashlib
from pathlib import Path

from simcore.errors import InputError, InputIssue
from simcore.files.scenario import Scenario
from simcore.results.atomic_write import check_folder, write_all
from simcore.results.result import Result
from simcore.views.page.of_result import GENERATOR, Player, page_of

ENDINGS = (".html", ".htm")
HEAD = 4096  # bytes of a page, in which its mark stands


def mark_of(scenario: Scenario) -> str:
    """What tells pages of other scenario files apart, without saying where the file lies."""
    return hashlib.sha256(str(scenario.path.resolve()).encode()).hexdigest()[:16]


def check_file(file: Path, scenario: Scenario) -> None:
    """Refuse a file that cannot be written, or that is no page of this scenario file.

    Raises
    ------
    InputError
        saying what stands there.
    """
    if file.suffix.lower() not in ENDINGS:
        raise InputError([InputIssue("--out", "", f'"{file}"', "a name that ends in .html")])
    check_folder(file.parent, [file.name])
    if not file.is_file():
        return
    with file.open("rb") as there:
        head = there.read(HEAD)
    other = "a file that is no page of this program" if f'content="{GENERATOR} '.encode() not in head else ""
    if not other and mark_of(scenario).encode() not in head:
        other = "the page of another scenario file"
    if other:
        raise InputError([InputIssue(str(file), "--out", other, "a place of its own: --out FILE.html")])


def write_page(result: Result, file: Path, player: Player | None = None) -> Path:
    """Write the page of a result, whole or not at all.

    Parameters
    ----------
    result : from any study, or read from a folder
    file : to write; its folder is made when missing
    player : as for `page_of`

    Raises
    ------
    InputError
        When it cannot be written.
    """
    text = page_of(result, player, mark_of(result.scenario))
    write_all(file.parent, {file.name: lambda path: path.write_text(text, encoding="utf-8")})
    return file
