"""Typed results and their key: round trip, what is refused, verdicts, drift, drivers, guesses."""

import dataclasses
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from invented_trials import (
    BASE,
    CHANGED,
    CLIMBED,
    SLOPE,
    climbed_or_not,
    driven,
    key_of,
    result_of,
    trial,
    typed_file,
)

import simcore
from simcore.errors import InputError, RejectedValue
from simcore.outdoors import told
from simcore.outdoors.cells import number_in
from simcore.outdoors.field_trial import FieldTrial
from simcore.outdoors.findings import Drift, Verdict, findings
from simcore.outdoors.key import Key, read_key
from simcore.outdoors.measure import Measure, Prediction
from simcore.outdoors.results_file import TypedRun, blank_results, read_results
from simcore.results.result import Doubt
from simcore.views.console.report import report
from simcore.views.page.sheets import driver_sheet, mechanic_sheet

Spoil = Callable[[str], str]


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """A folder with a key and invented results."""
    key = key_of()
    (tmp_path / "key.toml").write_text(key.text("key.toml"), encoding="utf-8")
    typed = typed_file(key, driven(key, 1.7, 1.5))
    (tmp_path / "results.csv").write_text(typed, encoding="utf-8")
    return tmp_path


def scored(desk: Path) -> FieldTrial:
    return simcore.score(desk / "results.csv", desk / "key.toml")


def spoilt(desk: Path, spoil: Spoil) -> None:
    file = desk / "results.csv"
    text = file.read_text(encoding="utf-8")
    assert spoil(text) != text
    file.write_text(spoil(text), encoding="utf-8")


def rows(change: Callable[[list[str]], list[str]]) -> Spoil:
    """Change the cells of every row of a run."""
    return lambda text: re.sub(
        r"^\d.*$", lambda line: ",".join(change(line[0].split(","))), text, flags=re.MULTILINE
    )


def test_a_key_gives_its_plan_and_scenario_back(desk: Path) -> None:
    key = key_of()
    opened = read_key(desk / "key.toml")
    assert opened.plan == key.plan
    assert opened.scenario.table == key.scenario.table
    assert opened.trial == key.trial


def test_a_glance_at_the_key_tells_nothing(desk: Path) -> None:
    text = (desk / "key.toml").read_text(encoding="utf-8")
    plan = key_of().plan
    assert not [word for word in (*plan.words, BASE, CHANGED) if word in text]
    assert key_of().trial in text


def test_drivers_sheet_has_neither_code_nor_set_up() -> None:
    for key in (key_of(), key_of(24, 1, CLIMBED)):
        text, plan = driver_sheet(key).lower(), key.plan
        told = (*plan.words, plan.base, plan.changed, key.scenario.title, key.scenario.path.stem)
        assert not [word for word in told if word.lower() in text]
        assert all(f"<td>{run.run}</td>" in text for run in plan.runs)
        assert key.trial in text


def test_no_two_orders_make_two_drivers_sheets() -> None:
    """But for the trial's name the sheet says nothing that depends on the order."""
    sheets = set()
    for seed in (1, 2, 3, 4):
        key = key_of(8, 1, seed=seed)
        sheets.add(driver_sheet(key).replace(key.trial, "-"))
    assert len(sheets) == 1


def test_mechanics_sheet_has_the_code_word_of_every_run_and_no_set_up() -> None:
    key = key_of()
    text = mechanic_sheet(key)
    said = re.findall(rf"<td>({'|'.join(key.plan.words)})</td>", text)
    assert said == [key.plan.word(run) for run in key.plan.runs]
    assert BASE not in text
    assert CHANGED not in text
    assert "sham change" in text


def test_round_trip_through_files_gives_what_was_driven(desk: Path) -> None:
    found = scored(desk)
    own = trial()
    assert found.runs == own.runs
    assert found.findings == own.findings
    assert found.headline == own.headline
    found.save(desk / "saved")
    again = simcore.load(desk / "saved")
    assert isinstance(again, FieldTrial)
    assert again.headline == found.headline
    assert again.findings == found.findings
    assert report(again, True, None) == report(found, True, None)


def test_effect_is_that_of_the_pairs_written_by_hand(desk: Path) -> None:
    found = scored(desk)
    plan = found.plan
    by_run = {run.run: run for run in found.runs}
    by_hand = []
    for pair in range(1, plan.pairs + 1):
        two = {by_run[run].word: by_run[run].outcome or 0.0 for run in (2 * pair - 1, 2 * pair)}
        by_hand.append(two[plan.words[1]] - two[plan.words[0]])
    assert found.findings.effect is not None
    assert found.findings.effect.value == pytest.approx(np.mean(by_hand), abs=1e-12)
    assert list(found.pairs["difference"]) == pytest.approx(by_hand, abs=1e-12)


@pytest.mark.parametrize("mark", [";", "\t"])
def test_decimal_commas_and_other_separators_are_read(desk: Path, mark: str) -> None:
    before = scored(desk).findings
    spoilt(desk, lambda text: re.sub(r"^(?!#).*$", lambda line: line[0].replace(",", mark), text, flags=re.M))
    spoilt(desk, lambda text: re.sub(r"(?<=\d)\.(?=\d)", ",", text))
    assert scored(desk).findings == before


def test_decimal_commas_between_commas_are_refused_in_every_row(desk: Path) -> None:
    """A row has a cell more then, and an empty one at its end: without a refusal 39,2 would be 39."""
    plain = rows(lambda cells: [*cells[:4], cells[4].replace(".", ","), *[""] * 7])
    spoilt(desk, plain)
    with pytest.raises(InputError) as caught:
        scored(desk)
    assert len(caught.value.issues) == len(key_of().plan.runs)
    message = "got 13 cells, must be 12, as many as the header has (write decimal points, or semicolons"
    assert all(message in str(issue) for issue in caught.value.issues)


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (["39", "2"], "outcome: got 39,2, one number with a decimal comma, or two cells, must be 39.2 if"),
        (["39", "2", *[""] * 6], "outcome: got 39,2, one number"),
        (
            ["39", "2 deg", *[""] * 6],
            "outcome: got 39,2 deg, one number with a decimal comma, must be 39.2 deg; or semi",
        ),
        (["39", "2", "14.2", "dry", "clean", "7.9", "first", ""], "outcome: got 39,2, one number"),
        (["39", "2", "14", "5", "dry", "clean", "7", "9"], "outcome: got 39,2, one number"),
        (["39.2", "14", "5", "dry", "clean", "7.9", "first", ""], "temperature_C: got 14,5, one number"),
        (["39.2", "14", "dry", "clean", "7", "9", "first", ""], "battery_V: got 7,9, one number"),
    ],
)
def test_a_decimal_comma_in_a_row_that_lacks_its_last_cells_is_refused(
    desk: Path, cells: list[str], said: str
) -> None:
    """39,2 is neither an outcome of 39 beside 2 degrees, nor are 14,5 degrees 14 beside a dust of 5."""
    spoilt(desk, rows(lambda row: [*row[:4], *cells] if row[0] == "3" else row))
    with pytest.raises(InputError) as caught:
        scored(desk)
    (issue,) = caught.value.issues
    assert said in str(issue)


@pytest.mark.parametrize(
    "cells",
    [["39"], ["39", "14.0"], ["39", "14", "dry"], ["39.0", "14"], ["39", "14", *[""] * 3, "first", "", ""]],
)
def test_a_row_that_could_be_no_other_may_lack_its_last_cells(desk: Path, cells: list[str]) -> None:
    spoilt(desk, rows(lambda row: [*row[:4], *cells] if row[0] == "4" else row))
    run = scored(desk).runs[3]
    assert run.outcome == 39.0
    assert run.temperature == (14.0 if len(cells) > 1 else None)


def test_a_blank_file_is_too_few(desk: Path) -> None:
    (desk / "results.csv").write_text(blank_results(key_of()), encoding="utf-8")
    found = scored(desk)
    assert found.findings.verdict is Verdict.TOO_FEW
    assert len(found.findings.left_out) == 12
    assert found.findings.effect is None
    assert [concern.doubt for concern in found.concerns] == [Doubt.NOT_KNOWN]
    assert "cannot show anything" in found.headline
    assert report(found, True, 80)


def test_every_fault_of_a_file_is_said_at_once_with_line_and_column(desk: Path) -> None:
    head = sum(line.startswith("#") for line in typed_file(key_of(), ()).splitlines()) + 1
    spoils = {
        1: lambda cells: [*cells[:4], "steep", *cells[5:]],
        2: lambda cells: [*cells[:3], "granite", *cells[4:]],
        3: lambda cells: [*cells[:5], "400", *cells[6:]],
        4: lambda cells: [*cells[:9], "maybe", *cells[10:]],
        5: lambda cells: ["99", *cells[1:]],
        6: lambda cells: ["7", "4", *cells[2:]],
        8: lambda cells: [cells[0], "9", *cells[2:]],
        9: lambda cells: [*cells, "more"],
        10: lambda cells: [*cells[:4], "12 mm", *cells[5:]],
        11: lambda cells: [*cells[:4], "inf", *cells[5:]],
    }
    spoilt(desk, rows(lambda cells: spoils.get(int(cells[0]), list)(cells)))
    with pytest.raises(InputError) as caught:
        scored(desk)
    said = [str(issue) for issue in caught.value.issues]
    wanted = {
        1: 'outcome: got "steep", must be',
        2: 'code_word: got "granite", must be',
        3: "temperature_C: got 400.0, must be from -60 to 70",
        4: 'guess: got "maybe", must be first, second, ? or nothing',
        5: 'run: got "99", must be a run of the plan, 1 to 24',
        7: "run: got 7, which stands in line",
        8: 'pair: got "9", must be 4, the pair of run 8',
        9: "got 13 cells, must be 12",
        10: 'outcome: got "12 mm", must be',
        11: 'outcome: got "inf", must be',
    }
    assert len(said) == len(wanted)
    for line, (row, text) in zip(said, wanted.items(), strict=True):
        assert line.startswith(f"{desk / 'results.csv'}: line {head + row}")
        assert text in line


@pytest.mark.parametrize(
    ("unit", "cell", "must_be"),
    [
        ("deg", "310", "got 310.0 deg, must be from -180 to 180 deg"),
        ("rad", "-200 deg", "must be from -3.14159265359 to 3.14159265359 rad"),
        ("ms", "-1 s", "got -1000.0 ms, must be at least 0 ms"),
        ("min", "-0.5", "must be at least 0 min"),
        ("1", "-2", "got -2.0, must be at least 0"),
        ("lb", "-2", "must be at least 0 lb"),
        ("deg", "nan", 'got "nan", must be a number in deg'),
        ("mm", "1e999", "must be a number in mm"),
        ("s", "1_0", 'got "1_0", must be a number and a unit'),
        ("s", "1.2.3", 'got "1.2.3", must be a number and a unit'),
    ],
)
def test_what_cannot_come_of_a_run_is_refused(tmp_path: Path, unit: str, cell: str, must_be: str) -> None:
    """By the kind of the unit, whatever the measure is called."""
    key = key_of(8, 1, Measure("anything", unit))
    runs = changed_runs(key, **{f"run_{k}": {"outcome": cell if k == 3 else 1.0} for k in range(1, 17)})
    (tmp_path / "results.csv").write_text(typed_file(key, runs), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_results(tmp_path / "results.csv", key)
    (issue,) = caught.value.issues
    assert issue.key.endswith(", outcome")
    assert must_be in str(issue)


@pytest.mark.parametrize(("unit", "cell"), [("deg", -180.0), ("turn", 12.5), ("mm", -40.0), ("%", 120.0)])
def test_what_can_come_of_a_run_is_taken(tmp_path: Path, unit: str, cell: float) -> None:
    key = key_of(8, 1, Measure("anything", unit))
    runs = changed_runs(key, **{f"run_{k}": {"outcome": cell if k == 3 else 1.0} for k in range(1, 17)})
    (tmp_path / "results.csv").write_text(typed_file(key, runs), encoding="utf-8")
    assert read_results(tmp_path / "results.csv", key)[2].outcome == cell


@pytest.mark.parametrize(
    "cell",
    [
        *("2026-11-28", "2026-11-28 00:00:00", "28.11.", "1.3.", "01.03.2026", "3/1/26", "1/3", "11/2026"),
        *("03-Jan", "1. Mrz", "Jan 3", "28 November 2026", "Mar-26", "46054"),
    ],
)
def test_a_date_where_a_number_is_due_is_called_one(cell: str) -> None:
    with pytest.raises(RejectedValue) as caught:
        number_in(cell, SLOPE.outcomes, True, 1500.0)
    assert "which reads as a date" in caught.value.got
    assert "a number in deg, from -180 to 180 deg: the spreadsheet may have turned 1.3 into one" in (
        caught.value.must_be
    )


@pytest.mark.parametrize(
    ("cell", "unit", "value"),
    [
        *(("28.11", "deg", 28.11), ("1.3", "deg", 1.3), ("-1.5", "deg", -1.5), ("3 min", "s", 180.0)),
        *(("46054", "ms", 46054.0), ("46054.0", "mm", 46054.0), ("99999", "mm", 99999.0)),
    ],
)
def test_a_number_is_no_date(cell: str, unit: str, value: float) -> None:
    """Not one of a size that is expected, either: 46 s in milliseconds, that scatter by some of them."""
    far = 1000.0 * (2000.0 if unit == "ms" else 2.0)
    assert number_in(cell, Measure("", unit).outcomes, True, far) == value


def test_dates_are_named_in_every_column_of_numbers(desk: Path) -> None:
    spoils = {
        1: lambda cells: [*cells[:4], "28.11.", *cells[5:]],
        2: lambda cells: [*cells[:5], "46054", *cells[6:]],
        3: lambda cells: [*cells[:8], "7. Sep", *cells[9:]],
        4: lambda cells: [*cells[:4], "46054", *cells[5:]],
    }
    spoilt(desk, rows(lambda cells: spoils.get(int(cells[0]), list)(cells)))
    with pytest.raises(InputError) as caught:
        scored(desk)
    columns = [issue.key.split(", ")[1] for issue in caught.value.issues]
    assert columns == ["outcome", "temperature_C", "battery_V", "outcome"]
    assert all("which reads as a date" in issue.got for issue in caught.value.issues)


def test_what_can_come_of_a_run_stands_above_the_results() -> None:
    assert "# Outcome: steepest slope, deg, from -180 to 180 deg. One row" in blank_results(key_of())


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda text: text.replace("# trial ", "# trial x"), "results of trial x"),
        (lambda text: text.replace("# trial ", "# "), "no line that names the trial"),
        (lambda text: text.replace("run,pair", "number,pair"), "a header without run"),
        (lambda text: text.replace(",note", ",remark"), 'a column "remark"'),
        (lambda text: text.replace(",note", ",run"), "the column run twice"),
        (lambda text: re.sub(r"^[^#].*$", "", text, flags=re.MULTILINE), "no rows"),
    ],
)
def test_other_faults_of_a_file_are_said(desk: Path, spoil: Spoil, message: str) -> None:
    spoilt(desk, spoil)
    with pytest.raises(InputError, match=message):
        scored(desk)


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda text: "\n\n", "got an empty file, must be the results of trial"),
        (lambda text: text.replace(",dry,", ',"dry,', 1), "a cell that never ends"),
        (lambda text: text.replace(",dry,", f",{'x' * 200_000},", 1), "a cell that never ends"),
        (lambda text: text.replace(",dry,", ',"dry', 1) + "y" * 200_000, "a cell that never ends"),
        (lambda text: text.replace(",dry,", "|dry|"), 'temperature_C: got "'),
        (lambda text: text.replace("driver 1", "x" * 41), "a name of at most 40 letters"),
        (rows(lambda cells: [*cells[:10], "no", ""]), 'left_out: got "no", must be why the run must not'),
        (rows(lambda cells: [*cells[:4], "1:23", *cells[5:]]), "which reads as on a clock"),
    ],
)
def test_what_spreadsheets_and_hands_spoil_is_said(desk: Path, spoil: Spoil, message: str) -> None:
    spoilt(desk, spoil)
    with pytest.raises(InputError, match=message):
        scored(desk)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda text: "sep=,\n" + text,
        lambda text: re.sub("^run,.*$", lambda head: head[0].upper(), text, flags=re.M),
        lambda text: re.sub("^#.*$", lambda said: f'"{said[0]}",,,', text, flags=re.M),
        lambda text: re.sub(r",$", ',"wind\n# and dust"', text, flags=re.M),
        lambda text: "\n".join(
            sorted(text.splitlines(), key=lambda line: ("#r".find(line[0]) % 3, line[::-1]))
        ),
    ],
)
def test_what_spreadsheets_and_hands_change_is_read_as_before(desk: Path, spoil: Spoil) -> None:
    before = scored(desk).runs
    spoilt(desk, spoil)
    assert scored(desk).runs == before


def test_key_of_another_trial_is_refused(desk: Path) -> None:
    (desk / "key.toml").write_text(key_of(seed=4).text("key.toml"), encoding="utf-8")
    with pytest.raises(InputError, match=f"got results of trial {key_of().trial}"):
        scored(desk)


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda text: text.replace('sealed = """\neN', 'sealed = """\neM'), "altered after it was sealed"),
        (lambda text: text.replace("trial = ", "trail = "), "'trial'"),
        (lambda text: text + "x", "no key, or a damaged one"),
        (lambda text: "", "no key, or a damaged one"),
    ],
)
def test_damaged_keys_are_refused(desk: Path, spoil: Spoil, message: str) -> None:
    file = desk / "key.toml"
    text = file.read_text(encoding="utf-8")
    assert spoil(text) != text
    file.write_text(spoil(text), encoding="utf-8")
    with pytest.raises(InputError, match=message):
        scored(desk)
    with pytest.raises(InputError, match="no such file"):
        read_key(desk / "none.toml")


def changed_runs(key: Key, **by_run: dict[str, object]) -> tuple[TypedRun, ...]:
    """Driven runs, some of them otherwise: run_3={"outcome": None}."""
    return tuple(
        dataclasses.replace(run, **by_run.get(f"run_{run.run}", {})) for run in driven(key, 1.7, 1.5)
    )


def test_pairs_that_cannot_count_are_left_out_and_why() -> None:
    key = key_of()
    runs = driven(key, 1.7, 1.5)
    swapped = runs[7].word  # run 8; run 7 then has the same
    spoilt = changed_runs(
        key,
        run_1={"outcome": None},
        run_4={"left_out": "fell off"},
        run_7={"word": swapped},
        run_9={"driver": "somebody"},
    )
    found = findings(key.plan, [run for run in spoilt if run.run != 12])
    assert [(one.pair, one.why) for one in found.left_out] == [
        (1, "run 1 has no outcome"),
        (2, "run 4: fell off"),
        (4, f'both runs were with "{swapped}"'),
        (
            5,
            "two drivers: somebody and driver 1"
            if runs[9].driver == "driver 1"
            else "two drivers: somebody and driver 2",
        ),
        (6, "run 12 has no row"),
    ]
    assert len(found.pairs) == 7


def test_a_pair_driven_the_other_way_round_counts_as_it_was_driven() -> None:
    key = key_of()
    runs = driven(key, 1.7, 1.5)
    one, two = runs[0].word, runs[1].word
    turned = changed_runs(key, run_1={"word": two}, run_2={"word": one})
    before, after = (findings(key.plan, each).pairs[0] for each in (runs, turned))
    assert after.difference == -before.difference
    assert after.changed_first is not before.changed_first


def test_an_outcome_far_from_all_others_is_remarked() -> None:
    key = key_of()
    (words,) = told.far_words(key.plan, findings(key.plan, changed_runs(key, run_3={"outcome": 83.9})))
    assert words.startswith(
        "Run 3, 83.9 deg, lies far from the others with its set-up, half of which are within "
    )
    assert not any(list(told.far_words(key.plan, trial(seed=seed).findings)) for seed in range(20))
    assert not list(told.far_words(key.plan, result_of(key, ()).findings))


def other(key: Key, word: str) -> str:
    """The code word of the other set-up."""
    one, two = key.plan.words
    return two if word == one else one


def test_code_words_that_are_swapped_in_most_runs_are_refused(desk: Path) -> None:
    key = key_of()
    spoilt(desk, rows(lambda cells: [*cells[:3], other(key, cells[3]), *cells[4:]]))
    with pytest.raises(InputError) as caught:
        scored(desk)
    (issue,) = caught.value.issues
    one, two, three = (key.plan.word(run) for run in key.plan.runs[:3])
    assert re.fullmatch(r"lines \d+ to \d+, code_word", issue.key)
    assert issue.got == "the other word than planned in 24 of 24 runs"
    assert issue.must_be.startswith(
        f"the planned one ({one} in run 1, {two} in run 2, {three} in run 3 and so on), save in few runs"
    )


def test_code_words_that_are_swapped_in_few_pairs_are_remarked(desk: Path) -> None:
    key = key_of()
    spoilt(
        desk,
        rows(
            lambda cells: (
                [*cells[:3], other(key, cells[3]), *cells[4:]] if int(cells[0]) in (5, 6, 9, 10) else cells
            )
        ),
    )
    found = scored(desk)
    (words,) = told.departure_words(found.plan, found.findings)
    assert words.startswith("Pairs 3, 5 were driven the other way round than drawn")
    assert words in [line.text for line in report(found, False, None)]
    assert not list(told.departure_words(key.plan, trial().findings))


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (("Ann", "Ann"), ["Planned for 2 drivers, driven by Ann alone: it may be a habit of that hand."]),
        (("Ann", "Bob"), []),
    ],
)
def test_drivers_other_than_planned_are_remarked(desk: Path, names: tuple[str, str], said: list[str]) -> None:
    spoilt(desk, rows(lambda cells: [*cells[:2], names[cells[2] == "driver 2"], *cells[3:]]))
    found = scored(desk)
    assert list(told.departure_words(found.plan, found.findings)) == said
    assert found.asked.endswith("1 driver." if said else "2 drivers.")


def test_a_driver_is_the_same_in_capitals_and_a_third_one_is_remarked(desk: Path) -> None:
    names = {"1": "Driver  1", "2": "DRIVER 1", "3": "driver 1 ", "4": "driver 1", "7": "Tim", "8": "tim"}
    spoilt(desk, rows(lambda cells: [*cells[:2], names.get(cells[0], cells[2]), *cells[3:]]))
    found = scored(desk)
    assert not found.findings.left_out
    (words,) = told.departure_words(found.plan, found.findings)
    assert words.startswith("Planned for 2 drivers, driven by 3: Tim, driver 1, driver 2. Is one")


@pytest.mark.parametrize(
    ("effect", "knew", "verdict"),
    [
        (3.0, 0.4, Verdict.SHOWN),
        (-3.0, 0.4, Verdict.OTHER_WAY),
        (0.0, 0.4, Verdict.NOT_SHOWN),
        (3.0, 1.0, Verdict.NOT_BLIND),
    ],
)
def test_verdicts(effect: float, knew: float, verdict: Verdict) -> None:
    found = trial(effect, 1.0, knew)
    assert found.findings.verdict is verdict
    doubts = [concern.doubt for concern in found.concerns]
    assert doubts == ([Doubt.NOT_BLIND] if verdict is Verdict.NOT_BLIND else [])


def test_drivers_who_know_are_named_even_where_nothing_was_shown() -> None:
    found = trial(0.0, 1.0, 1.0)
    assert found.findings.verdict is Verdict.NOT_SHOWN
    assert [concern.doubt for concern in found.concerns] == [Doubt.NOT_BLIND]
    assert found.findings.guesses.p == pytest.approx(0.5**12)


def test_drift_practice_and_fading_are_told_apart() -> None:
    """Put into runs without scatter, each is found with its own size and the effect stays."""
    key = key_of()
    day, practice, fading = 0.05, 0.4, 0.03
    pairs = {run.run: run.pair for run in key.plan.runs}
    runs = [
        dataclasses.replace(
            run,
            outcome=38.0
            + day * pairs[run.run] * 2
            + practice * (run.run % 2 == 0)
            + (1.7 + fading * (pairs[run.run] - 6.5)) * (run.word == key.plan.words[1])
            + 0.01 * np.sin(7.0 * run.run),
        )
        for run in driven(key, 0.0, 0.0)
    ]
    found = findings(key.plan, runs)
    told = {one.what: one for one in found.drifts}
    assert told[Drift.DAY].value == pytest.approx(day + fading / 4.0, abs=0.003)
    assert told[Drift.PRACTICE].value == pytest.approx(practice, abs=0.02)
    assert told[Drift.FADING].value == pytest.approx(fading, abs=0.003)
    assert all(one.p < 0.001 for one in told.values())
    assert found.effect is not None
    assert found.effect.value == pytest.approx(1.7, abs=0.06)


def test_drift_is_rarely_seen_where_there_is_none() -> None:
    """5 % of 60 trials, each of three; p are spread evenly."""
    key = key_of(8, 1)
    p = [one.p for seed in range(60) for one in findings(key.plan, driven(key, 1.0, 1.0, seed=seed)).drifts]
    assert len(p) == 180
    assert 0.0 < np.mean(np.array(p) <= 0.05) < 0.13
    assert np.mean(p) == pytest.approx(0.5, abs=0.1)


def test_drift_that_is_but_rounding_is_none() -> None:
    """Outcomes in tenths, the same in all pairs: sums of them are off by 1e-15."""
    key = key_of()
    planned = {run.run: run for run in key.plan.runs}
    runs = [
        dataclasses.replace(run, outcome=0.1 + 0.2 * planned[run.run].changed + 0.7)
        for run in driven(key, 0.0, 0.0)
    ]
    found = findings(key.plan, runs)
    assert len(found.drifts) == 3
    assert [told.drift_words(key.plan, one) for one in found.drifts] == ["none"] * 3
    rising = [
        dataclasses.replace(run, outcome=(run.outcome or 0.0) + 0.5 * planned[run.run].pair) for run in runs
    ]
    day, *_ = findings(key.plan, rising).drifts
    assert told.drift_words(key.plan, day).startswith("+0.250 deg ± 0, p < 0.001: real")


def test_drivers_who_differ_are_said_to() -> None:
    key = key_of()
    runs = [
        dataclasses.replace(run, outcome=(run.outcome or 0.0) + 4.0 * (run.word == key.plan.words[1]))
        if run.driver == "driver 2"
        else run
        for run in driven(key, 1.0, 1.0)
    ]
    apart, alike = findings(key.plan, runs), findings(key.plan, driven(key, 1.0, 1.0))
    assert apart.drivers_p is not None
    assert alike.drivers_p is not None
    assert apart.drivers_p < 0.01 < alike.drivers_p
    assert [one.pairs for one in apart.drivers] == [6, 6]


def test_outcomes_that_go_with_temperature_are_said_to() -> None:
    key = key_of()
    runs = [
        dataclasses.replace(
            run, temperature=10.0 + 0.5 * (run.outcome or 0.0) - 1.0 * (run.word == key.plan.words[1])
        )
        for run in driven(key, 2.0, 1.0)
    ]
    (beside, _) = findings(key.plan, runs).beside
    assert beside.correlation == pytest.approx(1.0)
    assert beside.p < 1e-6


def test_yes_and_no_go_by_the_sign_test() -> None:
    found = climbed_or_not()
    effect = found.findings.effect
    assert effect is not None
    assert len(found.findings.pairs) == 23
    assert effect.value == pytest.approx(100.0 * (effect.up - effect.down) / 23)
    said = " ".join(line.text for line in report(found, False, None))
    assert f"The sign test decides, at 0.05: {told.p_words(effect.sign)}; the interval holds every" in said
    assert "permutation" not in said


def test_of_a_number_the_sign_test_is_said_to_decide_nothing() -> None:
    found = trial()
    effect = found.findings.effect
    assert effect is not None
    said = told.tests_words(found.plan, found.findings)
    assert f"The permutation test decides, at 0.05: {told.p_words(effect.permutation)};" in said
    assert (
        f"Beside it, deciding nothing: the sign test, of directions alone ({told.p_words(effect.sign)})."
        in said
    )


@pytest.mark.parametrize("ups", [10, 11, 12, 13])
def test_verdict_p_and_interval_of_yes_and_no_say_the_same(ups: int) -> None:
    """A change that made some of 40 pairs climb, and 3 fail: just not shown, and just shown."""
    key = key_of(40, 1, CLIMBED)
    planned = {run.run: run for run in key.plan.runs}
    runs = [
        dataclasses.replace(run, outcome=float(planned[run.run].changed is (planned[run.run].pair <= ups)))
        if planned[run.run].pair <= ups + 3
        else dataclasses.replace(run, outcome=1.0)
        for run in driven(key, 0.0, 0.0)
    ]
    found = findings(key.plan, runs)
    assert found.effect is not None
    assert (found.effect.up, found.effect.down) == (ups, 3)
    shown = found.verdict is Verdict.SHOWN
    assert shown is (found.effect.sign <= 0.05) is (found.effect.low > 0.0) is (ups > 11)


def test_yes_and_no_are_read_in_several_words(tmp_path: Path) -> None:
    key = key_of(8, 1, CLIMBED)
    runs = driven(key, 0.5, 0.0)
    (tmp_path / "results.csv").write_text(
        typed_file(key, runs).replace(",yes,", ",Y,").replace(",no,", ",0,"), encoding="utf-8"
    )
    assert read_results(tmp_path / "results.csv", key) == runs


def test_a_count_and_an_unsure_prediction_are_said_without_a_unit() -> None:
    key = key_of(measure=Measure("marks passed", "1"), predicted=Prediction(2.0, 0.5))
    found = result_of(key, driven(key, 2.0, 1.0))
    assert re.search(r"Marks passed|marks passed", found.headline)
    assert "predicted +2.00 (95 %: +1.02 to +2.98)" in found.headline


def test_results_that_cannot_be_so_wide_stay_finite() -> None:
    """All pairs the same: no error from residuals, no infinite words."""
    key = key_of(8, 1)
    found = result_of(key, driven(key, 1.0, 0.0))
    assert found.findings.effect is not None
    assert (found.findings.effect.low, found.findings.effect.high) == pytest.approx((1.0, 1.0))
    assert "nan" not in " ".join(line.text for line in report(found, True, None))
