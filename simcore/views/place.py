"""Where results go: a folder for each study and each change of a file, never over the results of another."""

import hashlib
import json
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from simcore.errors import InputError, InputIssue
from simcore.files import Scenario
from simcore.results.atomic_write import clear_up
from simcore.results.result import Result
from simcore.studies.load import HOMES, kind_named
from simcore.views.catalogue import pictures_for
from simcore.views.export import AS_USUAL, FORMATS, Export, check_place

HOME = Path("plots")
PAGE = "report.html"  # of a result, in its folder
LONGEST = 80  # bytes of a folder's name
KEPT = 48  # letters of a longer one, before the digest that stands for the rest
_DROPPED = re.compile(r"[\[\]\"']")
_TIGHT = re.compile(r"\s*([=,+])\s*")
_ODD = re.compile(r"[^\w%+,.=-]+")


def own_folder(path: Path, words: Sequence[str]) -> Path:
    """Folder for a study of a file: `plots/<file name>/` for the study that it asks for, as it stands.

    Any other study of it, and any change of it, has a folder of its own in there, named by it.

    Parameters
    ----------
    path : of the file
    words : what is not as the file asks for: the command, the variant, what was changed
    """
    folder = HOME / path.stem
    return folder / named(words) if words else folder


def variant_word(scenario: Scenario, variant: str) -> str:
    """What to call a variant's folder: its name, with a number where two names would be written alike."""
    alike = [name for name in scenario.variants if named([name]).lower() == named([variant]).lower()]
    return variant if len(alike) < 2 else f"{variant},{alike.index(variant) + 1}"


def named(words: Sequence[str]) -> str:
    """Name of a folder from what was typed; what a file system may not take is left out or written as _."""
    parts = (_ODD.sub("_", _TIGHT.sub(r"\1", _DROPPED.sub("", word).strip())) for word in words)
    name = ",".join(parts).strip("._") or "changed"
    if len(name.encode()) <= LONGEST:
        return name
    return f"{name[:KEPT]}_{hashlib.sha256(','.join(words).encode()).hexdigest()[:8]}"


def check_own_place(folder: Path, kind: type[Result], scenario: Scenario, how: Export = AS_USUAL) -> None:
    """Refuse a folder that cannot take the files of a result, or in which they would replace those of another
    file or study.

    Raises
    ------
    InputError
        saying whose they are.
    """
    check_place(folder, kind, scenario, how)
    clear_up(folder)
    mine = {*kind.names(), *how.names(one.name for one in pictures_for(kind, scenario))}
    own = [name for name in sorted(mine) if (folder / name).exists() and _is_input(folder / name, scenario)]
    if own:
        raise _refusal(folder, f"{own[0]}, which is the input itself")
    saved, record = list(_saved_in(folder)), f"{kind.kind}.json"
    if (folder / record).exists() and kind not in (other for other, _ in saved):
        raise _refusal(folder, f"a {record} that is no result of this program")
    for other, form in saved:
        whose = f"the {other.kind} of {form['file']}"
        if not _same_input(form, scenario):
            raise _refusal(folder, whose)
        lost = sorted(mine & _files_of(other, folder)) if other is not kind else []
        if lost:
            raise _refusal(folder, f"{whose}, which has a {lost[0]} too")


def _is_input(path: Path, scenario: Scenario) -> bool:
    """Whether a file is the one that a scenario was read from."""
    return scenario.path.exists() and path.samefile(scenario.path)


def _refusal(folder: Path, whose: str) -> InputError:
    return InputError([InputIssue(str(folder), "--out", whose, "a folder without it: --out DIR")])


def _saved_in(folder: Path) -> Iterator[tuple[type[Result], dict[str, Any]]]:
    """Kind and form of every saved result in a folder; what cannot be read is none."""
    for name in sorted(HOMES) if folder.is_dir() else ():
        try:
            form = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
            if form["kind"] == name and isinstance(form["file"], str):
                yield kind_named(name), form
        except (OSError, ValueError, KeyError, TypeError, RecursionError):
            continue


def _files_of(kind: type[Result], folder: Path) -> set[str]:
    """Files of a kind of result that stand in a folder."""
    pictures = Export(FORMATS).names(one.name for one in pictures_for(kind))
    return {name for name in (*kind.names(), *pictures) if (folder / name).exists()}


def _same_input(form: dict[str, Any], scenario: Scenario) -> bool:
    """Whether a saved result is of the same file; of one that is gone from its place, whether it looks so."""
    saved, path = Path(form["file"]), scenario.path
    if saved.resolve() == path.resolve():
        return True
    title = form["scenario"].get("title") if isinstance(form.get("scenario"), dict) else None
    return not saved.exists() and (saved.name, title) == (path.name, scenario.title)
