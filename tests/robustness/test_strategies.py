"""The random rigs and scenarios span what the files may say."""

import tomllib
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from strategies import SLOW, crawlers, raw_scenarios, raw_table

from simcore.files import Rig, Scenario, scenario_of
from simcore.files.schema import hints, items, plain, submodel

GOOD_RIG = tomllib.loads(
    (Path(__file__).parent / "wrong_files" / "good_rig.toml").read_text(encoding="utf-8")
)


def numeric_keys(hint: Any, place: str = "") -> Iterator[str]:
    """List the place of every number that a file may hold, list items as []."""
    table, kinds = submodel(hint), items(hint)
    if plain(hint)[1] is not None:
        yield place
    elif table is not None:
        for key, below in hints(table).items():
            yield from numeric_keys(below, f"{place}.{key}")
    elif kinds is not None:
        for i, kind in enumerate(kinds[:1] if kinds[-1] is Ellipsis else kinds):
            yield from numeric_keys(kind, f"{place}[]" if kinds[-1] is Ellipsis else f"{place}[{i}]")


def numbers(hint: Any, raw: Any, place: str = "") -> Iterator[tuple[str, float]]:
    """List place and value of every number in a raw table."""
    table, kinds = submodel(hint), items(hint)
    if plain(hint)[1] is not None:
        yield place, raw
    elif table is not None:
        for key, below in raw.items():
            yield from numbers(hints(table)[key], below, f"{place}.{key}")
    elif kinds is not None:
        for i, below in enumerate(raw):
            step = "[]" if kinds[-1] is Ellipsis else f"[{i}]"
            yield from numbers(kinds[0] if step == "[]" else kinds[i], below, place + step)


# The rig apart: in a small table the same number of draws reaches further.
DRAWN = [Rig, *(table for table in map(submodel, hints(Scenario).values()) if table not in (None, Rig))]


@pytest.mark.parametrize("model", [pytest.param(DRAWN[0], marks=pytest.mark.thorough), *DRAWN[1:]])
def test_every_numeric_key_is_varied(model: Any) -> None:
    seen: dict[str, set[float]] = defaultdict(set)

    @settings(max_examples=500, deadline=None, derandomize=True, database=None, suppress_health_check=SLOW)
    @given(raw_table(model))
    def look(raw: dict) -> None:
        for place, value in numbers(model, raw):
            seen[place].add(value)

    look()
    every = set(numeric_keys(model))
    assert {place for place in every if len(seen[place]) < 3} == set()
    assert set(seen) <= every


def test_the_drawn_tables_hold_every_number_of_the_files() -> None:
    places = sum(len(list(numeric_keys(model))) for model in DRAWN)
    assert places == len(list(numeric_keys(Scenario))) > 100


@settings(max_examples=60, deadline=None, suppress_health_check=SLOW)
@given(raw_scenarios())
def test_drawn_scenarios_are_taken_and_repeat_from_their_own_text(raw: dict) -> None:
    scenario = scenario_of(raw, "drawn.toml")
    text = scenario.to_toml()
    again = scenario_of(tomllib.loads(text), "elsewhere.toml")
    assert again == scenario
    assert again.to_toml() == text


@settings(max_examples=100, deadline=None)
@given(crawlers(GOOD_RIG))
def test_crawlers_are_rigs_near_the_given_one(raw: dict) -> None:
    rig = Rig.model_validate(raw)
    assert 0.248 <= rig.wheelbase <= 0.372
    assert rig.rear.shock.springs[0].rate != 0
