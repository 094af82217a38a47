"""Every study's kind of result can be read again."""

import importlib
import pkgutil

from simcore import studies
from simcore.results.result import Result
from simcore.studies.load import HOMES, kind_named


def test_every_kind_of_result_has_its_home() -> None:
    for module in pkgutil.iter_modules(studies.__path__):
        importlib.import_module(f"{studies.__name__}.{module.name}")
    kinds = {name: kind for name, kind in Result.kinds.items() if kind.__module__ in HOMES.values()}
    assert kinds == {name: kind_named(name) for name in HOMES}
    others = set(Result.kinds.values()) - set(kinds.values())
    assert all(not kind.__module__.startswith(studies.__name__) for kind in others)
