"""Long lists of like cases: some at every run, the rest under ``-m thorough``."""

from collections.abc import Iterable
from typing import Any

import pytest


def few(cases: Iterable[Any], kept: int = 1) -> list[Any]:
    """Cases for `parametrize`: so many of them, spread over the list, always; the others when thorough."""
    cases = list(cases)
    always = {round(k * (len(cases) - 1) / max(kept - 1, 1)) for k in range(kept)}
    marked = []
    for k, case in enumerate(cases):
        if not hasattr(case, "marks"):
            case = pytest.param(*(case if isinstance(case, tuple) else (case,)))
        marked.append(case if k in always else case._replace(marks=(*case.marks, pytest.mark.thorough)))
    return marked
