"""Records read by name, and compiled code that never outlives the law it was made from."""

import getpass
import math
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import numba
import numpy as np
import pytest
from sparing import few

import simcore.compiled as compiled
import simcore.compiled.cache as kernel_cache
from simcore.compiled import CONTACT, LEDGER, RIG, STATE, STATES, TYRE, blank, kernel
from simcore.laws.shock import seal_friction

PACKAGE = Path(compiled.__file__).parents[1]
QUESTION = """
from simcore.compiled import FRICTION, blank
from simcore.compiled.cache import is_compiled
from simcore.laws.shock import seal_friction
friction = blank(FRICTION)[0]
friction.sliding, friction.breakaway, friction.presliding = 3.0, 4.0, 1e-4
friction.stribeck_speed, friction.settling_time = 0.01, 0.002
before = is_compiled()
print(before, seal_friction(friction, 0.003, 2e-5)[0], is_compiled())
"""


def ask(folder, **environment):
    """Friction force of a fixed instant in a new process that sees only the copied package."""
    environment = (
        os.environ | {"XDG_CACHE_HOME": str(folder / "cache"), "PYTHONPATH": str(folder)} | environment
    )
    environment.pop("NUMBA_CACHE_DIR", None)
    answer = subprocess.run(
        [sys.executable, "-c", QUESTION],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    before, force, after = answer.stdout.split()
    return before == "True", float(force), after == "True"


def edit_the_law(folder):
    """Twice the micro damping of a seal."""
    law = folder / "simcore" / "laws" / "bristle.py"
    text = law.read_text()
    edited = text.replace("micro_damping * math.exp(", "2.0 * micro_damping * math.exp(")
    assert edited != text
    law.write_text(edited)


def plain_force(exponent_factor):
    """The seal's law at that instant, with a factor on the fading of its micro damping."""
    level = 3.0 + math.exp(-((0.003 / 0.01) ** 2))
    stiffness = 4.0 / 1e-4
    rate = 0.003 - stiffness * 0.003 * 2e-5 / level
    return stiffness * 2e-5 + stiffness * 0.002 * math.exp(-((0.003 / 0.01) ** 2)) * rate * exponent_factor


@pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="nothing is compiled")
def test_an_edited_law_is_seen_by_the_code_that_calls_it(tmp_path):
    """numba itself looks only at the file of the caller (`shock`), not at the law it calls (`bristle`)."""
    shutil.copytree(PACKAGE, tmp_path / "simcore", ignore=shutil.ignore_patterns("__pycache__"))
    first, again = ask(tmp_path), ask(tmp_path)
    assert first == (False, pytest.approx(plain_force(1.0), rel=1e-12), True)
    assert again == (True, first[1], True)  # unchanged sources are not compiled again
    edit_the_law(tmp_path)
    assert ask(tmp_path) == (False, pytest.approx(plain_force(2.0), rel=1e-12), True)


@pytest.mark.skipif(bool(numba.config.DISABLE_JIT), reason="nothing is compiled")
@pytest.mark.parametrize("temporary", few(["shared with others", "a folder"]))
def test_an_edited_law_is_seen_where_the_cache_folder_cannot_be_used(tmp_path, temporary):
    """numba would keep code beside the sources then, where an old law goes on being served."""
    shutil.copytree(PACKAGE, tmp_path / "simcore", ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "cache").write_text("a file where a folder should be")
    spare = tmp_path / "temporary"
    spare.mkdir()
    if temporary == "shared with others":
        (spare / f"simcore-{getpass.getuser()}").mkdir(mode=0o777)
        (spare / f"simcore-{getpass.getuser()}").chmod(0o777)
    kept = temporary == "a folder"
    with_spare = {"TMPDIR": str(spare), "PYTHONWARNINGS": "ignore"}
    assert ask(tmp_path, **with_spare) == (False, pytest.approx(plain_force(1.0), rel=1e-12), kept)
    assert ask(tmp_path, **with_spare) == (kept, pytest.approx(plain_force(1.0), rel=1e-12), kept)
    edit_the_law(tmp_path)
    assert ask(tmp_path, **with_spare) == (False, pytest.approx(plain_force(2.0), rel=1e-12), kept)
    assert not list((tmp_path / "simcore").glob("**/*.nbi"))


def test_a_cache_folder_that_cannot_be_used_is_said(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with pytest.warns(kernel_cache.CacheMoved, match="cannot be kept in .*file.*; it is kept in "):
        folder = kernel_cache.cache_folder.__wrapped__()
    assert folder.parent.parent == tmp_path
    (tmp_path / "nothing").write_text("")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "nothing"))
    with pytest.warns(kernel_cache.CacheMoved, match="it is compiled anew in every run"):
        assert kernel_cache.cache_folder.__wrapped__() is None


def test_misspelt_field_fails_and_is_named():
    @kernel
    def misspelt(tyre):
        return tyre.raduis

    with pytest.raises((numba.core.errors.TypingError, KeyError, AttributeError), match="raduis"):
        misspelt(blank(TYRE)[0])


@pytest.mark.parametrize("dtype", [RIG, LEDGER, STATE, TYRE, CONTACT])
def test_blank_fills_every_number(dtype):
    filled = blank(dtype, math.nan)
    assert filled.shape == (1,)
    numbers = filled.view(np.float64)
    assert len(numbers) == dtype.itemsize // 8
    assert np.isnan(numbers).all()
    assert (blank(dtype).view(np.float64) == 0.0).all()


def test_blank_records_share_nothing():
    one, two = blank(TYRE), blank(TYRE)
    one[0].radius = 0.06
    assert one["radius"][0] == 0.06 and two["radius"][0] == 0.0


def test_state_is_a_flat_row_of_numbers():
    y = np.arange(float(STATES))
    state = y.view(STATE)[0]
    assert state.pose[0].x == 0.0 and state.electric == STATES - 1.0
    state.spin[1] = -7.0
    assert -7.0 in y


def test_unfilled_parameter_shows():
    """A law that reads a parameter nobody filled answers NaN, not a number."""
    friction = blank(RIG, math.nan)[0].axle[0].shock.friction
    friction.breakaway, friction.presliding, friction.sliding = 4.0, 1e-4, 3.0
    assert math.isnan(seal_friction(friction, 0.01, 0.0)[0])


def test_division_by_zero_gives_inf_and_nothing_is_reordered():
    @kernel
    def divide(a, b):
        return a / b

    @kernel
    def add_and_take_away(a):
        return (a + 1e16) - 1e16

    if not numba.config.DISABLE_JIT:
        assert divide(1.0, 0.0) == math.inf
    assert add_and_take_away(1.0) == 0.0  # fast-math answers 1
