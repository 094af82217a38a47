"""Files of a result: all of the old one or all of the new one, whatever happens to the process."""

import os
import shutil
import signal
from pathlib import Path
from typing import Any

import pytest

from simcore.errors import InputError
from simcore.results.atomic_write import check_folder, clear_up, write_all

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="no forks")
NAMES = ("a.json", "a.parquet", "table.csv")
OLD, NEW = ({name: f"{word} {name}" for name in NAMES} for word in ("old", "new"))
STEPS = ("mkdir", "open", "rename", "replace", "unlink", "rmdir")


def write(folder: Path, texts: dict[str, str], gone: tuple[str, ...] = ()) -> None:
    write_all(
        folder, {name: lambda path, text=text: path.write_text(text) for name, text in texts.items()}, gone
    )


def inside(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir()}


def in_a_child(does: Any) -> int:
    """Whatever it does, in a process of its own; gives how it ended."""
    child = os.fork()
    if child == 0:
        try:
            does()
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def killed_at(step: int, folder: Path, texts: dict[str, str]) -> int:
    """Write files in a child that is killed just before one of its steps on the disk."""
    count = 0

    def counting(own: Any) -> Any:
        def call(*args: Any, **named: Any) -> Any:
            nonlocal count
            count += 1
            if count > step:
                os.kill(os.getpid(), signal.SIGKILL)
            return own(*args, **named)

        return call

    def does() -> None:
        for name in STEPS:
            setattr(os, name, counting(getattr(os, name)))
        write(folder, texts, gone=("b.png",))

    return in_a_child(does)


def test_killed_at_any_step_the_old_or_the_new_result_is_there_whole(tmp_path: Path) -> None:
    folder, seen = tmp_path / "out", []
    for step in range(100):
        shutil.rmtree(folder, ignore_errors=True)
        write(folder, {**OLD, "b.png": "old b"})
        code = killed_at(step, folder, NEW)
        clear_up(folder)
        assert inside(folder) in ({**OLD, "b.png": "old b"}, NEW), step
        seen.append(inside(folder) == NEW)
        if code == 0:
            break
    assert code == 0 and seen == sorted(seen) and 5 < seen.index(True) < len(seen) - 5


def test_what_a_living_process_writes_is_left_alone(tmp_path: Path) -> None:
    def slow(path: Path) -> None:
        path.write_text("mine")
        assert in_a_child(lambda: write(tmp_path, {"other.txt": "other"})) == 0
        assert path.read_text() == "mine"

    write_all(tmp_path, {"mine.txt": slow})
    assert inside(tmp_path) == {"mine.txt": "mine", "other.txt": "other"}


def test_a_failing_writer_leaves_everything_as_it_was(tmp_path: Path) -> None:
    def fails(path: Path) -> None:
        path.write_text("half")
        raise OSError(28, "No space left on device")

    write(tmp_path / "there", OLD)
    for name, before in (("there", OLD), ("new", None)):
        with pytest.raises(InputError, match=f"{name}: --out: got No space left on device"):
            write_all(tmp_path / name, {"a.json": lambda path: path.write_text("x"), "table.csv": fails})
        assert (inside(tmp_path / name) if (tmp_path / name).exists() else None) == before


def test_a_folder_that_vanishes_meanwhile_is_one_message(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    with pytest.raises(InputError, match="out: --out: got No such file"):
        write_all(folder, {"a": lambda path: shutil.rmtree(folder), "b": lambda path: path.write_text("b")})


@pytest.mark.parametrize("make", ["long", "deep", "zero", "file", "dangling", "taken"])
def test_folders_that_can_take_no_files_are_refused_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, make: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("file").write_text("")
    Path("dangling").symlink_to("nowhere")
    Path("taken/a.json").mkdir(parents=True)
    folders = {
        "long": "x" * 300,
        "deep": "x/" * 3000,
        "zero": "a\0b",
        "file": "file/in",
        "dangling": "dangling/in",
    }
    with pytest.raises(InputError, match="--out: got "):
        check_folder(Path(folders.get(make, make)), NAMES)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["dangling", "file", "taken"]


def test_a_current_folder_that_is_gone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    with pytest.raises(InputError, match="plots: --out: got No such file"):
        check_folder(Path("plots"), NAMES)
