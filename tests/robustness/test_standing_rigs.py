"""Rigs of every size and make that stand are driven off, and keep every law of conservation.

Random rigs near a shipped one are in `test_audit_random_rigs`; rigs from the whole ranges of the files,
nearly all of which cannot stand, only in `test_strategies`.
"""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

import numpy as np
from hypothesis import Phase, given, settings
from standing import standing_rigs, standing_scenarios
from tries import tries

from simcore import InputError, simulate
from simcore.accounts.audit import DRIFT_BOUND, ENERGY_BOUND, MOMENTUM_BOUND
from simcore.files import Rig, scenario_of
from simcore.files.schema import hints, items, submodel
from simcore.solve.trace import Outcome


def every_key(hint: Any, place: str = "") -> Iterator[str]:
    """List the place of every key of a table and of the tables inside it."""
    table, kinds = submodel(hint), items(hint)
    if table is not None:
        for key, below in hints(table).items():
            yield f"{place}.{key}"
            yield from every_key(below, f"{place}.{key}")
    elif kinds is not None:
        yield from every_key(kinds[0], place)


def drawn_keys(raw: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    """List place and value of every key in a raw table."""
    if isinstance(raw, dict):
        for key, below in raw.items():
            yield f"{place}.{key}", below
            yield from drawn_keys(below, f"{place}.{key}")
    elif isinstance(raw, list):
        for below in raw:
            yield from drawn_keys(below, place)


def test_every_key_of_a_rig_is_drawn_and_varied() -> None:
    seen: dict[str, set[str]] = defaultdict(set)

    @settings(max_examples=300, deadline=None, derandomize=True, database=None, phases=[Phase.generate])
    @given(standing_rigs())
    def look(raw: dict) -> None:
        for place, value in drawn_keys(raw):
            seen[place].add(repr(value))

    look()
    assert set(seen) == set(every_key(Rig)) - {".spread"}  # which is no part of how it stands
    named = {".schema", ".name", ".note"}  # words and the version of the format
    assert {place for place, values in seen.items() if len(values) < 2} == named


@tries(30, 80)
def test_a_rig_that_stands_is_driven_off_with_sound_books(count: int) -> None:
    """The same bounds as for every rig; one that cannot stand is refused in words. More than half stand."""
    counted = {"stood": 0, "refused": 0}

    @settings(max_examples=count, deadline=None, derandomize=True, database=None, phases=[Phase.generate])
    @given(standing_scenarios())
    def look(raw: dict) -> None:
        try:
            run = simulate(scenario_of(raw, "drawn.toml"))
        except InputError as refusal:
            counted["refused"] += 1
            assert str(refusal).startswith("drawn.toml: ") and " must be " in str(refusal)
            return
        assert run.outcome is not Outcome.NOT_SOLVED
        assert np.max(run.audit.momentum) < MOMENTUM_BOUND == 1e-8
        assert np.max(np.abs(run.audit.energy)) < ENERGY_BOUND == 1e-3
        assert np.max(run.audit.drift) < DRIFT_BOUND == 1e-6
        counted["stood"] += run.trace.times[-1] > 0.199

    look()
    assert counted["stood"] > count / 2, counted
