"""What repeats a result: the command, and the files that it takes, as they are shown on the page."""

import re
import shlex
from collections.abc import Mapping
from pathlib import PurePath
from typing import NamedTuple

import tomli_w

from simcore.files.schema import written
from simcore.files.worksheet import Worksheet
from simcore.results.result import Result
from simcore.studies.asked import KINDS, own_study
from simcore.studies.fitted import Fit
from simcore.studies.fitting.freed import Freed
from simcore.studies.inspect import Inspection
from simcore.studies.limit import FRONT_UP, Limits
from simcore.studies.measure import Measurement
from simcore.studies.ranges import Ranges
from simcore.studies.ranked_by import CLIMBED, SLOPE
from simcore.studies.ranking import Ranking
from simcore.studies.scattered import Spread
from simcore.studies.sensitivity import Sensitivity

_ITEM = re.compile(r"^ +(-?[\d.e+-]+|\[[\d.e+, -]*\]),$", re.MULTILINE)
_LIST = re.compile(r"^( *|[\w.\"-]+ = )\[\n((?: +(?:-?[\d.e+-]+|\[[\d.e+, -]*\]),\n)+) *\]", re.MULTILINE)
STUDIES = {kind: study for study, kind in KINDS.items()}


class Again(NamedTuple):
    """How to repeat a result.

    Attributes
    ----------
    command : to type
    inputs : file name to text of each file that it takes
    needs : what else it takes, in words; empty for nothing
    """

    command: str
    inputs: Mapping[str, str]
    needs: str = ""


def again(result: Result) -> Again:
    """How to repeat a result with nothing but what its page shows."""
    file = result.scenario.path.with_suffix(".toml").name
    inputs = {file: _short(result.scenario.to_toml())}
    match result:
        case Limits():
            return Again(_typed("limit", file, *_of_limits(result)), inputs)
        case Ranges():
            scan = result.sought.scan
            where = f"{result.sought.path}={scan[0]:g}:{scan[-1]:g}:{result.sought.step:g}"
            return Again(_typed("limit", file, "--find", where, *_axes(result)), inputs)
        case Ranking():
            return Again(_typed("rank", file, *_of_ranking(result)), inputs)
        case Inspection():
            rig = {file: _short(tomli_w.dumps(result.scenario.table["rig"]))}
            slope = result.facts["slope_deg"]
            return Again(_typed("inspect", file, *(["--slope", f"{slope:g}"] if slope else [])), rig)
        case Measurement():
            sheet = _sheet(result.worksheet)
            return Again(_typed("measure", *sheet), sheet)
        case Sensitivity():
            sheet = _sheet(result.worksheet)
            asked = f"question_{file}" if file in sheet else file
            return Again(_typed("measure", *sheet, "--for", asked), sheet | {asked: inputs[file]})
        case Result(kind="field_trial"):
            needs = "the results and the sealed key of the trial, which are not on this page"
            return Again(_typed("trial", "score", "results.csv", "key.toml"), inputs, needs)
        case Spread():
            return Again(_typed("spread", file, *_of_spread(result)), inputs)
        case Fit():
            log = PurePath(result.log).name
            needs = f"the log {log}, which is not on this page"
            return Again(_typed("fit", file, log, *_of_fit(result)), inputs, needs)
    study = STUDIES.get(result.kind, result.kind)
    return Again(_typed("report" if study == own_study(result.scenario) else study, file), inputs)


def _short(toml: str) -> str:
    """The same file with lists of numbers, and lists of them, on one line each."""
    for _ in range(2):
        toml = _LIST.sub(lambda found: f"{found[1]}[{', '.join(_ITEM.findall(found[2]))}]", toml)
    return toml


def _typed(*words: str) -> str:
    """Words of a command as a shell takes them."""
    return shlex.join(["simcore", *words])


def _sheet(worksheet: Worksheet) -> dict[str, str]:
    """Name and text of a worksheet."""
    return {worksheet.path.name: _short(tomli_w.dumps(written(worksheet, Worksheet)))}


def _freed(freed: Freed) -> str:
    """A freed number, with its range where one was stated."""
    return f"{freed.name}={freed.low:g}:{freed.high:g}" if freed.stated else freed.name


def _of_fit(fit: Fit) -> list[str]:
    """What was freed, and how the log was read."""
    freed = (("--free", _freed(one.freed)) for one in fit.estimates)
    mapped = (("--column", f"{header}={channel}") for header, channel in fit.columns.items())
    noise = (("--noise", f"{channel}={size:g}") for channel, size in fit.noise.items())
    return [word for pair in (*freed, *mapped, *noise) for word in pair]


def _of_spread(result: Spread) -> list[str]:
    """Draws, and what was asked of them."""
    words = ["--runs", f"{result.draws}", "--seed", f"{result.seed}"]
    words += ["--only-stated"] if all(one.stated for one in result.errors) else []
    return [*words, *(["--indices"] if result.indices else [])]


def _of_limits(result: Limits) -> list[str]:
    """What was asked of the climb, where it is not as it would be."""
    first = next(iter(result.cases.values()))
    words = ["--distance", f"{first.distance * 1e3:g}"]
    return words if first.front_up == FRONT_UP else [*words, "--front-up", f"{first.front_up:g}"]


def _of_ranking(result: Ranking) -> list[str]:
    """What was ranked by what; what the file says anyway is said once more."""
    basis = result.basis
    words = ["--each"] if basis.each else []
    if not basis.chosen:
        words += ["--by", basis.metric if basis.metric != CLIMBED else SLOPE]
        words += ["--more" if basis.better > 0 else "--less"]
    return [*words, "--draws", f"{basis.draws}"]


def _axes(result: Ranges) -> list[str]:
    """Axes along which limits were sought: they stand in the inputs, but `limit` takes them typed."""
    vary = result.scenario.vary
    pairs = ((path, ",".join(f"{value}" for value in values)) for path, values in vary.items())
    return [word for path, values in pairs for word in ("--vary", f"{path}={values}")]
