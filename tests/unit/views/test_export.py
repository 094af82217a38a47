"""Results with and without their pictures."""

import importlib
import pkgutil
from pathlib import Path

import simcore
from simcore.studies.load import HOMES
from simcore.views import catalogue, pictures
from simcore.views.catalogue import PICTURES
from simcore.views.export import Export, export

RIG = Path(__file__).parents[3] / "scenarios" / "rigs" / "gully.toml"


def test_without_pictures_the_numbers_are_written_and_earlier_pictures_go(tmp_path: Path) -> None:
    result = simcore.inspect(RIG)
    with_them = export(result, tmp_path, Export(("png", "svg")))
    (tmp_path / "comparison.png").write_text("of something else")
    without = export(result, tmp_path, Export(()))
    assert [path.name for path in without] == ["inspection.json", "standing.json"]
    assert {path.name for path in with_them} - {path.name for path in without} == {
        "side_view.png",
        "side_view.svg",
    }
    assert {path.name for path in tmp_path.iterdir()} == {path.name for path in without} | {"comparison.png"}


def test_the_table_of_pictures_knows_all_that_are_drawn() -> None:
    for module in pkgutil.iter_modules(pictures.__path__):
        importlib.import_module(f"{pictures.__name__}.{module.name}")
    assert {one.drawn_by for one in PICTURES} == set(catalogue._ENTERED)
    assert all(one.caption for one in PICTURES)
    assert {one.kind for one in PICTURES} <= set(HOMES)
