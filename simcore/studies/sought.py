"""The number whose limit is sought: its path, the range in which it is tried, and what it is in a case."""

import dataclasses
import math
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import Any

from simcore.errors import InputError, InputIssue, RejectedValue
from simcore.files.axes import JOINT, axis_values, parse_axis
from simcore.files.scenario import Scenario
from simcore.files.schema import follow, items, plain, submodel
from simcore.files.steps import item_number, nearest_path, steps
from simcore.results.quantities import Label
from simcore.studies.plan import axis_label
from simcore.units import GRAMS, Q, show, to_bench, with_unit

STEPS = 20  # of a range that is not stated
FINE = 50  # parts of a step, to which an edge is found
RANGE = "low:high:step"


@dataclasses.dataclass(frozen=True)
class Sought:
    """A number and where to look for its limits, in its bench unit.

    Attributes
    ----------
    path : dotted path, or several joined by "+" that take the same value
    unit : bench unit
    scan : values that are tried first, rising
    """

    path: str
    unit: str
    scan: tuple[float, ...]

    @property
    def step(self) -> float:
        """Step of the coarse scan."""
        return float(f"{self.scan[1] - self.scan[0]:.12g}")

    @property
    def within(self) -> float:
        """How near both sides of an edge come to one another."""
        return self.step / FINE

    @cached_property
    def label(self) -> Label:
        """What to call it, and the unit in which it is said."""
        return axis_label(self.path)

    @property
    def said_factor(self) -> float:
        """What turns its values into the unit in which they are said."""
        return GRAMS if self.label.unit not in ("", self.unit) else 1.0

    def said(self, value: float, unit: bool = True) -> str:
        """A value in words, as fine as it is known."""
        digits = max(0, math.ceil(-math.log10(self.within * self.said_factor)))
        text = f"{value * self.said_factor:.{digits}f}".replace("-", "\N{MINUS SIGN}")
        if "." in text and (value in self.scan or value == self.step):
            text = text.rstrip("0").rstrip(".")
        return f"{text} {self.label.unit}".strip() if unit else text


def paths_of(path: str) -> list[str]:
    """Paths that take the same value."""
    return [one.strip() for one in path.split(JOINT)]


def sought(scenario: Scenario, find: str, axes: Iterable[str] = ()) -> Sought:
    """Read which number is sought and where.

    Parameters
    ----------
    scenario : with its variants
    find : ``path``, or ``path=low:high:step``; without a range the one of the key in the files counts, on the
        same side of zero as the scenario's own value, if its twentieth is no more than that
    axes : paths of the axes along which it is sought

    Raises
    ------
    InputError
        when there is no such number, its range is none, or it is not known where to look.
    """
    path, given = _parted(find)
    issues, file = [], str(scenario.path)
    quantities = []
    for one in paths_of(path):
        try:
            quantities.append(quantity_at(one, scenario))
        except RejectedValue as refusal:
            issues.append(InputIssue(file, one, refusal.got, refusal.must_be, refusal.hint))
        if any(one in paths_of(axis) for axis in axes):
            issues.append(InputIssue("--vary", one, "the number that is sought", "another number"))
    units = {quantity.unit for quantity in quantities}
    if not issues and len(units) > 1:
        issues.append(InputIssue(file, path, f"units {', '.join(units)}", "numbers of the same unit"))
    if issues:
        raise InputError(issues)
    values = _stated(path, given, quantities, file) if given is not None else ()
    return Sought(path, units.pop(), values or _usual(path, scenario, quantities))


def _parted(find: str) -> tuple[str, tuple[Any, ...] | None]:
    """Path and values of the range, None where none is stated."""
    must_be = f"path or path={RANGE}, low below high, as ground.grip=10:100:10"
    if "=" not in find:
        if not find.strip():
            raise InputError([InputIssue("--find", "", show(find), must_be)])
        return find.strip(), None
    try:
        path, values = parse_axis(find)
    except RejectedValue as refusal:
        raise InputError([InputIssue("--find", "", refusal.got, must_be)]) from None
    if find.partition("=")[2].count(":") != 2:
        got = show(find.partition("=")[2].strip())
        raise InputError([InputIssue("--find", path, got, f"a range {RANGE}, low below high")])
    return path, values


def quantity_at(path: str, scenario: Scenario) -> Q:
    """What a path stands for.

    Raises
    ------
    RejectedValue
        when it leads to nothing, or to something that is no number.
    """
    hint = follow(Scenario, steps(path, Scenario))
    if hint is None:
        near = nearest_path(path, scenario.table, Scenario)
        raise RejectedValue("an unknown path", "the path of a number", near)
    _, quantity = plain(hint)
    if quantity is None:
        kind = "a whole table" if submodel(hint) else "a list" if items(hint) else "a key without a number"
        raise RejectedValue(kind, "the path of a single number, as rear.tyre.peak_grip")
    cases = [own_value(case, path) for case in scenario.cases().values()]
    if all(value is None for value in cases):
        raise RejectedValue("a number that no case has", "one that the file states")
    return quantity


def own_value(case: Scenario, path: str) -> float | None:
    """The number of a case at a path (the first of joined ones), in its bench unit; None if it has none.

    Raises
    ------
    RejectedValue
        when a name on the way is that of nothing.
    """
    place = steps(paths_of(path)[0], Scenario)
    _, quantity = plain(follow(Scenario, place))
    value: Any = case
    for step in place:
        if isinstance(value, tuple):
            named = [{"name": getattr(one, "name", "")} for one in value]
            number = step if isinstance(step, int) else item_number(named, step)
            value = value[number] if number < len(value) else None
        elif isinstance(value, Mapping):
            value = value.get(step)
        else:
            value = getattr(value, str(step), None)
        if value is None:
            return None
    if quantity is None or isinstance(value, str | bool):
        return None
    return float(f"{to_bench(value, quantity.unit):.12g}")


def _stated(path: str, given: tuple[Any, ...], quantities: list[Q], file: str) -> tuple[float, ...]:
    """Values of a stated range, checked."""
    words = [value for value in given if isinstance(value, str)]
    if words or len(given) < 2 or given[1] < given[0]:
        alone = f"{given[0]} alone" if len(given) < 2 else "a range that falls"
        got = show(words[0]) if words else alone
        raise InputError([InputIssue(file, path, got, f"a range {RANGE}, low below high")])
    issues = []
    for quantity in quantities:
        for end in (given[0], given[-1]):
            try:
                quantity.read(end)
            except RejectedValue as refusal:
                issues.append(InputIssue(file, path, refusal.got, refusal.must_be, refusal.hint))
    if issues:
        raise InputError(dict.fromkeys(issues))
    return tuple(float(value) for value in given)


def _usual(path: str, scenario: Scenario, quantities: list[Q]) -> tuple[float, ...]:
    """Values over the range that files may have, where that is a sensible one to look in."""
    own, unit = own_value(scenario, path) or 0.0, quantities[0].unit
    lows = (quantity.ge if quantity.gt is None else quantity.gt for quantity in quantities)
    low = max(-math.inf if end is None else end for end in lows)
    high = min(math.inf if quantity.le is None else quantity.le for quantity in quantities)
    low, high = (max(low, 0.0), high) if own > 0.0 else (low, min(high, 0.0))
    step = (high - low) / STEPS
    if own == 0.0 or not 0.0 < step <= abs(own):
        allowed = quantities[0].range_text()
        said = f"; the file has {with_unit(f'{own:g}', unit)}" if own else ""
        said += f", a file may have {allowed}" if allowed else ""
        must_be = f"with one, as {path}={RANGE} in {'numbers' if unit == '1' else unit}{said}"
        raise InputError([InputIssue(str(scenario.path), path, "no range to look in", must_be)])
    return tuple(float(value) for value in axis_values(f"{low:.12g}:{high:.12g}:{step:.12g}"))
