"""Which readings matter: against statics by hand, frozen, resumed, cases, refusals; mostly without runs."""

import dataclasses
import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from worksheets_to_move import axle_table, filled

import simcore
from simcore import InputError, load_scenario
from simcore.accounts.job import JobState
from simcore.files import Scenario, scenario_of
from simcore.files.worksheet import Worksheet
from simcore.readings.derive import Derived, derive
from simcore.readings.moves import Move, moves_of
from simcore.results.store import FILE, Row
from simcore.studies import kept_runs
from simcore.studies import what_matters as module
from simcore.studies.execute import Note
from simcore.studies.scenario_for import asked_of
from simcore.studies.sensitivity import Sensitivity
from simcore.studies.what_matters import what_matters

SCENARIOS = Path(__file__).parents[3] / "scenarios"
SLOPE, G = math.radians(20.0), 9.80665
LAUNCH = load_scenario(SCENARIOS / "punchy_launch.toml")
REAL = simcore.simulate(LAUNCH.changed({"end.duration": 0.3, "output.rate": 50})).summary
OIL = "rear.shock.damper.compression"
FEW = (
    *(OIL, "motor.no_load_current", "wheelbase", "rear.housing.mass", "rear.shock.loading"),
    *(f"rear.shock.sink.{key}" for key in ("weight", "distance", "time")),
)
"""What is moved where runs are only pretended."""
Judge = Callable[[Scenario], Row]


@pytest.fixture
def pretend(monkeypatch: pytest.MonkeyPatch) -> Callable[[Judge], list[Scenario]]:
    """Let a function of the scenario stand for its run; gives the list of what was run."""

    def instead(judge: Judge) -> list[Scenario]:
        ran: list[Scenario] = []

        def run(tasks: Mapping[str, Scenario], note: Note, workers: int, do: object) -> None:
            for key, scenario in tasks.items():
                ran.append(scenario)
                note(key, REAL | {"job": "DONE", "job_failure": "", "audit": "SOUND"} | judge(scenario))

        monkeypatch.setattr(kept_runs, "run_here", run)
        only(monkeypatch, *FEW)
        return ran

    return instead


def only(monkeypatch: pytest.MonkeyPatch, *tags: str) -> None:
    """Move no more than some readings and guesses."""

    def some(derived: Derived) -> list[Move]:
        return [one for one in moves_of(derived) if one.tag in tags]

    monkeypatch.setattr(module, "moves_of", some)


def pitch(scenario: Scenario) -> dict[str, float]:
    """A pitch that hangs on the oil of the rear and a little on the rear spring, by a known law."""
    shock = scenario.rig.rear.shock
    rise = 1.0 + 0.5 * shock.damper.compression - 0.001 * shock.springs[0].rate
    return {"pitch_rise_deg": rise, "front_lift_mm": 3.0}


def test_ranking_and_sizes_are_those_of_statics_by_hand(monkeypatch: pytest.MonkeyPatch):
    """Front load of a rig parked up a slope: N = g [m_f cos a - (m_r + m_f) h sin a / L].

    Moments about the rear contact. Stiff springs and tyres leave the body where it was weighed. The whole
    rig is on the scales, so what a part weighs cannot matter.
    """
    rear, front, height, base = 0.870, 1.132, 0.069, 0.315
    errors = {"scales.rear": 0.2, "scales.front": 0.02, "scales.cg_height": 0.006, "wheelbase": 0.008}
    sheet = parked_sheet(rear="870 +- 200 g", front="1132 +- 20 g", cg_height="69 +- 6 mm")
    lever = height * math.sin(SLOPE) / base
    by_hand = {
        "scales.front": G * (math.cos(SLOPE) - lever),
        "scales.rear": -G * lever,
        "scales.cg_height": -G * (rear + front) * math.sin(SLOPE) / base,
        "wheelbase": G * (rear + front) * lever / base,
    }
    still = ("rear.housing.mass", "front.tyre.wheel_mass", "parts.0.mass", "parts.0.at.0")
    only(monkeypatch, *errors, *still)
    answer = what_matters(sheet, parked()).answer
    bars = {bar.tag: bar for bar in answer.bars}
    (figure,) = answer.figures
    assert figure.value == pytest.approx(G * (front * math.cos(SLOPE) - (rear + front) * lever), rel=2e-3)
    for tag, slope in by_hand.items():
        up = answer.changes(bars[tag], 0)[0]
        assert up == pytest.approx(slope * errors[tag], rel=0.04), tag
    order = sorted(by_hand, key=lambda tag: -abs(by_hand[tag] * errors[tag]))
    assert [bar.tag for bar in answer.ranked[:4]] == order
    for tag in still:
        assert answer.largest(bars[tag], 0) < 0.01 * figure.seen, tag


def parked() -> Scenario:
    """A rig held by its brake up a slope, for an instant."""
    table = {
        "title": "How much do the front tyres carry?",
        "rig": str(SCENARIOS / "rigs" / "gully.toml"),
        "ground": {"slope": 20},
        "driver": {"control": "torque", "torque": [[0, 0]], "brake": [[0, 100]]},
        "end": {"duration": 0.01},
        "conclusion": {"shown": ["front_load_mean_N"]},
    }
    return scenario_of(table, SCENARIOS / "parked.toml")


def parked_sheet(**scales: str) -> Worksheet:
    """The worksheet with stiff springs and tyres, and with shafts."""
    ends = {}
    for name, joints in (("rear", ([128, 74], [28, 60])), ("front", ([176, 74], [287, 60]))):
        own = axle_table(name)
        shock = {key: one for key, one in own["shock"].items() if key not in ("loading", "unloading")}
        tyre = own["tyre"] | {"squash": [[20000, 0.5]]}
        shaft = {"chassis": joints[0], "axle": joints[1], "ratio": 3, "friction": 0.2}
        ends[name] = own | {"shock": shock | {"rate": "300 +- 1 N/mm"}, "tyre": tyre, "shaft": shaft}
    return filled(scales=scales, wheelbase="315 +- 8 mm", **ends)


def test_what_is_known_surely_no_longer_matters(pretend):
    """A law of the oil by hand: 0.5 deg per N*s/m; then its guess is replaced by a sure reading."""
    pretend(pitch)
    open_sheet = filled(rear=without_oil())
    first = what_matters(open_sheet, LAUNCH).answer
    assert [bar.tag for bar in first.telling] == [OIL]
    assert first.changes(first.telling[0], 0) == pytest.approx([1.25, -1.25])
    push = {"weight": "40 +- 0.0001 g", "distance": "15 +- 0.0001 mm", "time": "0.19 +- 0.00001 s"}
    sure = filled(rear={**without_oil(), "shock": without_oil()["shock"] | {"sink": push}})
    then = what_matters(sure, LAUNCH).answer
    assert OIL not in {bar.tag for bar in then.bars}
    assert not then.telling
    left = [bar for bar in then.bars if bar.tag.startswith("rear.shock.sink")]
    assert len(left) == 3 and all(then.seen(bar) < 0.01 for bar in left)


def without_oil() -> dict[str, Any]:
    """The rear axle, its oil not measured."""
    own = axle_table("rear")
    return own | {"shock": {key: one for key, one in own["shock"].items() if key != "sink"}}


def test_the_other_way_is_run_only_where_one_moves_something(pretend):
    ran = pretend(pitch)
    result = what_matters(filled(rear=without_oil()), LAUNCH)
    sides = {bar.tag: len(bar.sides) for bar in result.answer.bars}
    assert sides == dict.fromkeys(sides, 1) | {OIL: 2}
    assert len(ran) == result.runs == 1 + len(result.answer.bars) + 1


def test_it_goes_on_where_it_was_stopped_and_is_read_again(pretend, tmp_path: Path):
    ran = pretend(pitch)
    told: list[str] = []
    first = what_matters(filled(rear=without_oil()), LAUNCH, tmp_path, announce=told.append)
    count = len(ran)
    kept = (tmp_path / FILE).read_text().splitlines()
    (tmp_path / FILE).write_text("\n".join(kept[:-3]) + "\n")
    again = what_matters(filled(rear=without_oil()), LAUNCH, tmp_path, announce=told.append)
    assert len(ran) == count + 3
    assert again.answer == first.answer
    assert told[0].startswith(f"{len(first.answer.bars) + 1} runs: {len(first.answer.bars)} readings")
    first.save(tmp_path)
    read = simcore.load(tmp_path)
    assert isinstance(read, Sensitivity)
    assert (read.headline, read.answer) == (first.headline, first.answer)
    assert {name: table.to_csv() for name, table in read.tables.items()} == {
        name: table.to_csv() for name, table in first.tables.items()
    }


def test_a_verdict_that_turns_comes_first_and_its_figures_are_not_compared(pretend):
    def judge(scenario: Scenario) -> Row:
        weak = scenario.rig.motor.no_load_current > 2.0
        return pitch(scenario) | ({"job": "NOT_DONE", "job_failure": "STANDS_STILL"} if weak else {})

    pretend(judge)
    result = what_matters(filled(rear=without_oil()), LAUNCH)
    worst = result.answer.ranked[0]
    assert worst.tag == "motor.no_load_current"
    assert worst.sides[0].jobs == (JobState.NOT_DONE,)
    assert set(worst.sides[0].figures) == {None}
    assert "at 2.40 A it " in result.headline
    assert result.matters["verdict"].iloc[0].startswith("at 2.40 A it ")


def test_values_that_make_no_rig_are_said_and_nothing_breaks(pretend):
    pretend(pitch)
    shock = axle_table("rear")["shock"] | {
        "sink": {"weight": 40, "distance": 15, "time": "0.17 +- 0.2 s"}  # time can come out below nought
    }
    result = what_matters(filled(rear=axle_table("rear") | {"shock": shock}), LAUNCH)
    (bar,) = [one for one in result.answer.bars if one.tag == "rear.shock.sink.time"]
    assert [side.jobs for side in bar.sides] == [(JobState.DONE,), (JobState.UNKNOWN,)]
    assert bar.sides[1].why.startswith("no rig: ")
    key = result.matters.index.get_loc("rear.shock.sink.time")
    assert "no answer: no rig: " in result.matters["verdict"].iloc[key]


def test_of_several_cases_the_answer_is_what_each_adds_to_the_first(pretend):
    def judge(scenario: Scenario) -> Row:
        share = 1.0 if scenario.driver.control == "speed" else 2.0
        return pitch(scenario) | {"pitch_rise_deg": share * pitch(scenario)["pitch_rise_deg"]}

    pretend(judge)
    scenario = load_scenario(SCENARIOS / "launch_vs_creep.toml")
    result = what_matters(filled(rear=without_oil()), scenario)
    figures = {figure.key: figure.value for figure in result.answer.figures}
    rise = 1.0 + 0.5 * 3.5 - 0.001 * result.scenario.rig.rear.shock.springs[0].rate
    assert figures["60 ms punch less creep at 0.15 m/s | pitch_rise_deg"] == pytest.approx(rise)
    assert figures["60 ms punch less creep at 0.15 m/s | front_lift_mm"] == 0.0
    (bar,) = result.answer.telling
    assert result.answer.largest(bar, 0) == pytest.approx(1.25)


def test_what_of_a_file_does_not_go_with_the_rig_is_left_out_and_said():
    sheet = derive(filled(parts=[])).table
    weight, left = asked_of(load_scenario(SCENARIOS / "weight.toml"), sheet)
    assert list(weight.variants) == ["200 g off"] and weight.rig.name == "As if measured"
    assert [text.partition(":")[0] for text in left] == [
        'its case "battery lower"',
        'its case "battery forward"',
    ]
    grip, left = asked_of(load_scenario(SCENARIOS / "grip.toml"), sheet)
    assert not grip.vary and left == ["its [vary]: the rig is moved at the file's own values"]
    assert (
        grip.conclusion.shown[:2] == ("support_rear_travel_mm", "rear_squat_mm") and not grip.conclusion.says
    )


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_shipped_scenario_can_be_asked_of_a_measured_rig(path: Path):
    asked, _ = asked_of(load_scenario(path), derive(filled()).table)
    assert asked.rig.name == "As if measured" and list(asked.cases())


def test_a_run_that_breaks_off_is_no_verdict(pretend):
    def judge(scenario: Scenario) -> Row:
        high = scenario.rig.rear.shock.damper.compression > 5.0
        return pitch(scenario) | ({"audit": "ENERGY"} if high else {})

    pretend(judge)
    result = what_matters(filled(rear=without_oil()), LAUNCH)
    (bar,) = [one for one in result.answer.bars if one.tag == OIL]
    assert [side.jobs[0] for side in bar.sides] == [JobState.UNKNOWN, JobState.DONE]
    assert not result.concerns and result.answer.unknown()
    unknown = dataclasses.replace(result.answer, jobs=(JobState.UNKNOWN,))
    assert [str(one) for one in dataclasses.replace(result, answer=unknown).concerns] == [
        "NOT KNOWN (as given): gave no answer with the rig as it is"
    ]


def test_a_question_that_asks_nonsense_of_the_rig_is_refused():
    scenario = LAUNCH.changed({"goal.at_most": {"pitch_rise": 3}}, keep_variants=True)
    with pytest.raises(InputError, match=r"goal\.at_most\.pitch_rise"):
        what_matters(filled(), scenario)
