"""Which change helps: asked of a stand-in for the run, whose answers are known on paper."""

from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.accounts.job import JobState
from simcore.errors import InputError
from simcore.files import Scenario
from simcore.files.reading import scenario_of
from simcore.results.ranked import Verdict
from simcore.studies import execute
from simcore.studies.rank import rank
from simcore.studies.ranking import AS_IT_STANDS, Ranking
from simcore.studies.reached import what_would

SCENARIOS = Path(__file__).parents[3] / "scenarios"
BASE = {"driver": {"control": "torque", "torque": [[0, 0], [0.06, 34]]}, "ground": {"slope": 20}}
VARIANTS = {
    "lighter": {"chassis.mass -=": 40},
    "heavier": {"chassis.mass +=": 40},
    "a gram less": {"chassis.mass -=": 1},
    "softer": {"rear.shock.springs.0.rate *=": 0.9},
    "grip": {"rear.tyre.peak_grip *=": 1.3},
}


def asked(**more: Any) -> Scenario:
    rig = str(SCENARIOS / "rigs" / "gully.toml")
    raw = {"title": "Which helps?", "rig": rig, **BASE, "variants": VARIANTS} | more
    return scenario_of(raw, Path("which.toml"))


def stand_in(scenario: Scenario) -> tuple[str, dict[str, Any]]:
    """A run in which a climb takes a millisecond a gram of chassis, and up 40 deg wants a grip of 1.2.

    A stiffer rear spring helps up to 30 deg and harms beyond.
    """
    rig, slope = scenario.rig, scenario.ground.slope
    way = 1.0 if slope < 0.5 else -1.0
    spring = way * (rig.rear.shock.springs[0].rate or 0.0) / 1e3
    done = slope < 0.65 or rig.rear.tyre.peak_grip > 1.2
    row = {"job": "DONE" if done else "NOT_DONE", "audit": "SOUND", "why": "slips"}
    figures = {"done_s": rig.chassis.mass - spring, "energy_used_J": 2.0, "distance_mm": 100.0}
    return execute.program(), row | figures


@pytest.fixture(autouse=True)
def runs(monkeypatch: pytest.MonkeyPatch) -> list[Scenario]:
    """What is really run."""
    done: list[Scenario] = []

    def counting(scenario: Scenario, **_: Any) -> tuple[str, dict[str, Any]]:
        done.append(scenario)
        return stand_in(scenario)

    monkeypatch.setattr(execute, "work", counting)
    return done


def verdicts(result: Ranking) -> dict[str, Verdict]:
    return {change.name: change.verdict for change in result.changes}


def test_paired_draws_tell_a_change_that_one_set_up_alone_would_hide() -> None:
    spread = {"chassis.mass": "100 g", "rear.shock.springs.0.rate": "1 %"}
    result = rank(asked(spread=spread), draws=16)
    found = {change.name: change for change in result.changes}
    (effect,) = found["lighter"].effects
    assert effect.change == pytest.approx(-0.04) and effect.low is not None and effect.high is not None
    assert effect.low == pytest.approx(effect.high, abs=1e-6)  # the error of the mass drops out
    assert result.basis.scatter[0] is not None and result.basis.scatter[0] > 0.04
    assert result.basis.metric == "done_s" and result.basis.chosen
    told = verdicts(result)
    assert told["lighter"] is Verdict.CLEAR_GAIN and told["heavier"] is Verdict.CLEAR_LOSS
    assert told["a gram less"] is told["grip"] is Verdict.TOO_SMALL
    assert [result.changes[0].name, result.changes[-1].name] == ["lighter", "heavier"]
    assert "more than bench error" in result.headline and result.headline.startswith("Helps most: lighter")


def test_a_sign_that_changes_with_the_condition_is_said_with_where() -> None:
    steep = {"conditions": {"steeper": {"ground.slope": 35}}}
    result = rank(asked(rank=steep, variants={"stiffer": {"rear.shock.springs.0.rate *=": 1.6}}), draws=0)
    (change,) = result.changes
    assert [effect.condition for effect in change.effects] == [AS_IT_STANDS, "steeper"]
    assert change.verdict is Verdict.DEPENDS
    assert f"better {AS_IT_STANDS}, worse steeper" in result.headline
    assert "not reckoned with" in "".join(line for line in _said(result))


def test_a_change_that_does_the_job_is_above_any_number() -> None:
    result = rank(asked(ground={"slope": 40}, spread={"chassis.mass": "5 g"}), draws=16)
    assert result.changes[0].name == "grip" and result.changes[0].verdict is Verdict.CLEAR_GAIN
    assert result.headline.startswith("Does not do its job as it stands; grip would make it")


def test_what_is_tried_is_called_what_it_is_where_speed_is_held() -> None:
    held = asked(driver={"control": "speed", "speed": [[0, 0.1]]})
    found = {one.what for one in what_would(held, lambda case: JobState.DONE)}
    assert found == {
        *("grip", "voltage of the motor", "grip and voltage of the motor together"),
        "weight of chassis and parts",
    }


def test_what_would_do_the_job_is_said_only_where_it_was_tried_and_found() -> None:
    few = {"lighter": VARIANTS["lighter"]}
    result = rank(asked(ground={"slope": 40}, variants=few), draws=0)
    own = asked().rig.rear.tyre.peak_grip
    factors = {one.what: one.factor for one in result.would}
    assert result.would_tried and set(factors) == {"grip", "grip and torque together"}
    assert 1.2 / own < factors["grip"] < 1.2 / own + 0.05
    assert (
        "Nothing on this list reaches the goal" in result.headline
        and "grip \N{MULTIPLICATION SIGN}" in result.headline
    )
    assert not rank(asked(variants=few), draws=0).would_tried


def test_a_resumed_ranking_is_the_same_and_runs_nothing_twice(runs: list[Scenario], tmp_path: Path) -> None:
    first = rank(asked(), draws=8, folder=tmp_path)
    done = len(runs)
    again = rank(asked(), draws=8, folder=tmp_path)
    assert len(runs) == done and again.table.equals(first.table)
    kept = (tmp_path / "runs.jsonl").read_bytes().splitlines(keepends=True)
    (tmp_path / "runs.jsonl").write_bytes(b"".join(kept[: len(kept) // 2]) + kept[-1][:20])
    assert rank(asked(), draws=8, folder=tmp_path).table.equals(first.table)
    assert done < len(runs) < 2 * done


def test_a_saved_ranking_is_read_again_whole(tmp_path: Path) -> None:
    result = rank(asked(rank={"conditions": {"steeper": {"ground.slope": 35}}}), draws=8)
    result.save(tmp_path)
    other = simcore.load(tmp_path)
    assert isinstance(other, Ranking) and other.headline == result.headline
    assert other.changes == result.changes and other.basis == result.basis and other.pairs == result.pairs
    assert other.table.equals(result.table)


def test_each_tries_steps_up_and_down_of_every_number() -> None:
    result = rank(asked(rank={"steps": {"chassis.mass": 30, "motor.resistance": "10 %"}}), each=True, draws=0)
    effects = {change.name: change.effects[0].change for change in result.changes}
    assert effects["chassis mass +30 g"] == pytest.approx(0.03)
    assert effects["chassis mass \N{MINUS SIGN}30 g"] == pytest.approx(-0.03)
    assert {
        "motor resistance \N{MULTIPLICATION SIGN}1.1",
        "motor resistance \N{MULTIPLICATION SIGN}0.909",
    } <= set(effects)
    assert result.basis.each


def test_the_best_changes_that_do_not_add_up_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each saves 0.1 s, and both together no more than that: 0.1 s less than the sum."""
    own = asked().rig

    def saturates(scenario: Scenario, **_: Any) -> tuple[str, dict[str, Any]]:
        rig = scenario.rig
        either = rig.chassis.mass < own.chassis.mass or rig.driveline.overdrive > own.driveline.overdrive
        row = {"job": "DONE", "audit": "SOUND", "done_s": 0.9 if either else 1.0}
        return execute.program(), row

    monkeypatch.setattr(execute, "work", saturates)
    more = {"variants": {"lighter": VARIANTS["lighter"], "led": {"driveline.overdrive +=": 5}}}
    result = rank(asked(**more), draws=0)
    (pair,) = result.pairs
    assert set(pair.names) == {"lighter", "led"}
    assert pair.change == pytest.approx(-0.1) and pair.extra == pytest.approx(0.1)
    assert any("do not add up" in line for line in _said(result))


def test_by_slope_every_answer_is_a_search_and_kept_apart_from_runs(
    monkeypatch: pytest.MonkeyPatch, runs: list[Scenario], tmp_path: Path
) -> None:
    def stands_in(scenario: Scenario) -> tuple[str, dict[str, Any]]:
        mass = scenario.rig.chassis.mass
        return execute.program(), {"job": "DONE", "climbs_deg": 60.0 - 100.0 * mass, "why": "slips"}

    rank(asked(), draws=0, folder=tmp_path)
    before = len(runs)
    monkeypatch.setattr("simcore.studies.rank.climbs", stands_in)
    result = rank(asked(), by="slope", draws=0, folder=tmp_path)
    assert len(runs) == before and result.basis.metric == "climbs_deg"
    best = result.changes[0]
    assert best.name == "lighter" and best.effects[0].change == pytest.approx(4.0)
    assert "steepest slope climbed +4" in result.headline


@pytest.mark.parametrize(
    ("more", "how", "said"),
    [
        ({"variants": {}}, {}, "--each"),
        ({}, {"by": "pitch"}, "--more or --less"),
        ({}, {"by": "pich"}, 'did you mean "pitch"'),
        ({}, {"by": "support_pitch_deg"}, "a metric with a number"),
        ({}, {"by": "Frnt Load"}, 'did you mean "front load"'),
        ({}, {"draws": -1}, "a whole number"),
        ({"rank": {"draws": 2.5}}, {}, "rank.draws: got 2.5, must be a whole number"),
        ({}, {"draws": 3}, "--draws: got 3, must be a whole number from 4 on"),
        ({"rank": {"steps": {"chassis.mass": 0}}}, {"each": True}, "a step above 0"),
        ({"rank": {"steps": {"chassis.name": 3}}}, {"each": True}, "the path of one"),
        ({"rank": {"conditions": {AS_IT_STANDS: {"ground.slope": 3}}}}, {}, "a name of its own"),
    ],
)
def test_what_cannot_be_ranked_is_refused_before_any_run(
    runs: list[Scenario], more: dict[str, Any], how: dict[str, Any], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        rank(asked(**more), **how)
    assert not runs


@pytest.mark.parametrize("by", ["Time", "TIME", "Done_S", " time "])
def test_a_metric_may_be_written_in_large_letters(by: str) -> None:
    assert rank(asked(), by=by, draws=0).basis.metric == "done_s"


def test_a_variant_that_undoes_a_condition_is_refused() -> None:
    both = {"conditions": {"steep": {"ground.slope": 30}}}
    with pytest.raises(InputError, match='which the variant "level" replaces'):
        rank(asked(rank=both, variants={"level": {"ground.slope": 0}}), draws=0)


def test_faulty_conditions_are_refused_with_the_file() -> None:
    wrong = {"conditions": {"steep": {"ground.slop": 30}, "icy": {"ground.grip": -1}}}
    with pytest.raises(InputError) as refused:
        asked(rank=wrong)
    assert [issue.key.split(".")[2] for issue in refused.value.issues] == ["steep", "icy"]


def _said(result: Ranking) -> list[str]:
    from simcore.views.console.report import report

    return [line.text for line in report(result, True, None)]


def test_every_change_is_drawn_where_draws_tear_the_job_of_the_rig(monkeypatch: pytest.MonkeyPatch) -> None:
    """A climb that is done from a grip of its own on, which the rig as given just has."""
    given = asked().rig.rear.tyre.peak_grip

    def on_the_brink(scenario: Scenario, **_: Any) -> tuple[str, dict[str, Any]]:
        grips = scenario.rig.rear.tyre.peak_grip >= 0.995 * given
        row = {"job": "DONE" if grips else "NOT_DONE", "audit": "SOUND", "why": "slips", "done_s": 1.0}
        return execute.program(), row

    monkeypatch.setattr(execute, "work", on_the_brink)
    spread = {"rear.tyre.peak_grip": "2 %"}
    variants = {"grippier": {"rear.tyre.peak_grip *=": 1.02}, "lighter": VARIANTS["lighter"]}
    result = rank(asked(variants=variants, spread=spread))
    found = verdicts(result)
    assert found == {"grippier": Verdict.CLEAR_GAIN, "lighter": Verdict.TOO_SMALL}
    (effect,) = next(change for change in result.changes if change.name == "grippier").effects
    assert effect.helped > 5 and effect.hurt == 0 and effect.drawn == 40
    (done,) = result.basis.done
    assert done == rank(asked(variants=variants, spread=spread)).basis.done[0] and 20 < done < 40
    words = f"Without any change the job is done: {AS_IT_STANDS} in {done} of 40 draws."
    assert words in _said(result)


def test_a_rig_that_every_draw_leaves_at_its_job_is_not_remarked() -> None:
    result = rank(asked(), draws=8)
    assert result.basis.done == (8,) and not any("Without any change the job" in one for one in _said(result))
    assert rank(asked(), draws=0).basis.done == (None,)


def test_draws_that_fail_are_not_set_against_those_that_do_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the job fails the way is another one, which says nothing of what the change does to it."""
    given = asked().rig.rear.tyre.peak_grip

    def slips(scenario: Scenario, **_: Any) -> tuple[str, dict[str, Any]]:
        grip, lighter = scenario.rig.rear.tyre.peak_grip, scenario.rig.chassis.mass < 0.32
        done = grip >= 0.99 * given
        way = 100.0 + 2.0 * lighter if done else 1e4 * (given - grip) * (1.0 if lighter else -1.0)
        job = "DONE" if done else "NOT_DONE"
        return execute.program(), {"job": job, "audit": "SOUND", "why": "slips", "distance_mm": way}

    monkeypatch.setattr(execute, "work", slips)
    asked_so = asked(variants={"lighter": VARIANTS["lighter"]}, spread={"rear.tyre.peak_grip": "2 %"})
    ((effect,),) = (change.effects for change in rank(asked_so, by="distance_mm", better="more").changes)
    assert effect.low == effect.high == 2.0 and effect.pairs < effect.drawn


@pytest.mark.parametrize(("by", "where"), [("done_s", "--by"), ("stopping_mm", "rank.by")])
def test_a_metric_that_no_run_has_is_refused_where_it_is_asked_for(by: str, where: str) -> None:
    with pytest.raises(
        InputError, match=f"{where}: got stopping_mm, must be a metric that some of these runs"
    ):
        rank(asked(rank={"by": by}), by="stopping_mm")
