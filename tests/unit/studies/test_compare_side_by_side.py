"""A comparison is the same to the last bit, however many processes do its runs."""

from pathlib import Path

import pytest
from pandas.testing import assert_frame_equal

import simcore
from simcore.errors import InputError
from simcore.files import Scenario
from simcore.results.store import NoMetrics, without_metrics
from simcore.studies import compare as study

SHORT = {"end.duration": 0.3, "output.rate": 100}


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    path = Path(__file__).parents[3] / "scenarios" / "slow_creep.toml"
    creep = simcore.load_scenario(path).changed(SHORT, keep_variants=True)
    variants = {"grip": {"ground.grip": 60}, "ice": {"ground.grip": 1, "ground.slope": 40}}
    return Scenario.model_validate(creep.raw | {"variants": variants, "conclusion": {}}).from_file(path)


def test_two_processes_give_what_one_does(scenario: Scenario) -> None:
    seen: list[tuple[float, float]] = []
    alone = simcore.compare(scenario)
    shared = simcore.compare(scenario, workers=2, progress=lambda done, of: seen.append((done, of)))
    assert list(shared.runs) == list(alone.runs)
    assert shared.data() == alone.data()
    assert shared.refused == alone.refused and list(alone.refused) == ["ice"]
    assert_frame_equal(shared.frame, alone.frame, check_exact=True)
    for name, run in shared.runs.items():
        assert run.scenario == alone.runs[name].scenario
        assert run.scenario.path == scenario.path
    assert [done for done, _ in seen] == pytest.approx([0.3, 0.6, 0.9])
    assert [of for _, of in seen] == pytest.approx([0.9] * 3)


def test_one_process_tells_how_far_it_is(scenario: Scenario) -> None:
    seen: list[float] = []
    result = simcore.compare(scenario, progress=lambda done, of: seen.append(done))
    assert seen == sorted(seen) and len(seen) > 3
    assert seen[-1] == pytest.approx(0.9)
    assert all(run.trace is None and run.audit is None for run in result.runs.values())


def test_a_case_whose_process_died_is_told(scenario: Scenario, monkeypatch: pytest.MonkeyPatch) -> None:
    def died(tasks, note, workers, do) -> None:
        for name in tasks:
            note(name, without_metrics(NoMetrics.DIED))

    monkeypatch.setattr(study, "run_here", died)
    with pytest.raises(InputError, match="its process died"):
        study.compare(scenario, workers=2)
