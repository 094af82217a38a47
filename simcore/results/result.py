"""What every study returns: its cases in tables, a headline, what is doubtful; saved and read again.

A saved result is `<kind>.json` (what it is, its scenario, its numbers) and, where there are series,
`<kind>.parquet` beside it. Files are data: nothing in them is executed, and whatever does not fit is refused.
"""

import base64
import dataclasses
import enum
import hashlib
import html
import io
import json
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Mapping
from contextlib import ExitStack
from functools import partial
from pathlib import Path
from typing import Any, ClassVar, Self

import pandas as pd

from simcore.errors import InputError, InputIssue
from simcore.files import Scenario
from simcore.files.check import check
from simcore.files.source import version
from simcore.results.atomic_write import Writer, clear_up, write_all
from simcore.results.catalogue import check_summary
from simcore.results.conditions import Conditions
from simcore.results.metrics import Summary
from simcore.results.seal import is_as_sealed, sealed

FORMAT = 1
"""Version of the saved form."""
Data = dict[str, Any]
DAMAGE = (ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError, OverflowError)
"""What comes of data that is not what was saved."""
MOST_SAID = 300  # letters of such an error


class Doubt(enum.Enum):
    """Why a result must not be taken at its word; the value heads the sentence that says so."""

    AUDIT_FAILED = "AUDIT FAILED, do not use these results"
    NOT_KNOWN = "NOT KNOWN"
    NOT_EXPLAINED = "NOT EXPLAINED"
    DISAGREE = "READINGS DISAGREE"
    NOT_BLIND = "NOT BLIND"


@dataclasses.dataclass(frozen=True)
class Concern:
    """One thing that a reader must know before anything else.

    Attributes
    ----------
    doubt : what kind it is
    case : which case it is about
    text : what is wrong, as a sentence
    """

    doubt: Doubt
    case: str
    text: str

    def __str__(self) -> str:
        """Give it as one line."""
        return f"{self.doubt.value} ({self.case}): {self.text}"


class Result(ABC):
    """Base of what studies return; each kind registers itself by its name.

    Attributes
    ----------
    kind : name of the kind, and of its files
    files : names of the files that it writes besides its saved form, for people
    scenario : what was asked
    """

    kind: ClassVar[str]
    files: ClassVar[tuple[str, ...]]
    kinds: ClassVar[dict[str, type["Result"]]] = {}
    painter: ClassVar[Callable[["Result"], bytes] | None] = None
    """Gives the first picture as PNG for a notebook; whoever draws sets it."""
    scenario: Scenario

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        if "kind" in vars(cls):
            Result.kinds[cls.kind] = cls

    # --- what it says ---

    @property
    @abstractmethod
    def headline(self) -> str:
        """What the result shows, in one sentence."""

    @property
    @abstractmethod
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """Its numbers, by the name of the table."""

    @property
    def asked(self) -> str:
        """What was asked, of which rig, and what held in all runs, in one line."""
        return Conditions.of(self.scenario).text

    @property
    @abstractmethod
    def concerns(self) -> list[Concern]:
        """What must be known first; empty for a sound and complete result."""

    @property
    def summaries(self) -> Mapping[str, Summary]:
        """Metrics of every case that has some, by its name."""
        return {}

    @property
    def cases_run(self) -> list[str]:
        """Names of all cases that were run, with metrics or without."""
        return list(self.summaries)

    @property
    def sound(self) -> bool:
        """Whether every run was integrated to its end and kept every bound of its audit."""
        return not any(concern.doubt is Doubt.AUDIT_FAILED for concern in self.concerns)

    @property
    def decided(self) -> bool:
        """Whether every question that was asked has an answer."""
        return not any(concern.doubt is Doubt.NOT_KNOWN for concern in self.concerns)

    def __repr__(self) -> str:
        """Give kind, question and headline."""
        return f"<{self.kind}: {self.scenario.title} {self.headline}>"

    @property
    def glance(self) -> pd.DataFrame:
        """The table to look at first, with words for codes."""
        return next(iter(self.tables.values()))

    def _repr_html_(self) -> str:
        """Concerns, headline, first picture and first table for a notebook."""
        words = [str(concern) for concern in self.concerns] + [self.headline, self.scenario.title]
        picture = self._repr_png_()
        drawn = "" if picture is None else base64.b64encode(picture).decode()
        image = f'<img style="max-width: 60em" src="data:image/png;base64,{drawn}">' if drawn else ""
        lines = "".join(f"<p>{html.escape(line)}</p>" for line in words)
        return lines + image + self.glance.to_html(max_rows=40)

    def _repr_png_(self) -> bytes | None:
        """First picture for a notebook."""
        return None if Result.painter is None else Result.painter(self)

    # --- what is saved ---

    @abstractmethod
    def writers(self) -> dict[str, Writer]:
        """What writes each of `files` of this result, for people."""

    @abstractmethod
    def data(self) -> Data:
        """Everything but the scenario that JSON can hold; `restored` takes it back."""

    @property
    def frame(self) -> pd.DataFrame | None:
        """Series to save beside the data; None for a kind that has none."""
        return None

    @property
    def frame_parts(self) -> Iterable[pd.DataFrame]:
        """The same in parts, so that a long one need not be held twice."""
        return () if self.frame is None else (self.frame,)

    @classmethod
    @abstractmethod
    def restored(cls, scenario: Scenario, data: Data, frame: pd.DataFrame | None) -> Self:
        """Give the result that `data` and `frame` came from.

        Raises
        ------
        KeyError, TypeError, ValueError
            When they are not what this kind saves.
        """

    def saved(self) -> dict[str, Writer]:
        """File name to what writes it, in order: series, saved form with their digest, files for people."""
        digests: list[str] = []

        def write_series(path: Path) -> None:
            digests.append(_write_parquet(self.frame_parts, path))

        def write_form(path: Path) -> None:
            path.write_bytes(self._form(*digests[-1:]))

        series = {f"{self.kind}.parquet": write_series} if any(True for _ in self.frame_parts) else {}
        return series | {f"{self.kind}.json": write_form} | self.writers()

    def _form(self, digest: str | None = None) -> bytes:
        """The saved form under its seal, with the digest of the series in it."""
        form = {
            "simcore": version(),
            "format": FORMAT,
            "kind": self.kind,
            "headline": self.headline,
            "sound": self.sound,
            "file": str(self.scenario.path),
            "scenario": self.scenario.table,
            "series": digest,
            "data": self.data(),
        }
        return sealed(json.dumps(form, allow_nan=False).encode() + b"\n")

    def save(self, folder: str | Path) -> list[Path]:
        """Write the result into a folder, whole or not at all; `simcore.load` reads it again.

        Raises
        ------
        InputError
            When the folder cannot be written.
        """
        return write_all(Path(folder), self.saved(), gone=self.names())

    @classmethod
    def names(cls) -> list[str]:
        """Names of all files that it may write."""
        return [f"{cls.kind}.json", f"{cls.kind}.parquet", *cls.files]


def load_result(path: str | Path) -> Result:
    """Read a saved result whose kind is known.

    Parameters
    ----------
    path : the folder that it was saved in, or its JSON file where the folder holds several results

    Raises
    ------
    InputError
        When there is none, or it is damaged or of another version.
    """
    if Path(path).is_dir():
        clear_up(Path(path))
    file = _form_in(Path(path))
    refuse = partial(InputIssue, str(file))
    if file.suffix == ".toml" and file.is_file():
        must_be = "the folder of a saved result, or its .json file; simcore run makes one of this file"
        raise InputError([refuse("", "an input file", must_be)])
    try:
        if file.exists() and not file.is_file():
            raise OSError("no regular file")
        text = file.read_bytes()
        if not is_as_sealed(text):
            raise ValueError("it is damaged, or was altered after it was saved")
        form = json.loads(text)
        kind, saved_in, made_by = Result.kinds[form["kind"]], form["format"], form["simcore"]
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError([refuse("", reason, "a file that can be read")]) from error
    except DAMAGE as error:
        raise InputError([refuse("", f"no saved result ({error})", "a result that simcore saved")]) from error
    if saved_in != FORMAT or isinstance(saved_in, bool):
        must_be = f"format {FORMAT}, which version {version()} reads"
        raise InputError([refuse("format", f"{saved_in!r}, written by version {made_by}", must_be)])
    try:
        scenario = check(Scenario, form["scenario"], str(file)).from_file(Path(form["file"]))
        result = kind.restored(scenario, form["data"], _series(file.with_suffix(".parquet"), form["series"]))
        _looked_at(result)
    except InputError:
        raise
    except (*DAMAGE, OSError, ArithmeticError) as error:
        must_be = f"a {form['kind']} as version {version()} saves it (this was written by version {made_by})"
        got = " ".join(f"a damaged or older result ({type(error).__name__}: {error})".split())
        raise InputError([refuse("data", got[:MOST_SAID], must_be)]) from error
    return result


def _write_parquet(parts: Iterable[pd.DataFrame], path: Path) -> str:
    """Write tables of the same columns as one Parquet file, one after the other; gives its digest."""
    import pyarrow as pa
    from pyarrow.parquet import ParquetWriter

    with path.open("wb") as file, ExitStack() as stack:
        writer: Any = None
        for part in parts:
            table = pa.Table.from_pandas(part, writer and writer.schema, preserve_index=False)
            writer = writer or stack.enter_context(ParquetWriter(file, table.schema))
            writer.write_table(table)
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _series(file: Path, digest: str | None) -> pd.DataFrame | None:
    """Series of a result, if it has some: exactly those that were saved with it."""
    if digest is None:
        return None
    text = file.read_bytes() if file.is_file() else b""
    if hashlib.sha256(text).hexdigest() != digest:
        raise ValueError(f"{file.name} is missing or belongs to another result")
    return pd.read_parquet(io.BytesIO(text))


def _looked_at(result: Result) -> None:
    """Work out all that is said of a result, so that what does not fit shows now and not later."""
    for summary in result.summaries.values():
        check_summary(summary)
    if not (result.headline and list(result.tables) and isinstance(result.concerns, list)):
        raise ValueError("it says nothing")


def _form_in(path: Path) -> Path:
    """The JSON file of a result in a folder, or the file itself."""
    if not path.is_dir():
        return path
    found = [file for kind in sorted(Result.kinds) if (file := path / f"{kind}.json").is_file()]
    if len(found) == 1:
        return found[0]
    names = ", ".join(file.name for file in found)
    got = f"{len(found)} results ({names})" if found else "no saved result"
    must_be = "the file of one of them" if found else "a folder that simcore has saved a result in"
    raise InputError([InputIssue(str(path), "", got, must_be)])
