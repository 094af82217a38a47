"""How the named records that compiled code sees are declared.

Parameters, state and forces travel through kernels as nested NumPy records, read and written by name
(`rig.axle[i].shock.friction.sliding`). Each record is declared once, as a class with an attribute a field;
its dtype is built from that class and gives instances of it, so the same function runs compiled and as plain
Python (`kernel.py_func`). Everything is in SI units, and every field states its own.

A field is one of

- a number: `Annotated[float, unit]`, mostly by one of the names below;
- an array of numbers of fixed length: `Annotated[Numbers, unit, length]`;
- a record: its class; its fields have their own units;
- an array of records of fixed length: `Annotated[Records[...], length]`.

Records of one layout whose numbers mean different things (a place in m, a direction without a unit) are
classes of their own. What they share stands in a class that they refine, with units where they agree.
"""

import inspect
from collections.abc import Iterator
from operator import itemgetter
from typing import (
    TYPE_CHECKING,
    Annotated,
    Any,
    Generic,
    Never,
    Self,
    TypeVar,
    get_args,
    get_origin,
    overload,
)

import numpy as np
import numpy.typing as npt

One = Annotated[float, "1"]
Metre = Annotated[float, "m"]
MetrePerSecond = Annotated[float, "m/s"]
Radian = Annotated[float, "rad"]
RadianPerSecond = Annotated[float, "rad/s"]
RadianPerSecond2 = Annotated[float, "rad/s^2"]
Second = Annotated[float, "s"]
Kilogram = Annotated[float, "kg"]
KilogramMetre2 = Annotated[float, "kg*m^2"]
Newton = Annotated[float, "N"]
NewtonMetre = Annotated[float, "N*m"]
NewtonPerMetre = Annotated[float, "N/m"]
NewtonSecondPerMetre = Annotated[float, "N*s/m"]
Joule = Annotated[float, "J"]
Watt = Annotated[float, "W"]
Numbers = npt.NDArray[np.float64]


def _field(name: str) -> property:
    """What reads and writes a field of a record, six times faster than an `np.record` does."""

    def write(record: np.void, value: Any) -> None:
        record[name] = value

    return property(itemgetter(name), write)


class _Declaration(type):
    """Makes a class of records: the annotated names are its fields, and it has no other attributes."""

    def __new__(cls, name: str, bases: tuple[type, ...], body: dict[str, Any]) -> "_Declaration":
        """Declare one."""
        made = super().__new__(cls, name, bases, {"__slots__": (), **body})
        for field in inspect.get_annotations(made):
            setattr(made, field, _field(field))
        return made


if TYPE_CHECKING:
    Void = np.generic  # NumPy says of np.void that nothing may refine it
else:
    Void = np.void


class NamedRecord(Void, metaclass=_Declaration):
    """One record. Of records that have one layout, all are instances of the class that was declared first."""

    def __new__(cls, nothing: Never, /) -> Self:
        """Nothing makes one: a record is an item of an array."""
        raise TypeError(f"{cls.__name__} is made as an item of an array, as by blank(dtype)[0]")

    if TYPE_CHECKING:

        def __getitem__(self, field: str) -> Any: ...

        def __setitem__(self, field: str, value: Any) -> None: ...

        def reshape(self, length: int) -> "Records[Self]":  # type: ignore[override]
            """Give the record as an array of length one."""


Kind = TypeVar("Kind", bound=NamedRecord)


class Records(Generic[Kind]):
    """An array of records, (n,), as annotations say it; at run time it is a plain NumPy array.

    NumPy's own types do not say that an item of such an array is a record with named fields.
    """

    if TYPE_CHECKING:

        def __len__(self) -> int: ...

        def __iter__(self) -> Iterator[Kind]: ...

        @overload
        def __getitem__(self, which: int | np.integer[Any]) -> Kind: ...
        @overload
        def __getitem__(self, which: slice) -> "Records[Kind]": ...
        @overload
        def __getitem__(self, which: str) -> Any: ...
        def __getitem__(self, which: Any) -> Any: ...

        def __setitem__(self, which: int | slice | str, value: Any) -> None: ...

        def copy(self) -> Self:
            """Give the records of their own memory."""


def _declared(record: type[NamedRecord]) -> dict[str, Any]:
    """Annotation of every field, in the order in which they are first named."""
    fields: dict[str, Any] = {}
    for part in reversed(record.__mro__):
        if issubclass(part, NamedRecord):
            fields |= inspect.get_annotations(part)
    return fields


def _parted(said: Any) -> tuple[Any, tuple[Any, ...]]:
    """A field's type without what is noted at it, and these notes: unit and length."""
    if get_origin(said) is Annotated:
        kind, *notes = get_args(said)
        return kind, tuple(notes)
    return said, ()


_dtypes: dict[Any, Any] = {}


def record_dtype(record: type[Kind]) -> "np.dtype[Kind]":
    """NumPy dtype of a record: packed float64 under the names of its fields."""
    fields: list[Any] = []
    for name, said in _declared(record).items():
        kind, notes = _parted(said)
        if kind in (float, Numbers):
            _, *length = notes
            fields.append((name, np.float64, *((n,) for n in length)))
        elif get_origin(kind) is Records:
            fields.append((name, record_dtype(get_args(kind)[0]), notes))
        else:
            fields.append((name, record_dtype(kind)))
    built = np.dtype((record, fields))
    return _dtypes.setdefault(built, built)  # one object a layout: numba knows it again without comparing


def field_units(record: type[NamedRecord]) -> dict[str, tuple[str, ...]]:
    """Unit of every number of a record by its path (`shock.friction.sliding`), "1" for none.

    One unit a field, but for a table whose unit depends on the control: one for each `CONTROL_*`.
    """
    units: dict[str, tuple[str, ...]] = {}
    for name, said in _declared(record).items():
        kind, notes = _parted(said)
        if kind in (float, Numbers):
            unit = notes[0] if notes else ()
            units[name] = (unit,) if isinstance(unit, str) else unit
        else:
            inner = get_args(kind)[0] if get_origin(kind) is Records else kind
            units |= {f"{name}.{path}": unit for path, unit in field_units(inner).items()}
    return units


def blank(dtype: "np.dtype[Kind]", number: float = 0.0) -> Records[Kind]:
    """One record, as an array of length one, with every number set.

    Python hands arrays of records to compiled code 30 times faster than single records (0.2 against 6
    microseconds), so what is called in every step takes such arrays.
    """
    made: Any = np.full(dtype.itemsize // 8, number)
    return made.view(dtype)
