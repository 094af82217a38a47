"""Trying a conclusion: what is left of an effect without its cause, and where else the claims hold.

Most rigs here stand, held by their brake. Statics says what must come out: the front tyres carry
W (b cos s - h sin s) / L on a slope s, less than on the level, whatever grip there is.
"""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from simcore.files import Scenario, scenario_of
from simcore.files.reference import reference
from simcore.results.headlines.tried import trial_faults, tried_elsewhere, tried_reasons
from simcore.results.store import Row
from simcore.results.tried import Fault, Trial, WithoutCause
from simcore.studies.claims import broken_claims, conclusion_issues
from simcore.studies.compare import compare
from simcore.studies.simulate import simulate
from simcore.studies.sweep import sweep
from simcore.studies.trials import try_conclusion

PATH = Path(__file__).parents[3] / "scenarios" / "told.toml"
STANDS: dict[str, Any] = {
    "title": "Does it stand?",
    "rig": "rigs/gully.toml",
    "driver": {"control": "torque", "torque": [[0, 0]], "brake": [[0, 100]]},
    "end": {"duration": 0.05},
    "variants": {"steep": {"ground.slope": 25}},
}
SLOPE = {"cause": "the slope", "settings": {"ground.slope": 0}}
FRONT = "front_load_mean_N"
LOST = ["as given", FRONT, "steep"]
LIGHTER = ["steep", FRONT, "below", "as given", 1]


def told(raw: dict[str, Any] = STANDS, **conclusion: Any) -> Scenario:
    return scenario_of({**raw, "conclusion": conclusion}, PATH)


def tried(scenario: Scenario, workers: int = 1) -> list[Trial]:
    if scenario.vary:
        swept = sweep(scenario)
        return try_conclusion(scenario, swept.cases_run, swept.summaries, workers)
    if scenario.variants:
        compared = compare(scenario)
        return try_conclusion(scenario, compared.cases_run, compared.summaries, workers)
    return try_conclusion(scenario, [scenario.case], {scenario.case: simulate(scenario).summary}, workers)


def faults(trial: Trial) -> list[Fault]:
    return [one.fault for one in trial.found]


def test_an_effect_that_goes_with_its_cause() -> None:
    (one,) = tried(told(because=[{**SLOPE, "effect": LOST}]))
    assert isinstance(one, WithoutCause) and one.found == ()
    assert one.effect.before > 1.0 and one.effect.after == 0.0 == one.effect.left
    said = tried_reasons([one], several=True)
    assert said.startswith(
        "**Tested reasons.** Without the slope: mean front load of as given less that of steep 0"
    )
    assert said.endswith(" g (0 % left).") and " instead of " in said
    assert tried_elsewhere([one], True) == ""


def test_an_effect_that_stays_is_not_from_that_cause() -> None:
    """Standing tyres carry the same whatever grip they do not use."""
    (one,) = tried(
        told(because=[{"cause": "full grip", "settings": {"ground.grip": 95}, "effect": LOST, "left": 50}])
    )
    assert isinstance(one, WithoutCause) and faults(one) == [Fault.STAYS]
    assert one.effect.left == pytest.approx(1.0, abs=0.02)
    (said,) = trial_faults([one])
    assert said.startswith("conclusion.because[0], without full grip: mean front load of as given less")
    assert said.endswith("(100 % left), stated at most 50 %")
    assert tried_reasons([one], True).startswith("**Not borne out:** without full grip: mean front load")


@pytest.mark.parametrize(
    ("effect", "fault"),
    [
        (["as given", "pitch_rise_deg"], Fault.TOO_SMALL),  # it stands
        (["as given", FRONT, FRONT], None),
        (["as given", "done_s"], Fault.UNKNOWN),  # it has no job to be done
    ],
)
def test_an_effect_that_is_not_there_explains_nothing(effect: list[Any], fault: Fault | None) -> None:
    row = {"cause": "the slope", "settings": {"ground.slope": 5}, "effect": effect}
    if fault is None:
        with pytest.raises(ValueError, match="less itself"):
            told(because=[row])
        return
    (one,) = tried(told(because=[row]))
    assert faults(one) == [fault]


def test_settings_that_change_nothing_are_told() -> None:
    words = {"name": "Another name", "ground.slope": 0}
    effect = ["as given", FRONT]
    because, on = tried(
        told(
            claims=[["as given", FRONT, "above", 1, 1]],
            because=[{"cause": "a name", "settings": words, "effect": effect}],
            holds_on=[{"on": "the same rig", "settings": {"ground.slope +=": 0, "visible.pitch": 9}}],
        )
    )
    assert faults(because) == [Fault.STAYS] and faults(on) == [Fault.CHANGES_NOTHING]


WEAK = {"driver.control": "torque", "driver.torque": [[0, 1]]}  # N*mm, which holds no kilogram on 10 deg


@pytest.mark.parametrize("settings", [{"driver.speed": [[0, 0]]}, WEAK])
def test_an_effect_that_goes_with_the_job_is_not_explained(settings: dict[str, Any]) -> None:
    """A rig that is not asked to move, or slides back, says nothing about why it moved as it did."""
    raw = {**STANDS, "driver": {"control": "speed", "speed": [[0, 0], [0.1, 0.2]]}, "end": {"duration": 2}}
    del raw["variants"]
    raw["ground"] = {"slope": 10}
    row = {"cause": "the driver", "settings": settings, "effect": ["as given", "distance_mm"]}
    (one,) = tried(told(raw, because=[row]))
    assert Fault.JOB_LOST in faults(one)
    assert '"as given" no longer does the job that it does as given' in trial_faults([one])[-1]


def test_claims_of_a_cause_are_of_the_cases_without_it() -> None:
    holds, broken = tried(
        told(
            because=[
                {**SLOPE, "effect": LOST, "claims": [["steep", FRONT, "near", "as given", 0.01]]},
                {**SLOPE, "effect": LOST, "claims": [LIGHTER]},
            ]
        )
    )
    assert holds.found == () and faults(broken) == [Fault.BROKEN]
    assert "mean front load of steep is" in trial_faults([broken])[0]


def test_support_is_cancelled_as_in_every_study() -> None:
    """Its effect is that of the run that `without_support` asks for; it needs no settings."""
    raw = {
        **STANDS,
        "ground": {"slope": 15},
        "driver": {"control": "torque", "torque": [[0, 0], [0.06, 34]]},
        "end": {"duration": 0.5},
    }
    del raw["variants"]
    row = {"cause": "support", "without_support": True, "effect": ["as given", "front_lift_mm"]}
    scenario = told(raw, because=[row])
    (one,) = tried(scenario)
    run = simulate(scenario, without_support=True)
    assert isinstance(one, WithoutCause) and run.counterfactual is not None
    assert one.effect.after == pytest.approx(run.counterfactual.summary["front_lift_mm"], rel=1e-9)
    assert one.effect.before == pytest.approx(run.summary["front_lift_mm"], rel=1e-9)


def test_another_metric_of_the_case_may_be_taken_away() -> None:
    """On the level a rig that stands does not push: both thrusts are nought, whatever they were before."""
    (one,) = tried(
        told(
            because=[
                {**SLOPE, "effect": ["steep", "rear_thrust_mean_N", "front_thrust_mean_N"]},
            ]
        )
    )
    assert isinstance(one, WithoutCause) and one.found == ()
    assert "mean rear thrust less mean front thrust of steep" in tried_reasons([one], True)


def test_where_else_it_holds_and_where_not() -> None:
    """Fell too is lighter in front on a slope; where both cases stand level neither is."""
    scenario = told(
        claims=[LIGHTER],
        holds_on=[
            {"on": "Fell", "settings": {"rig": "rigs/fell.toml"}},
            {"on": "a level board", "settings": {"ground.slope": 0}, "holds": False},
            {"on": "Fell again", "settings": {"rig": "rigs/fell.toml"}, "holds": False},
            {"on": "the level", "settings": {"ground.slope": 0}},
        ],
    )
    fell, level, flipped, broken = trials = tried(scenario)
    assert fell.found == level.found == ()
    assert faults(flipped) == [Fault.FLIPPED] and faults(broken) == [Fault.BROKEN]
    said = tried_elsewhere(trials, several=True)
    assert said.startswith("**Also on** Fell. **Not on** a level board (mean front load of steep ")
    assert " instead of below that of as given, " in said
    assert (
        "**Not borne out:** on Fell again: all claims hold, stated is that they do not; on the level" in said
    )
    read = scenario_of(tomllib.loads(scenario.to_toml()), "/nowhere/told.toml")
    assert read == scenario and set(read.rigs) == {"rigs/fell.toml"}
    assert tried(read) == trials  # and needs the rig's file no more
    assert tried(scenario, workers=2) == trials


def test_a_claim_of_another_rig_is_tried_by_what_can_be_seen() -> None:
    """5 g, where the file asks for a kilogram of its own rig; a nearness stays as it is stated."""
    claims = [["steep", FRONT, "below", "as given", 9.8], ["steep", FRONT, "near", "as given", 4]]
    (one,) = tried(told(claims=claims, holds_on=[{"on": "Fell", "settings": {"rig": "rigs/fell.toml"}}]))
    assert [weighed.claim[4] for weighed in one.claims] == [0.05, 4]


def test_runs_of_a_sweep_go_by_their_values() -> None:
    raw = {key: value for key, value in STANDS.items() if key != "variants"}
    raw["vary"] = {"ground.slope": [0, 25], "ground.grip": [90, 100]}
    because, on = tried(
        told(
            raw,
            because=[{**SLOPE, "effect": ["0, 90", FRONT, "25, 90"]}],
            holds_on=[
                {
                    "on": "Fell",
                    "settings": {"rig": "rigs/fell.toml"},
                    "claims": [["25, 100", FRONT, "below", "0, 100", 1]],
                }
            ],
        )
    )
    assert because.found == on.found == ()


def test_what_cannot_be_run_is_told_in_a_sentence() -> None:
    """A slope of 75 deg holds no rig of this grip; and the support of a rig that then stands is no result."""
    (one,) = tried(
        told(
            claims=[LIGHTER],
            holds_on=[{"on": "a wall", "settings": {"ground.slope": 75}, "holds": False}],
        )
    )
    assert faults(one) == [Fault.NOT_RUN, Fault.NOT_RUN]
    assert 'conclusion.holds_on[0], on a wall: "steep" cannot be run: ' in trial_faults([one])[0]


def test_values_of_a_sweep_that_do_not_go_with_the_settings_are_told() -> None:
    raw = {key: value for key, value in STANDS.items() if key != "variants"}
    row = {"on": "many steps", "settings": {"solver.max_step": 0.001, "goal": {"reach": 90}}}
    raw["vary"] = {"end.distance": [50, 100]}
    (one,) = tried(told(raw, claims=[["50", FRONT, "above", 0, 1]], holds_on=[row]))
    assert faults(one) == [Fault.NOT_RUN]
    assert (
        'on many steps: "50" cannot be run: conclusion.holds_on[0].settings."goal".reach: got 90 mm'
        in trial_faults([one])[0]
    )


def test_an_unsound_run_is_no_result(monkeypatch: pytest.MonkeyPatch) -> None:
    import simcore.studies.execute as execute

    own = execute.work

    def drifting(scenario: Scenario, supported: bool = True) -> tuple[str, Row]:
        program, row = own(scenario, supported)
        return program, row | {"audit": "ENERGY"}

    monkeypatch.setattr("simcore.studies.trials.work", drifting)
    (one,) = tried(told(because=[{**SLOPE, "effect": LOST}]))
    assert faults(one) == [Fault.UNSOUND, Fault.UNSOUND]


def test_the_example_in_the_reference_is_borne_out() -> None:
    told = reference().split("## The rig file")[0]
    text = "\n".join(part.split("```")[0] for part in told.split("```toml\n")[1:])
    example = scenario_of(tomllib.loads(text), PATH)
    compared = compare(example)
    assert broken_claims(example, compared.cases_run, compared.summaries) == []
    trials = try_conclusion(example, compared.cases_run, compared.summaries)
    assert len(trials) == 3 and trial_faults(trials) == []


def test_settings_of_a_copied_conclusion_are_told_and_stop_no_run() -> None:
    scenario = told(
        claims=[LIGHTER],
        because=[
            {
                "cause": "soft springs",
                "settings": {"rear.shock.spring.0.rate": 2, "rear.tyre.radius +=": 5000, "end.duration": 1},
                "effect": LOST,
            },
            {"cause": "no part", "settings": {"parts.batery.mass": 2}, "effect": LOST},
        ],
        holds_on=[
            {"on": "no rig", "settings": {"rig": "no_such_rig.toml"}},
            {"on": "a tilted course", "settings": {"ground.pieces": [{"length": 500}], "ground.slope": 9}},
        ],
    )
    names = ["as given", "steep"]
    said = [str(issue).split(": ", 1)[1] for issue in conclusion_issues(scenario, names)]
    because, on = (f"conclusion.{key}" for key in ("because", "holds_on"))
    for start, end in (
        (f'{because}[0].settings."end.duration": got a key that can be no cause', "ground, start or driver"),
        (f'{because}[0].settings."rear.shock.spring.0.rate": got an unknown path', 'springs.0.rate"?)'),
        (f'{because}[0].settings."rear.tyre.radius +=": got 5059 mm', "from 10 to 300 mm"),
        (f'{because}[1].settings."parts.batery.mass": got the name "batery"', '"battery"?)'),
        (f'{on}[0].settings."rig": got {PATH.parent / "no_such_rig.toml"}: no such file', "existing file"),
        (f'{on}[1].settings."ground.slope": got 9 deg beside pieces', "left out when there are pieces"),
    ):
        assert any(one.startswith(start) and one.endswith(end) for one in said), (start, said)
    assert try_conclusion(scenario, names, {}) == []


def test_trials_of_cases_and_metrics_that_there_are_not() -> None:
    scenario = told(
        claims=[["stoop", FRONT, "above", 0, 1]],
        because=[
            {**SLOPE, "effect": ["steap", FRONT]},
            {**SLOPE, "effect": ["steep", "front_load_meen_N"]},
            {**SLOPE, "effect": ["steep", FRONT, "as givn"]},
            {**SLOPE, "effect": ["steep", FRONT, "front_lift_mm"]},
            {**SLOPE, "effect": LOST, "claims": [["steep", "ended", "near", 0, 1]]},
        ],
        holds_on=[{"on": "ice", "settings": {"ground.grip": 20}}],
    )
    names = ["as given", "steep"]
    said = [str(issue).split(": ", 1)[1] for issue in conclusion_issues(scenario, names)]
    assert [one.split(": got ")[0] for one in said] == [
        "conclusion.claims[0]",
        *(f"conclusion.because[{k}].effect" for k in range(4)),
        "conclusion.because[4].claims[0]",
    ]
    assert all(f'did you mean "{word}"' in said[k] for k, word in ((1, "steep"), (2, FRONT), (3, "as given")))
    assert said[4].endswith('got the metric "front_lift_mm", must be a metric in g, as front_load_mean_N is')
    assert try_conclusion(scenario, names, {}) == []
