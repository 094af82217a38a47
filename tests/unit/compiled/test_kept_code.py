"""Compiled code on the disk: damaged files and a full disk cost time, and never an answer."""

import resource
from collections.abc import Callable
from pathlib import Path
from types import FunctionType
from typing import Any

import numba
import pytest

from simcore.compiled.cache import CacheMoved, keep_code

pytestmark = pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="nothing is compiled")


def law(force: float) -> float:
    return 2.0 * force + 1.0


def answered(folder: Path, function: Callable[[float], float] = law) -> tuple[float, int]:
    """Answer of the law as a new process would get it, and whether kept code was used."""
    compiled: Any = numba.njit(function)
    keep_code(compiled, folder)
    return compiled(3.0), sum(compiled.stats.cache_hits.values())


def emptied(text: bytes) -> bytes:
    return b""


def halved(text: bytes) -> bytes:
    return text[: len(text) // 2]


def altered(text: bytes) -> bytes:
    middle = len(text) // 2
    return text[:middle] + bytes([text[middle] ^ 1]) + text[middle + 1 :]


def junk(text: bytes) -> bytes:
    return b"no code at all" * 99


@pytest.mark.parametrize("damage", [emptied, halved, altered, junk])
@pytest.mark.parametrize("ending", ["nbi", "nbc"])
def test_damaged_code_is_compiled_anew(tmp_path: Path, ending: str, damage: Callable[[bytes], bytes]) -> None:
    assert answered(tmp_path) == (7.0, 0)
    (file,) = tmp_path.rglob(f"*.{ending}")
    file.write_bytes(damage(file.read_bytes()))
    assert answered(tmp_path)[0] == 7.0
    assert answered(tmp_path) == (7.0, 1)


def test_a_full_disk_is_a_warning(tmp_path: Path) -> None:
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, before[1]))
    try:
        with pytest.warns(CacheMoved, match=r"cannot be kept in .* \(File too large\); it is compiled anew"):
            assert answered(tmp_path) == (7.0, 0)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_copy_of_the_sources_uses_the_code_of_the_first(tmp_path: Path) -> None:
    copy = FunctionType(law.__code__.replace(co_filename=str(tmp_path / Path(__file__).name)), globals())
    copy.__qualname__ = law.__qualname__
    assert answered(tmp_path) == (7.0, 0)
    assert answered(tmp_path, copy) == (7.0, 1)


def test_code_for_other_arguments_is_not_taken(tmp_path: Path) -> None:
    """As where two processes keep the first code of a function at once."""
    assert answered(tmp_path) == (7.0, 0)
    (first,) = tmp_path.rglob("*.nbc")
    whole: Any = numba.njit(law)
    keep_code(whole, tmp_path)
    assert whole(3) == 7.0
    (second,) = set(tmp_path.rglob("*.nbc")) - {first}
    first.write_bytes(second.read_bytes())
    assert answered(tmp_path) == (7.0, 0)
