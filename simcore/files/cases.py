"""What is wrong with a case: a scenario with settings put over it."""

from collections.abc import Iterator, Mapping

from pydantic import ValidationError

from simcore.errors import InputIssue
from simcore.files.check import Place, key_path, placed_issues
from simcore.files.schema import Model
from simcore.files.settings import Applied, Edit
from simcore.files.steps import Steps


def case_issues(
    applied: Applied, error: ValidationError | None, model: Model, file: str, here: str = ""
) -> Iterator[InputIssue]:
    """Give every issue of a case, each at the setting that it lies in.

    Parameters
    ----------
    applied : Applied
        The settings put over the scenario.
    error : ValidationError, optional
        What pydantic has against the outcome.
    model : type
        The scenario's model.
    file : str
        The file to name.
    here : str
        The table of the settings, for what lies in several of them; "" if they were typed.
    """
    yield from applied.issues
    for place, issue in placed_issues(model, error, file) if error else ():
        blamed = _blamed(place, applied.placed)
        if not blamed and applied.issues:  # what the others make of the rig together says little
            continue
        alone = key_path(place).removeprefix("rig.")
        yield InputIssue(
            file, blamed or (f"{here}: {alone}" if here else alone), issue.got, issue.must_be, issue.hint
        )


def _blamed(place: Place, placed: Mapping[Steps, Edit]) -> str:
    """Name the setting that an issue lies in, "" for a contradiction that lies in several."""
    around = [where for where in placed if place[: len(where)] == where]
    if not around:
        return ""
    where = max(around, key=len)
    rest = key_path(place[len(where) :])
    return placed[where].place + (rest if rest.startswith("[") or not rest else f".{rest}")
