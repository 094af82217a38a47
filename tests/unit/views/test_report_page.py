"""The page of a result: well formed, safe, small, and saying what terminal and summary say."""

import base64
import dataclasses
import hashlib
import re
import subprocess
import sys
import tomllib
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup
from results_to_show import (
    KINDS,
    MEASURED,
    SCENARIOS,
    compared,
    creep,
    limits,
    logged,
    ranked,
    result_of,
    swept,
)

import simcore
from simcore.errors import InputError
from simcore.files import scenario_of
from simcore.results.catalogue import CATALOGUE
from simcore.results.formatting import MINUS, said_factor
from simcore.results.result import Result
from simcore.views.console.layout import Grid
from simcore.views.console.report import report
from simcore.views.page import chart, lines
from simcore.views.page.chart import LOOKS, Chart, Curve
from simcore.views.page.file import PLAYER, check_file, renewed
from simcore.views.page.file import page as whole_page
from simcore.views.page.of_result import page_of
from simcore.views.page.part import Part
from simcore.views.page.rigs import change_blocks
from simcore.views.page.scale import ticks
from simcore.views.pictures.style import COLOURS

VOID = {"meta", "br", "hr", "img", "input", "link"}
SHAPES = {"path", "polygon", "polyline", "circle", "line", "rect", "use"}
CELLS = ("td", "th")
IMPLIED = {"td": CELLS, "th": CELLS, "tr": (*CELLS, "tr"), "/tr": CELLS, "/tbody": (*CELLS, "tr")}
"""Elements that end where another one begins or ends (HTML standard, optional tags)."""
NASTY = "<script>alert(1)</script> \"two\" 'one' & \N{AUTOMOBILE} \N{ARABIC LETTER SEEN}\N{ARABIC LETTER YEH}"
CSS = (Path(lines.__file__).parent / "page.css").read_text(encoding="utf-8")


class Page(HTMLParser):
    """A page taken apart: each element with its attributes and the text in it; refuses what is not nested."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, dict[str, str | None], list[str]]] = []
        self.found: list[tuple[str, dict[str, str | None], str]] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for ended in IMPLIED.get(tag, ()):
            if self.open[-1][0] == ended:
                self.handle_endtag(ended)
        names = [name for name, _ in attrs]
        assert len(set(names)) == len(names), (tag, names)
        self.open.append((tag, dict(attrs), []))
        if tag in VOID | SHAPES:
            self.handle_endtag(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag in SHAPES
        self.handle_starttag(tag, attrs)

    def handle_endtag(self, tag: str) -> None:
        for ended in IMPLIED.get(f"/{tag}", ()):
            if self.open[-1][0] == ended:
                self.handle_endtag(ended)
        name, attributes, texts = self.open.pop()
        assert name == tag
        self.found.append((tag, attributes, "".join(texts)))
        if self.open:
            self.open[-1][2].extend(texts)

    def handle_data(self, data: str) -> None:
        if self.open:
            self.open[-1][2].append(data)
        else:
            assert not data.strip()

    def texts(self, tag: str, name: str = "") -> list[str]:
        """Text of each element of a tag, and of a class if one is named."""
        return [
            " ".join(text.split())
            for own, attributes, text in self.found
            if own == tag and name in ["", *(attributes.get("class") or "").split()]
        ]

    def attributes(self, *names: str) -> list[str]:
        """Values of attributes, wherever they stand."""
        return [str(has[name]) for _, has, _ in self.found for name in names if name in has]


@cache
def page(kind: str) -> tuple[str, Page]:
    """Page of a result of a kind, as text and taken apart; each once for all tests."""
    text = page_of(result_of(kind))
    return text, Page(text)


def policy(parts: Page) -> str:
    """What the browser is told that the page may do."""
    return dict(pairwise(parts.attributes("http-equiv", "content")))["Content-Security-Policy"]


@pytest.mark.parametrize("kind", [*KINDS, *MEASURED])
def test_every_kind_has_a_page_that_is_nested_and_loads_nothing(kind: str) -> None:
    text, parts = page(kind)
    assert all(where.startswith("#") for where in parts.attributes("href", "src", "action", "srcset"))
    assert not re.search(r"url\(|@import|https?://(?!www\.w3\.org)", CSS)
    assert not [tag for tag, _, _ in parts.found if tag in ("link", "img", "iframe", "object", "base")]
    ids = parts.attributes("id")
    assert len(ids) == len(set(ids))
    assert {where.removeprefix("#") for where in parts.attributes("href", "aria-labelledby")} <= set(ids)
    assert text.startswith("<!doctype html>")
    assert "default-src 'none'; " in policy(parts) and "script-src 'none'" in policy(parts)
    for tag, has, _ in parts.found:
        if tag == "th":
            assert has.get("scope") in ("row", "col")
    assert len(parts.texts("table")) == len(parts.texts("caption"))


@pytest.mark.parametrize("kind", [*KINDS, *MEASURED])
def test_it_says_first_what_the_terminal_says_first(kind: str) -> None:
    result, (_, parts) = result_of(kind), page(kind)
    asked, headline = (line.text for line in report(result, False, None)[:2])
    assert parts.texts("h1") == [" ".join(headline.split())]
    assert parts.texts("p", "asked") == [" ".join(asked.split())]
    assert sorted(parts.texts("p", "concern")) == sorted(
        " ".join(str(one).split()) for one in result.concerns
    )


def test_a_failed_audit_comes_before_all_else() -> None:
    text = page_of(limits(5))
    first = re.search(r'<p class="concern audit"', text)
    assert first and first.start() < text.index("<h1") and first.start() < text.index('<p class="concern"')


@pytest.mark.parametrize("kind", ["run", "five cases"])
def test_every_number_of_the_table_is_that_of_the_summary(kind: str) -> None:
    """The table as it stands on the page against the summaries, to three digits."""
    result, (text, _) = result_of(kind), page(kind)
    every = text[text.index("Every number, with its name") :].split("</details>")[0]
    rows = [[cell.strip() for cell in re.findall(r"<t[hd][^>]*>([^<]*)", row)] for row in every.split("<tr>")]
    by_name = {cell: row for row in rows for cell in row if cell in CATALOGUE}
    assert set(by_name) == {key for one in result.summaries.values() for key in one}
    checked = 0
    for key, row in by_name.items():
        for cell, summary in zip(row[1:], result.summaries.values(), strict=False):
            if CATALOGUE[key].text or summary[key] is None:
                continue
            number = re.match(rf"{MINUS}?[\d.]+", cell)
            assert number, (key, cell)
            value = float(number[0].replace(MINUS, "-"))
            assert value == pytest.approx(summary[key] * said_factor(key), rel=6e-3, abs=6e-4), key
            checked += 1
    assert checked > 40 * len(result.summaries)


def test_whatever_files_say_stands_there_as_text() -> None:
    base = creep().scenario.changed({"title": NASTY, "note": f"{NASTY} \n </style>", "case": NASTY})
    scenario = scenario_of(
        base.raw | {"rig": base.raw["rig"] | {"name": NASTY}, "variants": {f"{NASTY}2": {"ground.slope": 5}}},
        SCENARIOS / "slow_creep.toml",
    )
    runs = dict.fromkeys(scenario.cases(), dataclasses.replace(creep(), scenario=scenario))
    text = page_of(dataclasses.replace(compared(2), scenario=scenario, runs=runs))
    parts = Page(text)
    assert parts.texts("script") == [] and len(parts.texts("style")) == 1
    assert parts.texts("title") == [NASTY]
    assert f"{NASTY} </style>" in parts.texts("p", "note")[0]
    assert any(NASTY in words for words in parts.texts("dd")) and f"{NASTY}2" in parts.texts("th")
    assert "<script" not in text and text.count("</style>") == 1


def test_the_player_gets_its_place_and_its_script_alone_may_run() -> None:
    script = "document.title = 'a & b <c>';"
    seen = []

    def player(runs: object) -> Part:
        seen.append(runs)
        return Part(Markup('<div class="player">here</div>'), ".player { color: red; }", script)

    text = page_of(compared(2), player)
    parts = Page(text)
    assert list(*seen) == list(compared(2).runs) and parts.texts("div", "player") == ["here"]
    assert text.index("<h1") < text.index('class="player"') < text.index('id="curves"')
    assert f"<script>{script}</script>" in text and ".player{color:red;}" in text
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}';" in policy(parts)
    assert page_of(limits(1), player).count("player") == 0


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("run", "simcore report slow_creep.toml"),
        ("five cases", "simcore report slow_creep.toml"),
        ("one axis", "simcore report slow_creep.toml"),
        ("one limit", "simcore limit slow_creep.toml --distance 150"),
        ("five ranges", "simcore limit slow_creep.toml --find ground.grip=10:100:5"),
        ("inspection on a slope", "simcore inspect fell.toml --slope 20"),
        ("fit", "simcore fit slow_creep.toml a_log.csv --free rear.shock.friction.sliding"),
        ("measured rig", "simcore measure"),
    ],
)
def test_it_ends_with_the_command_that_repeats_it(kind: str, words: str) -> None:
    _, parts = page(kind)
    assert parts.texts("pre")[-1].startswith(words)


def test_its_inputs_are_the_whole_scenario() -> None:
    result = compared(5)
    text = next(text for tag, _, text in Page(page_of(result)).found if tag == "pre")
    assert scenario_of(tomllib.loads(text), result.scenario.path) == result.scenario


def test_main_numbers_of_the_rig_are_those_of_its_file() -> None:
    rig = tomllib.loads((SCENARIOS / "rigs" / "gully.toml").read_text(encoding="utf-8"))
    text = page("inspection")[0]
    rows = dict(re.findall(r'<tr><th scope="row">(.*?)<td[^>]*>(.*?)$', text, re.MULTILINE))
    assert rows["wheelbase"] == f"{rig['wheelbase']} mm"
    assert float(rows["motor kv"].split()[0]) == rig["motor"]["kv"]
    rate = rig["rear"]["shock"]["springs"][0]["rate"] * 1000.0 / 9.80665  # weighed, as the terminal says it
    assert float(rows["spring rate, of one shock"].split()[0]) == pytest.approx(rate, rel=6e-3)


def test_what_a_case_changes_is_listed() -> None:
    rows = Page(page_of(compared(2))).texts("tr")
    assert any(re.fullmatch(r"softoverdrive.*2 %", row) for row in rows), rows


def test_what_another_driver_does_is_told_in_words() -> None:
    blocks = change_blocks(simcore.load_scenario(SCENARIOS / "launch_vs_creep.toml"))
    (table,) = blocks
    assert isinstance(table, Grid)
    told = dict(zip([name for (name,) in table.rows], table.cells, strict=True))
    creeping = "held 0.15 m/s within 500 ms"
    assert told["60 ms punch"] == ["driver", creeping, "motor torque 34 N\N{MIDDLE DOT}mm within 60 ms"]
    assert told["as hard, over 1 s"] == ["driver", creeping, "motor torque 34 N\N{MIDDLE DOT}mm within 1 s"]


# --- size and time ---


def test_pages_leave_room_for_the_player() -> None:
    """Three cases of 2 s; with the player two may have 120 kB."""
    scenario = simcore.load_scenario(SCENARIOS / "launch_vs_creep.toml")
    assert len(scenario.cases()) == 3 and len(page_of(simcore.compare(scenario)).encode()) < 95_000


def test_a_large_sweep_is_still_a_page() -> None:
    """Of 225 runs on two axes some rows and some lines, which is said."""
    text = page_of(swept(driveline__overdrive="0:14:1", ground__slope="0:14:1"))
    parts = Page(text)
    assert len(text) < 140_000
    few, every = text.split("<summary>Every run")
    assert few[few.index('id="numbers"') :].count("<tr>") == 1 + 24
    assert every[: every.index("</details>")].count("<tr>") == 1 + 225
    assert any("Left out: 201 of 225 runs" in words for words in parts.texts("p"))
    curves = parts.texts("figcaption")[-len(parts.texts("figure", "map")) :]
    assert curves and all("a line for each ground slope, 9 of 15" in words for words in curves)


# --- lines ---

POINTS = st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=60)


@given(POINTS, st.floats(0.01, 100.0))
def test_no_left_out_point_is_further_from_the_line_than_the_tolerance(
    values: list[float], tolerance: float
) -> None:
    x, y = np.arange(len(values), dtype=float), np.array(values)
    kept = lines.straightened(x, y, tolerance)
    assert kept == sorted(set(kept)) and (kept[0], kept[-1]) == (0, len(values) - 1)
    assert np.abs(np.interp(x, x[kept], y[kept]) - y).max() <= tolerance * (1.0 + 1e-9)


@given(st.integers(0, 10_000), st.integers(lines.COLUMNS, 20 * lines.COLUMNS))
def test_every_column_of_dots_keeps_its_highest_and_lowest_point(seed: int, count: int) -> None:
    y = np.random.default_rng(seed).normal(size=count)
    x = np.linspace(0.0, 1.0, count)
    kept = lines.columned(x, y)
    column = np.floor(x * lines.COLUMNS).astype(int)
    for one in np.unique(column)[:: lines.COLUMNS // 10]:
        own, left = y[column == one], y[kept][column[kept] == one]
        assert (own.max(), own.min()) == (left.max(), left.min())
    assert len(kept) <= max(2 * lines.COLUMNS, 4 * (lines.COLUMNS + 1))


def points(path: str) -> list[list[tuple[int, int]]]:
    """Points of each piece of a path."""
    pieces = []
    for piece in path.split("M")[1:]:
        start, _, steps = piece.partition("l")
        at = tuple(map(int, start.split()))
        numbers = list(map(int, re.findall(r"-?\d+", steps)))
        found = [at]
        for step in zip(numbers[::2], numbers[1::2], strict=True):
            found.append((found[-1][0] + step[0], found[-1][1] + step[1]))
        pieces.append(found)
    return pieces


def test_a_path_goes_through_its_values_and_leaves_a_gap_where_there_is_none() -> None:
    x = np.linspace(0.0, 1.0, 501)
    y = 0.5 + 0.4 * np.sin(9.0 * x)
    y[200:250] = np.nan
    first, second = points(lines.path(x, y))
    assert first[-1][0] == round(x[199] * lines.SIDE) and second[0][0] == round(x[250] * lines.SIDE)
    for piece in (first, second):
        for across, down in piece:
            at = 0.5 + 0.4 * np.sin(9.0 * across / lines.SIDE)
            assert 1.0 - down / lines.SIDE == pytest.approx(at, abs=3.0 / lines.SIDE)
    assert points(lines.path(np.array([0.5]), np.array([0.25]))) == [[(500, 750), (500, 750)]]
    assert lines.path(x, np.full(501, np.nan)) == ""


def test_a_dot_stands_at_every_value() -> None:
    x, y = np.linspace(0.0, 1.0, 5), np.array([0.0, 0.25, np.nan, 0.75, 1.0])
    assert lines.dots(x, y) == "M0 1000h0M250 750h0M750 250h0M1000 0h0"


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 1e4))
def test_ticks_are_a_few_round_numbers_within_the_axis(low: float, span: float) -> None:
    found = [value for value, _ in ticks(low, low + span)]
    assert 2 <= len(found) <= 7
    assert low - 1e-6 * span <= found[0] and found[-1] <= low + span * (1.0 + 1e-6)


@given(st.lists(st.floats(-5.0, 5.0), min_size=1, max_size=25))
def test_names_at_the_ends_of_lines_do_not_lie_over_one_another(lasts: list[float]) -> None:
    curves = [Curve(f"n{k}", np.array([0.0, 1.0]), np.array([0.0, last]), k) for k, last in enumerate(lasts)]
    drawn = Chart("pitch", "deg", "", "time, s", curves, (0.0, 1.0)).drawn
    places = [one.place for one in drawn.ends]
    row = min(chart.ROW, 100.0 / len(lasts))
    assert all(high - low >= 0.999 * row for low, high in pairwise(places))
    assert places[-1] <= 100.0 and places[0] >= -0.5 * row - 1e-6
    assert all(one.name in drawn.words and one.value in drawn.words for one in drawn.ends)


# --- colours ---


def contrast(one: str, other: str) -> float:
    """Contrast of two colours, WCAG 2.1."""
    lights = []
    for colour in (one, other):
        parts = [int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        lights.append(0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2])
    return (max(lights) + 0.05) / (min(lights) + 0.05)


@pytest.mark.parametrize("block", [0, 1], ids=["light", "dark"])
def test_words_in_every_colour_can_be_read(block: int) -> None:
    named = dict(re.findall(r"--([\w-]+): (#\w{6})", re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)[block]))
    cases = [named[f"case-{k}"] for k in range(LOOKS)]
    assert len(set(cases)) == LOOKS == len(COLOURS)
    for colour in (*cases, named["ink"], named["muted"], named["accent"], named["warn"]):
        assert contrast(colour, named["paper"]) >= 4.5, colour


# --- the file ---


def test_a_page_of_runs_is_made_without_what_draws_pictures() -> None:
    code = "import sys, simcore.views.page.file; print({'matplotlib', 'PIL'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()", done.stderr


def test_a_page_is_written_whole_and_replaces_only_its_own(tmp_path: Path) -> None:
    run = creep()
    file = tmp_path / "there" / "page.html"
    assert whole_page(run).save(file) == file
    check_file(file, run.scenario, "run")
    with pytest.raises(InputError, match="page of another kind of result"):
        check_file(file, run.scenario, "limits")
    assert Page(file.read_text(encoding="utf-8")).texts("h1") and [*file.parent.iterdir()] == [file]
    other = simcore.load_scenario(SCENARIOS / "punchy_launch.toml")
    for wrong, scenario in ((file, other), (tmp_path / "page.txt", other)):
        with pytest.raises(InputError):
            check_file(wrong, scenario, "run")
    mine = tmp_path / "mine.html"
    mine.write_text("<p>mine</p>", encoding="utf-8")
    with pytest.raises(InputError, match="no page of this program"):
        check_file(mine, other, "run")


def test_a_page_that_stands_by_is_written_anew_with_a_result_of_its_kind_alone(tmp_path: Path) -> None:
    run = creep()
    file = tmp_path / "report.html"
    assert renewed(run, tmp_path) == {}
    whole_page(run).save(file)
    assert renewed(compared(2), tmp_path) == {}, "a page of another kind"
    other = simcore.load_scenario(SCENARIOS / "punchy_launch.toml")
    assert renewed(dataclasses.replace(run, scenario=other), tmp_path) == {}, "a page of another file"
    now = dataclasses.replace(run, scenario=run.scenario.changed({"title": "Asked anew?"}))
    renewed(now, tmp_path)["report.html"](file)
    assert Page(file.read_text(encoding="utf-8")).texts("title") == ["Asked anew?"]
    file.write_text("<p>mine</p>", encoding="utf-8")
    assert renewed(run, tmp_path) == {}


def test_a_page_of_a_ranking_keeps_its_rigs_in_motion(tmp_path: Path) -> None:
    result, file = ranked(0), tmp_path / "report.html"
    for cases in (None, compared(3)):
        whole_page(result, cases=cases).save(file)
        renewed(result, tmp_path)["report.html"](file)
        assert (PLAYER in file.read_text(encoding="utf-8")) is (cases is not None)


def test_in_a_notebook_it_stands_in_a_frame_of_its_own() -> None:
    shown = whole_page(creep())
    (frame,) = [has for tag, has, _ in Page(shown._repr_html_()).found if tag == "iframe"]
    assert frame["srcdoc"] == shown.text and frame["sandbox"] == "allow-scripts"
    assert frame["title"] == creep().scenario.title in repr(shown)


def test_a_saved_result_gives_the_same_page(tmp_path: Path) -> None:
    result: Result = logged(4)
    result.save(tmp_path)
    assert page_of(simcore.load(tmp_path)) == page_of(result)
