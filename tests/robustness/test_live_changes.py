"""Whatever is turned on a live page: an answer with the numbers of the run, or faults in words."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from simcore.errors import InputError
from simcore.results.catalogue import CATALOGUE
from simcore.results.quantities import Group
from simcore.studies.live.answer import Live
from simcore.studies.live.knobs import Kind, Knob
from simcore.views.live import messages

SCENARIOS = Path(__file__).parents[2] / "scenarios"
NAMES = ("launch_vs_creep", "ledge", "ice_patch", "trail_launch", "link_layouts", "braking")
LIVES: dict[str, Live] = {}
JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.text(max_size=5),
    st.integers(),
    st.floats(),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=1),
    st.sampled_from(["none", "3 lb", "1e400", "12,5", "-0", "45:1"]),
)


def live_of(name: str) -> Live:
    if name not in LIVES:
        LIVES[name] = Live(SCENARIOS / f"{name}.toml")
    return LIVES[name]


def turned(knob: Knob) -> st.SearchStrategy[Any]:
    """What a slider, a choice or a switch gives."""
    if knob.reach is not None:
        return st.floats(knob.reach.low, knob.reach.high)
    return st.booleans() if knob.kind is Kind.SWITCH else st.sampled_from(knob.choices)


@st.composite
def changes(draw: st.DrawFn, wild: bool) -> tuple[Live, str, dict[str, Any]]:
    """A change of a case: some knobs, and sometimes what no knob gives."""
    live = live_of(draw(st.sampled_from(NAMES)))
    case = draw(st.sampled_from(live.cases))
    knobs = draw(
        st.lists(st.sampled_from(live.knobs(case)), min_size=1, max_size=3, unique_by=lambda one: one.path)
    )
    values = {one.path: draw(JUNK if wild and draw(st.booleans()) else turned(one)) for one in knobs}
    if wild and draw(st.booleans()):
        values[draw(st.text(max_size=20))] = draw(JUNK)
    return live, case, values


def read_back(message: messages.Message) -> Any:
    """What a page reads: nothing that is no JSON."""
    return json.loads(messages.text(message), parse_constant=pytest.fail)


def look(live: Live, case: str, values: dict[str, Any], whole: bool) -> bool:
    """Ask for both answers; whether there were any."""
    try:
        answer = live.first(case, values)
    except InputError as error:
        faults = read_back(messages.fault(1, values, error))["faults"]
        assert faults and all(one["text"] for one in faults)
        return False
    first = read_back(messages.first(live, answer, 1))
    assert first["verdict"] and first["lines"]["time_s"]
    if whole:
        run = live.second(case, values)
        if not run.faults:  # else it was done again by the reference, which says so
            own = {key: run.summary[key] for key in run.summary if CATALOGUE[key].group is not Group.AUDIT}
            shown = live.of_run(case, run)
            assert dict(shown.metrics) == own and shown.verdict == run.headline
            assert answer.metrics["job"] == own["job"]
            assert answer.metrics["pitch_rise_deg"] == pytest.approx(own["pitch_rise_deg"], abs=0.1)
        read_back(messages.second(live, case, run, 1))
    return True


def changed(count: int, wild: bool, whole: bool) -> int:
    """Look at so many changes; how many had answers."""
    answered = 0

    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        derandomize=True,
    )
    @given(changes(wild))
    def each(change: tuple[Live, str, dict[str, Any]]) -> None:
        nonlocal answered
        answered += look(*change, whole)

    each()
    return answered


def test_sliders_give_the_numbers_of_the_run_or_faults() -> None:
    assert changed(15, wild=False, whole=True) > 4


def test_what_no_slider_gives_is_a_fault_in_words() -> None:
    assert changed(60, wild=True, whole=False) < 60


@pytest.mark.thorough
def test_a_long_time_of_random_turning() -> None:
    assert changed(1500, wild=False, whole=True) > 500
