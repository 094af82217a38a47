"""What bench error leaves of an answer: known laws, jobs kept apart, resumed and read again alike."""

import base64
import dataclasses
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy.stats import truncnorm

import simcore
from simcore.accounts.job import JobState
from simcore.errors import InputError
from simcore.files import Scenario
from simcore.results.headlines.scatter import Counted, at_end_words, jobs_words
from simcore.results.scatter import Share, Verdict
from simcore.results.store import FILE, NoMetrics, Row, Rows, program, without_metrics
from simcore.studies import drawn_runs
from simcore.studies.drawn import Draws, draws_of, inputs_of
from simcore.studies.drawn_runs import INSTANTS, Done, Some, run_draws, run_parts
from simcore.studies.scattered import ERROR, Spread, bands_of
from simcore.studies.spread import spread
from simcore.views.catalogue import pictures_of
from simcore.views.console.scatter import scatter_blocks
from simcore.views.digest import digest

SHORT = {"end.duration": 0.5}
STATED = {"chassis.mass": "20 g", "ground.slope": "1 deg", "rear.tyre.radius": {"from": 55, "to": 58}}


def asked(**more: Any) -> Scenario:
    path = Path(__file__).parents[3] / "scenarios" / "punchy_launch.toml"
    scenario = simcore.load_scenario(path)
    table = scenario.raw | {
        "conclusion": {"shown": ["pitch_to_level_start_deg", "rear_travel_start_mm"]},
        "variants": {"steeper": {"ground.slope +=": 3}},
        "spread": STATED,
    }
    return simcore_checked(table, path).changed(SHORT | more, keep_variants=True)


def simcore_checked(table: dict[str, Any], path: Path) -> Scenario:
    from simcore.files.check import check

    return check(Scenario, table, str(path)).from_file(path)


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> tuple[Spread, Path]:
    folder = tmp_path_factory.mktemp("spread")
    return spread(asked(), 20, folder, only_stated=True), folder


def test_a_difference_that_errors_share_is_known_exactly(done: tuple[Spread, Path]) -> None:
    """A rig on a slope 3 deg steeper stands so in every draw, by however much the slope itself is off."""
    result, _ = done
    (paired,) = [one for one in result.answers if one.figure.metric == "pitch_to_level_start_deg"]
    assert paired.interval is not None and paired.alone is not None
    assert paired.interval.middle == pytest.approx(3.3, abs=0.3)
    assert paired.interval.half < 0.1 and paired.alone.half > 0.7  # the slope alone is off by 1 deg
    assert paired.verdict is Verdict.MORE
    assert "more than bench error" in result.headline and result.headline.startswith("Each does its job")
    assert result.errors[
        result.moves(dataclasses.replace(paired.figure, less="", case="steeper"))[0].error
    ].name


def test_errors_that_so_few_draws_do_not_tell_apart_are_said(done: tuple[Spread, Path]) -> None:
    result, _ = done
    said = "Not told apart, as their draws go together: "
    assert said not in f"{scatter_blocks(result, False)}"
    columns = [column for column in result.table if str(column).startswith(ERROR)]
    alike = result.table.assign(**{column: result.table[columns[0]] for column in columns})
    told = f"{scatter_blocks(dataclasses.replace(result, table=alike), False)}"
    first, second = (one.name for one in result.errors[:2])
    assert f"{said}{first} and {second} (+1.00); " in told


def test_every_draw_is_there_once(done: tuple[Spread, Path]) -> None:
    result, _ = done
    assert list(result.table["draw"]) == sorted([*range(1, 21)] * 2)
    assert result.drawn.shape == (20, 3) and len(result.errors) == 3
    assert [column for column in result.table if str(column).startswith(ERROR)]
    assert all(one.stated for one in result.errors)


def test_a_spread_goes_on_where_it_was_stopped(done: tuple[Spread, Path], monkeypatch: Any) -> None:
    """To the last digit, and without doing again what is done; a cut line is done again."""
    result, folder = done
    lines = (folder / FILE).read_bytes().splitlines(keepends=True)
    assert len(lines) == 4  # the cases as given, and eight, eight and four draws
    (folder / FILE).write_bytes(b"".join(lines[:2]) + lines[2][: len(lines[2]) // 2])
    did: list[int] = []
    own = drawn_runs.do

    def counted(some: Some) -> Any:
        did.append(some.size)
        return own(some)

    monkeypatch.setattr(drawn_runs, "do", counted)
    again = spread(asked(), 20, folder, only_stated=True)
    assert did == [8, 4]
    pd.testing.assert_frame_equal(again.table, result.table, check_exact=True)
    assert again.headline == result.headline
    did.clear()
    more = spread(asked(), 24, folder, only_stated=True)
    assert did == [8]  # of the last eight only four were done before
    pd.testing.assert_frame_equal(more.table[:40], result.table, check_exact=True)


def test_an_error_that_reaches_beyond_what_can_be_is_told_of(done: tuple[Spread, Path]) -> None:
    """Of 20 draws one more than one in 20; a file of before knows of none."""
    result, _ = done
    assert at_end_words(result.counted) == "" and not any(one.at_end for one in result.errors)
    first, second, third = result.errors
    far = (first._replace(at_end=2), second._replace(at_end=1), third._replace(at_end=5))
    said = at_end_words(dataclasses.replace(result, errors=far).counted)
    assert said.startswith(
        "Beyond what can be (of a sliding grip: the peak), and left at that end: "
        f"{third.name} in 5 of 20 draws, {first.name}"
    )
    assert second.name not in said
    data = result.data() | {"errors": [[*one[:2]] for one in result.errors]}
    assert Spread.restored(result.scenario, data, result.table).errors == result.errors


def test_what_is_read_is_what_was_saved(done: tuple[Spread, Path], tmp_path: Path) -> None:
    result, _ = done
    result.save(tmp_path)
    again = simcore.load(tmp_path)
    assert isinstance(again, Spread)
    assert (again.headline, again.errors, again.jobs_given) == (
        result.headline,
        result.errors,
        result.jobs_given,
    )
    for name, table in result.tables.items():
        pd.testing.assert_frame_equal(again.tables[name], table, check_exact=True)
    before, after = pictures_of(result), pictures_of(again)
    assert list(before) == list(after) == ["intervals", "bands"]
    assert all(digest(draw()) == digest(after[name]()) for name, draw in before.items())


def test_draws_that_failed_have_no_pitch(done: tuple[Spread, Path]) -> None:
    """They are counted apart from those without an answer, and are in no interval and in no band."""
    result, _ = done
    table = result.table.copy()
    of_second = table["case"] == "steeper"
    failed, lost = of_second & (table["draw"] <= 5), of_second & (table["draw"] == 6)
    table.loc[failed, "job"] = JobState.NOT_DONE.name
    table.loc[failed, "pitch_to_level_start_deg"] = 1e6
    refused = without_metrics(NoMetrics.CANNOT_STAND)
    table.loc[lost, list(refused)] = list(refused.values())
    table.loc[lost, "job"] = ""
    other = dataclasses.replace(result, table=table)
    assert other.share("steeper")[:2] == (14, 19) and other.share("as given")[:2] == (20, 20)
    assert other.lost("steeper") == {NoMetrics.CANNOT_STAND.value: 1} and other.lost("as given") == {}
    assert np.isfinite(other.values("pitch_to_level_start_deg", "steeper", "as given")).sum() == 14
    assert other.values("pitch_to_level_start_deg", "steeper")[np.arange(6, 20)].max() < 90.0
    assert '"steeper" in 14 of 19' in other.headline
    done_in = {name: other.done(name) for name in other.cases}
    curves = np.zeros((20, 2, 3, INSTANTS), np.float32)
    curves[:6, 1] = 1e6
    assert bands_of(curves, done_in)["steeper"]["pitch_deg"].max() == 0.0


def test_a_start_that_slips_is_a_job_not_done_whatever_becomes_of_other_draws(
    done: tuple[Spread, Path],
) -> None:
    """Such a run has no audit, as it is not done; one that breaks off has no job."""
    result, _ = done
    table, of_second = result.table.copy(), result.table["case"] == "steeper"
    for audit in ("", None):
        table.loc[of_second, ["job", "audit"]] = [JobState.NOT_DONE.name, audit]
        assert dataclasses.replace(result, table=table).share("steeper")[:2] == (0, 20)
    table.loc[of_second, "job"] = ""
    other = dataclasses.replace(result, table=table)
    assert other.headline.startswith('The job is done in all 20 draws; not known of "steeper"')


def test_a_draw_that_cannot_be_run_is_counted(tmp_path: Path) -> None:
    """Links drawn so far off that they cannot close: no draw is lost silently, none ends the study."""
    scenario = asked(spread={"rear.shock.chassis.1": {"from": 60, "to": 160}})
    found, given = run_draws(draws_of(scenario, 8, only_stated=True), tmp_path, 1, None)
    assert (
        len(found.table) == 16 and (found.table["failed"] != "").any() and (found.table["failed"] == "").any()
    )
    assert (found.table["why"][found.table["failed"] != ""] != "").all()
    assert given.row(0)["job"]


def test_a_lost_process_costs_one_draw_alone() -> None:
    found = Done(("a", "b"), 3)
    found.take(0, 2, {"rows": {"x": [1, 2, 3, None], "job": ["DONE"] * 4}, "curves": ""})
    found.take(2, 3, without_metrics(NoMetrics.DIED))
    table = found.table
    assert list(table["failed"]) == [""] * 4 + ["DIED"] * 2 and list(table["job"]) == ["DONE"] * 4 + [""] * 2
    assert np.isnan(table["x"][3]) and found.row(3) == {"job": "DONE"}


def test_columns_stand_alike_in_whatever_order_draws_come_in() -> None:
    parts = [(0, 1, {"a": [1], "b": [2]}), (1, 2, {"a": [3], "early": [4], "b": [5]}), (2, 3, {"x": ["y"]})]
    tables = []
    for order in ((0, 1, 2), (2, 0, 1), (1, 2, 0)):
        done = Done(("as given",), 3)
        for k in order:
            start, stop, rows = parts[k]
            done.take(start, stop, {"rows": rows, "curves": ""})
        tables.append(done.table)
    assert list(tables[0]) == ["draw", "case", "a", "b", "early", "x", "failed", "why"]
    for other in tables[1:]:
        pd.testing.assert_frame_equal(other, tables[0], check_exact=True)


def works(some: Some) -> tuple[str, Row]:
    """Rows that hang on the draw alone, one without a figure."""
    rows = []
    for k, case in some.runs:
        point = round(100.0 * some.draws.points[k, 0])
        rows.append({"point": [point, None][point == 14], case: 1.0})
    keys = dict.fromkeys(key for row in rows for key in row)
    curves = np.repeat(some.draws.points[:, :1].astype(np.float32), 2 * 3 * INSTANTS, axis=1).tobytes()
    kept = {key: [row.get(key) for row in rows] for key in keys}
    return program(), {"rows": kept, "curves": base64.b64encode(curves).decode()}


def dies_of_one(tasks: dict[str, Some], note: Any, workers: int, do: Any) -> None:
    """Does what it is given, but for what holds a certain draw: that is lost."""
    for key, some in reversed(tasks.items()):
        lost = 0.13 in some.draws.points
        note(key, without_metrics(NoMetrics.DIED) if lost else do(some)[1])


def test_a_draw_that_kills_its_process_costs_itself_alone(tmp_path: Path, monkeypatch: Any) -> None:
    """All others are as if it had not been there, and it is tried again next time."""
    monkeypatch.setattr(drawn_runs, "run_here", dies_of_one)
    draws = Draws({"a": asked(), "b": asked()}, tuple(inputs_of(asked(), True)), 4)
    draws = draws.at(np.repeat([[0.12], [0.13], [0.14], [0.15]], 3, axis=1))
    found: dict[str, Row] = {}
    with closing(Rows(tmp_path)) as store:
        for part in (draws, draws.at(draws.points[2:])):
            run_parts({str(part.count): Some(part)}, found.__setitem__, store, 2, works)
    with closing(Rows(tmp_path)) as store:
        assert store.found.keys() == {"2"}
    done, undisturbed = Done(("a", "b"), 4), Done(("a", "b"), 4)
    done.take(0, 4, found["4"])
    undisturbed.take(0, 4, works(Some(draws))[1])
    assert list(done.table["failed"]) == ["", "", "DIED", "DIED", "", "", "", ""]
    left = [0, 1, 4, 5, 6, 7]
    pd.testing.assert_frame_equal(done.table.loc[left, "draw":"b"], undisturbed.table.loc[left, "draw":"b"])
    assert np.isnan(done.curves[1]).all()
    assert np.array_equal(done.curves[[0, 2, 3]], undisturbed.curves[[0, 2, 3]])


@pytest.mark.parametrize("runs", [0, 7, 10**7])
def test_too_few_or_too_many_draws_are_refused(runs: int) -> None:
    with pytest.raises(InputError, match="--runs"):
        spread(asked(), runs)


def test_indices_that_so_few_draws_cannot_tell_are_refused() -> None:
    with pytest.raises(InputError, match="draws for --indices"):
        spread(asked(), 15, indices=True)


def test_nothing_that_may_be_off_is_refused() -> None:
    with pytest.raises(InputError, match="nothing that may be off"):
        spread(asked(spread={}), 8, only_stated=True)


def straight(draws: Any, *rest: Any) -> tuple[Done, Done]:
    """Runs of a law that is known: 3 a + b stands in both cases, the second has 1 + 0.5 c more."""
    found, given = Done(tuple(draws.cases), draws.count), Done(tuple(draws.cases), 1)
    for done, errors in ((found, draws.normal), (given, np.zeros((1, 3)))):
        first = 3.0 * errors[:, 0] + errors[:, 1]
        both = np.column_stack([first, first + 1.0 + 0.5 * errors[:, 2]]).ravel().tolist()
        rows = {"job": ["DONE"] * len(both), "audit": ["SOUND"] * len(both)}
        done.take(0, done.count, {"rows": rows | {"pitch_to_level_start_deg": both}, "curves": ""})
    return found, given


@pytest.mark.parametrize(
    ("done", "others"), [((8, 8, 3, 3, 3), "as many as either"), ((8, 3, 5, 3, 3), "a number between")]
)
def test_of_many_cases_best_and_worst_are_named(done: tuple[int, ...], others: str) -> None:
    shares = {f"case {k}": Share(count, 8, 0.0, 1.0) for k, count in enumerate(done)}
    said = jobs_words(Counted(8, shares, 0, 0, {}))
    assert "in all 8 draws" in said and "in 3 of 8" in said and said.endswith(f"by the others in {others}")


def test_a_straight_law_has_the_interval_that_it_must_have(monkeypatch: Any) -> None:
    """Ends of a normal law cut at three standard deviations of half an error each; shares as their squares.

    Sobol indices of a sum are the shares of its variance (A. Saltelli et al., Global Sensitivity
    Analysis: The Primer (2008), section 4.5, from memory).
    """
    monkeypatch.setattr("simcore.studies.spread.run_draws", straight)
    errors = {"chassis.mass": "5 g", "wheelbase": "1 mm", "ground.slope": "1 deg"}
    result = spread(asked(spread=errors), 2048, only_stated=True, indices=True)
    (answer,) = [one for one in result.answers if one.figure.less]
    end = 0.5 * 0.5 * truncnorm.ppf(0.975, -3, 3)
    assert answer.interval is not None and answer.alone is not None
    assert (answer.interval.low, answer.interval.high) == pytest.approx((1 - end, 1 + end), abs=0.005)
    assert answer.alone.half > 2.5 * answer.interval.half
    assert answer.figure.value == 1.0 and answer.verdict is Verdict.MORE
    (moves,) = result.moves(answer.figure)
    assert moves.rank > 0.99
    shares = {part.error: part.alone for part in result.indices}
    assert shares[result.errors[moves.error].name] == pytest.approx(1.0, abs=0.02)
    assert sum(shares.values()) == pytest.approx(1.0, abs=0.03)
    for part in result.indices:
        assert part.alone_low < part.alone < part.alone_high and part.total_low < part.total < part.total_high
    assert spread(asked(spread=errors), 2048, only_stated=True, indices=True).indices == result.indices
    single = dataclasses.replace(answer.figure, less="", case="as given")
    known = {result.errors[one.error].name: one.rank for one in result.moves(single)}
    assert sorted(known.values())[-1] == pytest.approx(0.94, abs=0.03)  # 3 / root of 10, nearly in ranks
