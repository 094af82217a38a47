"""From pydantic's errors to issues: key path in TOML form, got, must be, nearest known key."""

import json
from collections.abc import Mapping
from typing import Any, Literal, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from simcore.errors import InputError, InputIssue, RejectedValue
from simcore.files.schema import Model, follow, hints, items, plain, submodel, wording
from simcore.files.words import bare, nearest
from simcore.units import show, with_unit

AnyModel = TypeVar("AnyModel", bound=BaseModel)
Place = tuple[str | int, ...]


def check(model: type[AnyModel], raw: Mapping[str, Any], file: str, *, rig_file: str = "") -> AnyModel:
    """Validate a raw table.

    Parameters
    ----------
    model : type
        The file model.
    raw : mapping
        The table as read.
    file : str
        The file to name in issues.
    rig_file : str
        The file that the table ``rig`` came from, if it is another one.

    Raises
    ------
    InputError
        With every issue found.
    """
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        issues = [issue for place, issue in placed_issues(model, error, file)]
        if rig_file:
            issues = [_without_rig(issue, rig_file) for issue in issues]
        raise InputError(dict.fromkeys(issues)) from None


def placed_issues(model: Model, error: ValidationError, file: str) -> list[tuple[Place, InputIssue]]:
    """Give place and issue of everything that pydantic complains about."""
    details = [one for one in error.errors(include_url=False) if one["type"] != "default_factory_not_called"]
    return [(one["loc"], _issue(model, one, file)) for one in details]


def key_path(place: Place) -> str:
    """Write a place as a key path in TOML form: ``rear.shock.springs[0].rate``."""
    text = ""
    for step in place:
        text += f"[{step}]" if isinstance(step, int) else f".{bare(step)}"
    return text.removeprefix(".")


def _without_rig(issue: InputIssue, file: str) -> InputIssue:
    if issue.key != "rig" and not issue.key.startswith("rig."):
        return issue
    return InputIssue(file, issue.key[len("rig.") :], issue.got, issue.must_be, issue.hint)


def _issue(model: Model, detail: ErrorDetails, file: str) -> InputIssue:
    place, kind, context = detail["loc"], detail["type"], detail.get("ctx", {})
    if place and place[-1] == "[key]":  # pydantic's mark for the key of a free table
        place = place[:-1]
    refusal = context.get("error")
    if isinstance(refusal, RejectedValue):
        return InputIssue(file, key_path(place), refusal.got, refusal.must_be, refusal.hint)
    if kind == "contradiction":
        return InputIssue(file, key_path(place), context["got"], context["must_be"])
    if kind == "extra_forbidden":
        return _unknown_key(model, place, file)
    got = "nothing" if kind == "missing" else show(detail["input"])
    if kind in ("too_long", "too_short"):
        return InputIssue(file, key_path(place), got, _length(follow(model, place, named=True), context))
    if kind == "literal_error":
        return InputIssue(
            file, key_path(place), got, _choice(context["expected"]), nearest(got, _choices(model, place))
        )
    if place and isinstance(place[-1], int) and kind == "missing":
        place = place[:-1]
        got = f"a list of {len(detail['input'])}"
    must_be = wanted(follow(model, place, named=True)) or _own_words(detail["msg"])
    return InputIssue(file, key_path(place), got, must_be)


def _unknown_key(model: Model, place: Place, file: str) -> InputIssue:
    parent = submodel(follow(model, place[:-1], named=True))
    known = list(hints(parent)) if parent else []
    near = nearest(str(place[-1]), known)
    must_be = f"a known key ({', '.join(known)})" if not near else "a known key"
    return InputIssue(file, key_path(place), "an unknown key", must_be, near)


def wanted(hint: Any) -> str:
    """Say what a type wants: "a number in mm, greater than 0 mm", "[mm, mm]", "a table"."""
    inner, quantity = plain(hint)
    if wording(hint):
        return wording(hint)
    if quantity is not None:
        return quantity.wanted()
    kinds = items(hint)
    if kinds is not None:
        return f"a list of {_each(kinds[0])}" if kinds[-1] is Ellipsis else _each(hint)
    if get_origin(inner) is Literal:
        return " or ".join(map(json.dumps, get_args(inner)))
    if submodel(hint) is not None or inner is dict or get_origin(inner) is dict:
        return "a table"
    return {str: "text", bool: "true or false"}.get(inner, "")


def _each(hint: Any) -> str:
    if wording(hint):
        return wording(hint)
    _, quantity = plain(hint)
    if quantity is not None:
        return with_unit("number", quantity.unit) if quantity.unit == "1" else quantity.unit
    kinds = items(hint)
    if kinds is not None:
        return f"[{', '.join(_each(kind) for kind in kinds)}]"
    return "tables" if submodel(hint) is not None else "values"


def _length(hint: Any, context: Mapping[str, Any]) -> str:
    kinds = items(hint)
    if kinds is not None and kinds[-1] is not Ellipsis:
        return wanted(hint)
    if "max_length" in context:
        return f"a list of at most {context['max_length']}"
    return f"a list of at least {context['min_length']}"


def _choice(expected: str) -> str:
    return "one of " + expected.replace("'", '"') if " or " in expected else expected.replace("'", '"')


def _choices(model: Model, place: Place) -> list[str]:
    inner, _ = plain(follow(model, place, named=True))
    return [str(value) for value in getattr(inner, "__args__", ())]


def _own_words(message: str) -> str:
    return message.removeprefix("Input should be ").removeprefix("Input should ").rstrip(".")
