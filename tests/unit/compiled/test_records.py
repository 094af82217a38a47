"""What the named records declare: units, numbers and nothing else, and fields that mypy knows."""

import os
import pickle
from collections.abc import Iterator
from pathlib import Path

import mypy.api
import numpy as np
import pytest

import simcore.compiled as compiled
from simcore.compiled import LEDGER, RIG, STATE, NamedRecord, blank, field_units, record_dtype
from simcore.units import factor

ROOT = Path(compiled.__file__).parents[2]
RECORDS = [
    found
    for found in vars(compiled).values()
    if isinstance(found, type) and issubclass(found, NamedRecord) and not found.__subclasses__()
]
DTYPES = {name: found for name, found in vars(compiled).items() if isinstance(found, np.dtype)}
PROGRAM = """
from simcore.compiled import RIG, ShockRecord, blank
def rates(shock: ShockRecord) -> list[float]:
    return [spring.rate for spring in shock.spring]
def misspelt(shock: ShockRecord) -> float:
    return shock.friction.slidign
print(rates(blank(RIG)[0].axle[0].shock))
"""


def leaves(dtype: np.dtype, path: str = "") -> Iterator[tuple[str, np.dtype]]:
    """Path and type of every field that is no record."""
    for name in dtype.names or ():
        kind = dtype.fields[name][0].base
        if kind.names:
            yield from leaves(kind, f"{path}{name}.")
        else:
            yield path + name, kind


@pytest.mark.parametrize("record", RECORDS)
def test_every_field_states_an_si_unit(record):
    units = field_units(record)
    assert list(units) == [path for path, _ in leaves(record_dtype(record))]
    for path, given in units.items():
        assert given, path
        assert all(factor(unit) == 1.0 for unit in given), path


def test_units_of_known_numbers():
    rig, led, state = (field_units(compiled.__dict__[f"{n}Record"]) for n in ("Rig", "Ledger", "State"))
    assert rig["axle.shock.friction.sliding"] == ("N",)
    assert rig["skid.friction.sliding"] == ("1",)  # per load
    assert rig["axle.shock.bump_stop.damping"] == ("s/m",)
    assert rig["driver.request.value"] == ("N*m", "1", "rad/s")  # in the order of CONTROL_*
    assert rig["driver.brake.value"] == ("1",)
    assert state["pose.angle"] == ("rad",) and state["rate.angle"] == ("rad/s",)
    assert led["force.angle"] == ("N*m",) and led["acceleration.angle"] == ("rad/s^2",)
    assert state["gained.shock"] == ("J",) and led["gain.shock"] == ("W",)


def test_every_dtype_is_of_a_record_that_states_units():
    known = [record_dtype(record) for record in RECORDS]
    assert all(any(dtype is each for each in known) for dtype in DTYPES.values())


@pytest.mark.parametrize("name", DTYPES)
def test_records_hold_packed_numbers_and_nothing_else(name):
    dtype = DTYPES[name]
    assert issubclass(dtype.type, NamedRecord)
    assert all(kind == np.float64 for _, kind in leaves(dtype))
    ends = [dtype.fields[field][1] + dtype.fields[field][0].itemsize for field in dtype.names]
    starts = [dtype.fields[field][1] for field in dtype.names]
    assert starts == [0, *ends[:-1]] and ends[-1] == dtype.itemsize


@pytest.mark.parametrize("record", RECORDS)
def test_no_field_is_hidden_by_what_a_numpy_scalar_has(record):
    assert not [name for name in record_dtype(record).names if hasattr(np.void, name)]


@pytest.mark.parametrize("record", RECORDS)
def test_a_class_makes_no_record(record):
    with pytest.raises(TypeError, match="is made as an item of an array"):
        record(None)


def test_a_misspelt_field_is_no_field():
    rig = blank(RIG)[0]
    with pytest.raises(AttributeError, match="slidign"):
        print(rig.axle[0].shock.friction.slidign)
    with pytest.raises(AttributeError, match="slidign"):
        rig.axle[0].shock.friction.slidign = 1.0


def test_records_are_sent_to_other_processes():
    rigs = blank(RIG, 3.0)
    assert pickle.loads(pickle.dumps(rigs)).tobytes() == rigs.tobytes()
    assert pickle.loads(pickle.dumps(rigs[0])).axle[1].tyre.radius == 3.0


@pytest.mark.parametrize("dtype", [RIG, LEDGER, STATE])
def test_a_record_is_copied_whole_and_is_read_by_name(dtype):
    one = blank(dtype, 2.0)[0]
    other = one.copy()
    last = dtype.names[-1]
    assert other.tobytes() == one.tobytes() and other[last] == getattr(one, last)
    assert one.reshape(1).shape == (1,)


def test_mypy_sees_a_misspelt_field_and_nothing_else(tmp_path, monkeypatch):
    program = tmp_path / "program.py"
    program.write_text(PROGRAM)
    monkeypatch.setenv("MYPYPATH", os.fspath(ROOT))
    monkeypatch.chdir(ROOT)  # with the settings of the project: its static check has read all this already
    said, _, _ = mypy.api.run([str(program)])
    (error,) = [line for line in said.splitlines() if " error: " in line]
    assert "program.py:6:" in error and '"SealRecord" has no attribute "slidign"' in error
