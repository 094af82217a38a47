"""The worksheet to fill in: whole, readable, and nothing in it counts as read."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import BaseModel

from simcore.errors import InputError
from simcore.files.schema import fields, hints, items, plain, submodel
from simcore.files.worksheet import Worksheet, worksheet_of
from simcore.readings.blank import WIDTH, blank_worksheet
from simcore.readings.derive import derive
from simcore.readings.naming import rig_name, worksheet_file
from simcore.readings.workings import Origin

TEXT = blank_worksheet('Bench "mule"', "bench_mule.toml")


def test_it_reads_as_a_worksheet_of_which_nothing_is_known() -> None:
    sheet = worksheet_of(tomllib.loads(TEXT), Path("bench_mule.toml"))
    assert sheet.name == 'Bench "mule"'
    assert sheet.model_copy(update={"name": "x"}) == worksheet_of(
        {"worksheet": 1, "name": "x"}, Path("bench_mule.toml")
    ).model_copy(update={"name": "x"})
    found = derive(sheet)
    assert {entry.origin for entry in found.entries.values()} == {Origin.GUESS, Origin.GUESSED_IN_PART}
    assert found.rig().name == 'Bench "mule"'


def paths(model: type[BaseModel], place: str = "") -> Iterator[tuple[str, str]]:
    """Table and key of every line that there can be."""
    for key in fields(model):
        hint = hints(model)[key]
        kinds = items(hint)
        below = submodel(kinds[0] if kinds else hint)
        if below is None:
            yield place, key
        else:
            yield from paths(below, f"{place}.{key}".strip("."))


def test_every_line_is_there_with_its_unit() -> None:
    found, table = set(), ""
    for line in TEXT.splitlines():
        bare = line.removeprefix("# ")
        if head := re.fullmatch(r"\[\[?([\w.]+)\]?\]", bare):
            table = head[1]
        elif key := re.match(r"(\w+) = ", bare):
            found.add((table, key[1]))
            hint = hints(Worksheet)
            model: type[BaseModel] = Worksheet
            for step in table.split(".") if table else ():
                kinds = items(hints(model)[step])
                model = submodel(kinds[0] if kinds else hints(model)[step]) or model
            hint = hints(model)[key[1]]
            unit = quantity.unit if (quantity := plain(hint)[1]) else "1"
            assert unit == "1" or bare.endswith(f"# {unit}"), line
    assert found == set(paths(Worksheet))


def test_lines_fit_a_screen_and_say_what_stands_in() -> None:
    assert max(map(len, TEXT.splitlines())) <= WIDTH + 6
    for words in ("280 to 330 mm", "common practice, no source", "LiPo", "+-", "19 of 20"):
        assert words in re.sub(r"\n# ", " ", TEXT)


def test_a_filled_in_line_is_read_and_the_others_stay_guesses() -> None:
    text = TEXT.replace('wheelbase = ""', 'wheelbase = "312 +- 1 mm"').replace(
        'rear = ""  # g', 'rear = "0.9 kg"  # g', 1
    )
    text = text.replace(
        'squash = [["", ""], ["", ""], ["", ""]]', 'squash = [[400, 3], ["", ""], [800, 6]]', 1
    )
    sheet = worksheet_of(tomllib.loads(text), Path("x.toml"))
    assert len(sheet.rear.tyre.squash) == 2
    assert sheet.wheelbase is not None and sheet.wheelbase.value == pytest.approx(0.312)
    assert sheet.scales.rear is not None and sheet.scales.rear.value == pytest.approx(0.9)
    origins = {key: entry.origin for key, entry in derive(sheet).entries.items()}
    assert origins["wheelbase"] is Origin.READ
    assert origins["front.tyre.radius"] is Origin.GUESS


@pytest.mark.parametrize(
    ("typed", "file", "name"),
    [
        ("Marl", "marl.toml", "Marl"),
        ("marl pit 2", "marl_pit_2.toml", "Marl pit 2"),
        ("rigs/marl.toml", "rigs/marl.toml", "Marl"),
        ("../../etc/x", "etc_x.toml", "../../etc/x"),
        ("Über", "über.toml", "Über"),
    ],
)
def test_names_of_file_and_rig(typed: str, file: str, name: str) -> None:
    assert (worksheet_file(typed).as_posix(), rig_name(typed)) == (file, name)


@pytest.mark.parametrize("typed", ["", "  ", "...", "//"])
def test_a_name_without_letters_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="NAME"):
        worksheet_file(typed)
