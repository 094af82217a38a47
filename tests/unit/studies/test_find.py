"""Limits of any number: what is done, rows, edges of every kind, refusals, files; mostly without runs."""

import math
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import simcore
from simcore import InputError, load_scenario
from simcore.files import Scenario, scenario_of
from simcore.results.headlines.ranges import Ending
from simcore.results.store import FILE, NoMetrics, Row, without_metrics
from simcore.studies import seek as seek_module
from simcore.studies.limit import find_limit
from simcore.studies.ranges import MEANING, TEXTS, Ranges
from simcore.studies.sought import own_value, sought

SCENARIOS = Path(__file__).parents[3] / "scenarios"
BASE = load_scenario(SCENARIOS / "slow_creep.toml").changed({"goal.reach": 300})
LEDGE = load_scenario(SCENARIOS / "ledge.toml")
REAL = simcore.simulate(BASE.changed({"end.duration": 0.3, "output.rate": 50})).summary
DONE = {"job": "DONE", "job_failure": "", "job_cause": "", "ended": "DISTANCE", "done_s": 1.0}
SPINS = {"job": "NOT_DONE", "job_failure": "SPINS", "job_cause": "", "job_spinning": "REAR", "ended": "TIME"}
LATE = SPINS | {"job_failure": "NOT_THERE", "job_spinning": ""}
Judge = Callable[[Scenario], Row]


@pytest.fixture
def pretend(monkeypatch: pytest.MonkeyPatch) -> Callable[[Judge], list[Scenario]]:
    """Let a function of the scenario stand for its run; gives the list of what was run."""

    def instead(judge: Judge) -> list[Scenario]:
        ran: list[Scenario] = []

        def run(tasks: Mapping[str, Scenario], note: Callable[[str, Row], None], workers: int) -> None:
            for key, scenario in tasks.items():
                ran.append(scenario)
                row = judge(scenario)
                note(key, row if "failed" in row else REAL | {"job_task": "REACH"} | row)

        monkeypatch.setattr(seek_module, "run_here", run)
        return ran

    return instead


def grip(scenario: Scenario) -> float:
    """Grip of the ground, percent."""
    return 100.0 * scenario.ground.grip


def variants(settings: dict[str, dict[str, Any]]) -> Scenario:
    return scenario_of(tomllib.loads(BASE.to_toml()) | {"variants": settings}, "varied.toml")


def test_both_edges_with_the_reasons_beyond_them(pretend):
    ran = pretend(lambda case: DONE if 33.3 <= grip(case) <= 77.7 else SPINS)
    result = find_limit(BASE.changed({"ground.grip": 55}), find="ground.grip=10:100:10")
    ((name, found),) = result.ranges.items()
    assert name == BASE.case and found.own == 55.0
    assert found.low.beyond < 33.3 <= found.low.done and found.high.done <= 77.7 < found.high.beyond
    assert found.low.done - found.low.beyond <= 0.2 and found.high.beyond - found.high.done <= 0.2
    assert found.low.ending is found.high.ending is Ending.FAILS
    assert (found.low.reason, found.low.cause) == ("SPINS", "") and "rear tyres spin" in found.low.why
    assert len(ran) == found.runs == 10 + 1 + 2 * 6  # scan, own value, halvings down to 10/64
    assert "33.4" in result.headline and "77.7" in result.headline
    assert result.concerns == []


def test_one_row_a_case_with_a_meaning_for_every_column(pretend):
    pretend(lambda case: DONE if grip(case) >= 40.0 * case.rig.rear.tyre.peak_grip else SPINS)
    result = find_limit(variants({"slick": {"rear.tyre.peak_grip": 0.96}}), find="ground.grip=10:90:20")
    table = result.table
    assert list(table.columns) == list(MEANING) and list(table.index) == [BASE.case, "slick"]
    assert all(table[key].dtype == float for key in MEANING if key not in TEXTS)
    assert table["low_done"].tolist() == pytest.approx([42.0, 38.4], abs=0.4)
    assert set(table["find"]) == {"ground.grip"} and set(table["unit"]) == {"%"}
    assert set(table["high_edge"]) == {"RANGE_ENDS"} and table["high_fails"].isna().all()
    assert "slick" in result.headline and result.headline.startswith("Lowest ground grip")


def test_along_axes_one_row_a_combination_and_the_limit_moves(pretend):
    pretend(lambda case: DONE if grip(case) >= 100.0 * math.tan(case.ground.slope) else SPINS)
    axes = {"ground.slope": [10, 20, 30], "driveline.overdrive": [0, 6]}
    result = find_limit(BASE, find="ground.grip=5:95:10", axes=axes)
    table = result.table
    assert list(table.columns) == [*axes, *MEANING] and len(table) == 6
    for slope, least in zip(table["ground.slope"], table["low_done"], strict=True):
        assert 0.0 <= least - 100.0 * math.tan(math.radians(slope)) <= 0.2
    assert "ground slope 10 deg" in result.headline and "ground slope 30 deg" in result.headline
    one = find_limit(BASE, find="ground.grip=5:95:10", axes={"ground.slope": [10, 20, 30]})
    assert (
        one.headline.startswith("Lowest ground grip goes from 17.7") and "from 10 to 30 deg" in one.headline
    )


def test_more_than_one_interval_is_said(pretend):
    pretend(lambda case: DONE if not 42.0 < grip(case) < 68.0 else SPINS)
    result = find_limit(BASE, find="ground.grip=10:100:10")
    (found,) = result.ranges.values()
    assert found.others == ((10.0, 40.0),)
    assert "also from 10 to 40" in result.headline
    assert result.table["also_done"].iloc[0]


def test_values_that_cannot_be_built_are_edges_of_their_own(pretend):
    """A ledge of nothing is none, and files know no grip above 300 %."""
    pretend(lambda case: DONE)
    ranges = find_limit(LEDGE, find="ground.pieces.1.ledge=-100:100:25").ranges
    found = ranges[LEDGE.case]
    assert found.low.ending is Ending.CANNOT_BE_BUILT and found.low.beyond == 0.0
    assert "a rise or a drop" in found.low.why
    assert found.others == ((-100.0, -25.0),)


def test_a_rig_that_cannot_be_built_is_no_failure(pretend):
    unbuilt = without_metrics(NoMetrics.INPUT, "chassis.cg: got 600 mm, must be between the axles")
    pretend(lambda case: DONE if grip(case) < 60.0 else unbuilt)
    (found,) = find_limit(BASE, find="ground.grip=10:100:10").ranges.values()
    assert found.high.ending is Ending.CANNOT_BE_BUILT and "between the axles" in found.high.why


def test_another_job_is_not_the_job_done(pretend):
    """As where a speed below zero asks the rig to back up instead of to come on."""
    pretend(lambda case: DONE | ({"job_task": "BACK_UP"} if grip(case) < 30.0 else {}))
    (found,) = find_limit(BASE, find="ground.grip=10:100:10").ranges.values()
    assert found.low.ending is Ending.OTHER_JOB and found.low.why == "there it is to go back"
    assert found.high.ending is Ending.RANGE_ENDS


def test_a_run_without_an_answer_is_said_and_is_no_edge(pretend):
    unknown = {"job": "UNKNOWN", "job_failure": "NO_START_FOUND"}
    pretend(lambda case: DONE if grip(case) > 62.0 else unknown if grip(case) > 31.0 else SPINS)
    result = find_limit(BASE, find="ground.grip=10:100:10")
    (found,) = result.ranges.values()
    assert found.low.ending is Ending.NOT_KNOWN
    assert 0.0 < found.low.done - 62.0 <= 0.2 and 0.0 <= 31.0 - found.low.beyond <= 0.2
    assert not result.decided and result.sound
    assert "no standing start was found" in str(result.concerns[0])
    assert "no answer" in result.headline


def test_an_unknown_far_beyond_an_edge_does_not_hide_it(pretend):
    unknown = {"job": "UNKNOWN", "job_failure": "NO_START_FOUND"}
    pretend(lambda case: DONE if grip(case) > 62.0 else unknown if grip(case) < 15.0 else SPINS)
    result = find_limit(BASE, find="ground.grip=10:100:10")
    assert result.decided and result.table["unknown"].iloc[0] == "NO_START_FOUND"


@pytest.mark.parametrize("code", ["AUDIT_FAILED", "BROKE_OFF"])
def test_a_run_that_is_unsound_makes_the_result_so(pretend, code):
    pretend(lambda case: DONE if grip(case) != 50.0 else {"job": "UNKNOWN", "job_failure": code})
    result = find_limit(BASE, find="ground.grip=10:100:10")
    assert not result.sound and result.table["audit"].iloc[0] == "AUDIT_FAILED"


def test_a_program_that_breaks_down_tells_nothing(pretend):
    pretend(lambda case: without_metrics(NoMetrics.BROKE_DOWN))
    result = find_limit(BASE, find="ground.grip=10:100:10")
    assert not result.decided and "Not known" in result.headline
    assert result.table["unknown"].iloc[0] == "BROKE_DOWN"


def test_never_done_is_an_answer(pretend):
    pretend(lambda case: SPINS)
    result = find_limit(BASE, find="ground.grip=10:100:10")
    assert result.decided and result.headline.startswith("The job is not done, ground grip from 10")
    assert set(result.table["low_edge"]) == {"NEVER_DONE"} and result.table["low_done"].isna().all()


# --- time ---


def slow(case: Scenario) -> Row:
    """There after four seconds."""
    return DONE if case.end.duration >= 4.0 else LATE


@pytest.mark.parametrize(
    ("settings", "done"),
    [({}, True), ({"goal.within": 1.5}, False), ({"end.duration": 0.9}, False)],
    ids=["a way that may take its time", "one that may not", "four times is not enough"],
)
def test_a_rig_that_still_gets_on_has_four_times_as_long(pretend, settings, done):
    ran = pretend(slow)
    case = BASE.changed({"end.duration": 2, **settings})
    (found,) = find_limit(case, find="ground.grip=80:120:20").ranges.values()
    assert (found.low.done is not None) is done
    assert len(ran) == (3 if "goal.within" in settings else 6)


def test_one_that_is_stuck_has_not(pretend):
    ran = pretend(lambda case: SPINS)
    find_limit(BASE, find="ground.grip=80:120:20")
    assert len(ran) == 3


# --- where it is looked for ---


@pytest.mark.parametrize(
    ("scenario", "find", "own", "ends"),
    [
        (BASE, "ground.grip", 100.0, (1.0, 300.0)),
        (LEDGE, "ground.pieces.1.ledge", 40.0, (0.0, 500.0)),
        (LEDGE.changed({"ground.pieces.1.ledge": -40}), "ground.pieces.1.ledge", -40.0, (-500.0, 0.0)),
        (BASE, "parts.battery.mass=100:300:50", None, (100.0, 300.0)),
        (BASE, "rear.tyre.radius+front.tyre.radius=50:70:5", None, (50.0, 70.0)),
    ],
)
def test_where_a_number_is_looked_for(scenario, find, own, ends):
    """Ranges of the keys as in scenarios/README.md, on the side of zero that the file is on."""
    number = sought(scenario, find)
    assert (number.scan[0], number.scan[-1]) == pytest.approx(ends)
    assert number.within == pytest.approx((number.scan[1] - number.scan[0]) / 50)
    assert own is None or own_value(scenario, number.path) == pytest.approx(own)


def test_own_values_of_parts_and_rows_are_those_of_the_file():
    raw = tomllib.loads(BASE.to_toml())
    battery = next(part for part in raw["rig"]["parts"] if part["name"].startswith("battery"))
    assert own_value(BASE, "parts.battery.mass") == battery["mass"]
    assert own_value(BASE, "driver.speed.1.1") == raw["driver"]["speed"][1][1]
    assert own_value(BASE, "ground.pieces.0.length") is None


REFUSED = {
    "unknown": ("ground.grp", "ground.grp", "unknown path", 'did you mean "ground.grip"'),
    "text": ("title", "title", "without a number", "single number"),
    "a table": ("rear.tyre", "rear.tyre", "a whole table", "single number"),
    "a list": ("driver.speed", "driver.speed", "a list", "single number"),
    "a choice": ("driveline.drive", "driveline.drive", "without a number", "single number"),
    "a switch": ("without_support", "without_support", "without a number", "single number"),
    "not there": ("ground.pieces.1.ledge", "ground.pieces.1.ledge", "no case has", "the file states"),
    "a name": ("parts.batery.mass", "parts.batery.mass", 'the name "batery"', 'did you mean "battery"'),
    "falling": ("ground.grip=90:10:5", "--find", '"90:10:5"', "low below high"),
    "reversed": ("ground.grip=90:10:-5", "ground.grip", "a range that falls", "low below high"),
    "one value": ("ground.grip=5:5:1", "ground.grip", "5 alone", "low below high"),
    "a list of values": ("ground.grip=1,2,3", "ground.grip", '"1,2,3"', "low below high"),
    "words": ("ground.grip=low", "ground.grip", '"low"', "low below high"),
    "nothing": ("=", "--find", '"="', "as ground.grip=10:100:10"),
    "too low": ("ground.grip=0:90:5", "ground.grip", "0 %", "from 1 to 300 %"),
    "too high": ("ground.grip=10:310:5", "ground.grip", "310 %", "from 1 to 300 %"),
    "two units": ("rear.tyre.radius+chassis.mass=9:99:9", "rear.tyre.radius+chassis.mass", "g", "same unit"),
    "no sensible range": ("driver.speed.1.1", "driver.speed.1.1", "no range", "the file has 0.15 m/s"),
    "zero in the file": ("start.rear_axle", "start.rear_axle", "no range", "from -100000 to 100000 mm"),
}


@pytest.mark.parametrize(("find", "key", "got", "must_be"), REFUSED.values(), ids=REFUSED)
def test_what_is_no_number_or_no_range_is_refused(find, key, got, must_be):
    with pytest.raises(InputError) as refusal:
        find_limit(BASE, find=find)
    (issue,) = refusal.value.issues
    text = str(issue)
    assert key in text and got in issue.got and must_be in text


@pytest.mark.parametrize(
    ("scenario", "axes", "said"),
    [
        (BASE, {"ground.grip": [10, 20]}, "the number that is sought"),
        (BASE, {"ground.slpe": [10, 20]}, 'did you mean "ground.slope"'),
        (BASE, {"ground.slope": [k / 10 for k in range(400)], "chassis.mass": list(range(300, 350))}, "runs"),
        (BASE.changed({"goal.at_least.foo_mm": 3}), None, "an unknown metric"),
        (
            load_scenario(SCENARIOS / "slow_creep.toml").changed({"driver.speed": [[0, 1], [1, -1]]}),
            None,
            "goal",
        ),
    ],
    ids=["the number itself", "an unknown axis", "too many runs", "a goal of no metric", "nothing to do"],
)
def test_what_cannot_be_searched_is_refused(scenario, axes, said):
    with pytest.raises(InputError, match=said):
        find_limit(scenario, find="ground.grip", axes=axes)


def test_axes_without_a_number_are_refused():
    with pytest.raises(InputError, match="beside --find"):
        find_limit(BASE, axes={"ground.grip": [10, 20]})


def test_the_slope_alone_is_the_search_for_the_steepest(monkeypatch):
    from simcore.accounts.verdict import Failure, Verdict
    from simcore.studies.climb import Attempt, Climber

    monkeypatch.setattr(
        Climber, "_try", lambda self, slope: Attempt(None if slope < 33 else Verdict(Failure.SPINS))
    )
    assert find_limit(BASE, find="ground.slope").kind == find_limit(BASE).kind == "limits"


# --- files ---


AXES = {"ground.slope": [10, 20], "driveline.drive": ["all", "rear"]}


@pytest.mark.parametrize("axes", [None, AXES], ids=["cases", "axes"])
def test_what_is_read_is_what_was_saved(pretend, axes, tmp_path: Path):
    pretend(lambda case: DONE if 33.3 <= grip(case) <= 60.0 else SPINS)
    scenario = BASE if axes else variants({"other": {"ground.slope": 12}})
    result = find_limit(scenario, find="ground.grip=10:100:10", axes=axes)
    files = simcore.export(result, tmp_path)
    picture = "limits_along.png" if axes else "limits.png"
    assert [file.name for file in files] == ["ranges.json", "limits.csv", "limits.toml", picture]
    again = simcore.load(tmp_path)
    assert isinstance(again, Ranges) and isinstance(again, simcore.Ranges)
    pd.testing.assert_frame_equal(again.table, result.table)
    assert (again.headline, again.asked, again.ranges) == (result.headline, result.asked, result.ranges)
    read = pd.read_csv(tmp_path / "limits.csv", index_col="case")
    assert list(read.columns) == list(result.table.columns)
    assert read["low_done"].tolist() == pytest.approx(result.table["low_done"].tolist())


def test_finished_runs_are_kept_and_found_again(pretend, tmp_path: Path):
    ran = pretend(lambda case: DONE if grip(case) > 40.0 else SPINS)
    first = find_limit(BASE, find="ground.grip=10:100:10", folder=tmp_path)
    assert (tmp_path / FILE).exists() and ran
    ran.clear()
    again = find_limit(BASE, find="ground.grip=10:100:10", folder=tmp_path)
    assert ran == [] and again.ranges == first.ranges


def test_workers_find_what_one_process_finds():
    case = BASE.changed({"end.duration": 0.5, "goal.reach": 10})
    one, two = (find_limit(case, find="ground.grip=20:60:20", workers=count).ranges for count in (1, 2))
    assert one == two


def test_progress_never_falls_and_ends():
    case, seen = BASE.changed({"end.duration": 0.3, "goal.reach": 5}), []
    find_limit(case, find="ground.grip=20:60:20", progress=lambda *step: seen.append(step))
    done = [step[0] for step in seen]
    assert done == sorted(done) and done[-1] == seen[-1][1]
