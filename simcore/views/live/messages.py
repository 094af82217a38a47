"""What server and page of a live scenario say to each other: JSON, words ready for display, NaN as null.

To the page, by `type`:

- `hello`: title, file, cases, the case it begins with, its knobs, handles and its first answer (`base`). It
  is said again when another case is opened: knobs and handles are those of a case.
- `first`: the first answer to a change, by its number `n`: lines, side view, metrics, verdict.
- `second`: what takes longer: headline, concerns, charts, bands of the squat support, account, film; lines,
  side view, metrics and verdict anew, now of the run itself.
- `fault`: what is wrong with the change `n`, at the paths of the knobs.
- `saved`, `refused`, `command`: answers to what was asked to be done.
"""

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from itertools import groupby
from typing import Any

import numpy as np
import numpy.typing as npt

from simcore.accounts.job import JobState
from simcore.accounts.reasons import Reason
from simcore.errors import InputError, InputIssue
from simcore.files.source import version
from simcore.results.catalogue import CATALOGUE, in_words, with_swing
from simcore.results.conditions import Conditions
from simcore.results.formatting import said_factor, said_unit
from simcore.results.headlines.loads import shares
from simcore.results.run import Run
from simcore.rig.masses import SIDES
from simcore.studies.live.answer import First, Live, Settings
from simcore.studies.live.handles import Handle, handles
from simcore.studies.live.knobs import Knob
from simcore.units import GRAMS
from simcore.views.live.side import side_view
from simcore.views.page.curves import OverTime, of_runs
from simcore.views.page.player import player

Message = dict[str, Any]
MOST_POINTS = 180  # of a line, beside its highest and lowest
LINES: Mapping[str, tuple[str, float, int]] = {
    "time_s": ("time_s", 1.0, 4),
    "pitch_to_ground_deg": ("pitch_to_ground_deg", 1.0, 3),
    "rear_travel_mm": ("rear_travel_mm", 1.0, 3),
    "front_travel_mm": ("front_travel_mm", 1.0, 3),
    "front_load_g": ("front_load_N", GRAMS, 1),
    "speed_m_per_s": ("speed_m_per_s", 1.0, 4),
}
"""Lines of the first answer: column, factor and digits after the point."""
FILE, NOW = "the file", "now"


def text(message: Message) -> str:
    """A message as it is sent."""
    return json.dumps(message, allow_nan=False, separators=(",", ":"), ensure_ascii=False)


def hello(live: Live, case: str) -> Message:
    """What a page begins with; raises as `Live.base`."""
    scenario = live.case(case)
    return {
        "type": "hello",
        "title": scenario.title,
        "file": str(scenario.path),
        "cases": live.cases,
        "case": case,
        "knobs": [_knob(one) for one in live.knobs(case)],
        "handles": [_handle(one) for one in handles(scenario)],
        "base": first(live, live.base(case), 0),
        "version": version(),
    }


def _knob(knob: Knob) -> Message:
    found = asdict(knob) | {"kind": knob.kind.value, "choices": list(knob.choices)}
    reach = found.pop("reach") or {"low": None, "high": None, "step": None}
    return found | reach


def _handle(handle: Handle) -> Message:
    found = asdict(handle)
    return found | {"kind": found.pop("hold").value, "paths": list(handle.paths), "at": list(handle.at)}


# --- first answer ---


def first(live: Live, answer: First, n: int) -> Message:
    """The first answer to the change n; that of the case to begin with has no "was"."""
    base = live.base(answer.case)
    return {
        "type": "first",
        "n": n,
        "case": answer.case,
        "ms": _milliseconds(answer.seconds),
        **_drawn(answer),
        **_told(live, answer, None if answer is base else base),
    }


def _drawn(answer: First) -> Message:
    """Curves and side view of an answer."""
    wanted = {"start": answer.stages[0], "decisive": answer.decisive}
    return {"lines": _lines(answer), "side": side_view(answer.watched, answer.scenario, wanted)}


def _milliseconds(seconds: Mapping[str, float]) -> dict[str, float]:
    found = {name: round(1e3 * value, 2) for name, value in seconds.items()}
    return found | {"all": round(1e3 * sum(seconds.values()), 2)}


def _lines(answer: First) -> dict[str, list[float | None]]:
    values = {name: answer.columns[column] for name, (column, _, _) in LINES.items()}
    rows = _shown_rows(list(values.values()))
    return {name: _plain(values[name][rows] * factor, digits) for name, (_, factor, digits) in LINES.items()}


def _shown_rows(columns: Sequence[npt.NDArray[Any]]) -> npt.NDArray[np.intp]:
    """Rows that are enough to draw all lines: an even raster, and where each is highest and lowest."""
    count = len(columns[0])
    even = np.linspace(0, count - 1, min(count, MOST_POINTS)).round().astype(int)
    peaks = [k for column in columns for k in (int(column.argmin()), int(column.argmax()))]
    return np.unique(np.concatenate([even, peaks]))


def _plain(values: npt.NDArray[Any], digits: int) -> list[float | None]:
    rounded = np.round(values, digits).tolist()
    return rounded if np.isfinite(values).all() else [one if math.isfinite(one) else None for one in rounded]


def _told(live: Live, answer: First, base: First | None) -> Message:
    """Metrics, verdict and state of an answer."""
    return {
        "metrics": _metrics(live, answer.metrics, answer.conditions, base),
        "verdict": answer.verdict,
        **_state(answer.metrics),
    }


def _state(metrics: Mapping[str, Any]) -> Message:
    state = JobState[metrics["job"]]
    return {"state": state.name, "state_words": state.value}


def _metrics(
    live: Live, metrics: Mapping[str, Any], conditions: Conditions, base: First | None
) -> list[Message]:
    visible = conditions.visible
    return [
        {
            "key": name,
            "label": CATALOGUE[name].label,
            "value": None if metrics[name] is None else metrics[name] * said_factor(name),
            "unit": said_unit(name),
            "text": in_words(name, metrics[name]),
            "note": _swing(name, metrics, visible),
            "was": None if base is None else in_words(name, base.metrics[name]),
        }
        for name in live.told
    ]


def _swing(name: str, metrics: Mapping[str, Any], visible: Mapping[str, float]) -> str:
    """A metric of the end that has not settled, with its swing; empty of others."""
    whole = with_swing(name, metrics, visible)
    return "" if metrics[name] is None or whole == in_words(name, metrics[name]) else whole


# --- second answer ---


def second(live: Live, case: str, run: Run, n: int, moving: bool = True) -> Message:
    """The second answer to the change n.

    Parameters
    ----------
    live, case : the case that was changed
    run : its whole run
    moving : whether the rig is to be shown in motion
    """
    base = live.base_run(case)
    same = run is base
    runs = {FILE: base} if same else {FILE: base, NOW: run}
    conditions = Conditions.of(run.scenario)
    return {
        "type": "second",
        "n": n,
        "headline": run.headline,
        "concerns": [str(one) for one in run.concerns],
        "audit": in_words("audit", run.summary["audit"]),
        "metrics": _metrics(live, run.summary, conditions, None if same else live.base(case)),
        **_state(run.summary),
        **_drawn(live.of_run(case, run)),
        "charts": [one.part.html for one in of_runs(OverTime(runs))],
        "bands": {axle: list(_bands(run, axle)) for axle in SIDES},
        "account": f"Load, on average: {'; '.join(shares(run.series, axle).clause(axle) for axle in SIDES)}.",
        "film": player(runs).html if moving else None,
    }


def _bands(run: Run, axle: str) -> Iterator[Message]:
    """Stretches of time in which the squat support of an axle has one state."""
    times, states = run.series["time_s"].to_numpy(), run.series[f"{axle}_support_state"]
    at = 0
    for code, group in groupby(states):
        end = at + sum(1 for _ in group)
        until = times[min(end, len(times) - 1)]
        yield {
            "from_s": round(float(times[at]), 4),
            "to_s": round(float(until), 4),
            "code": code,
            "words": Reason[code].value,
        }
        at = end


# --- what is refused, and what was done ---


def fault(n: int, settings: Settings, error: InputError) -> Message:
    """What is wrong with the change n, each at the setting that it lies in, where it lies in one."""
    return {"type": "fault", "n": n, "faults": [_fault(issue, settings) for issue in error.issues]}


def _fault(issue: InputIssue, settings: Settings) -> dict[str, str]:
    return {
        "path": _knob_at(issue.key, settings),
        "got": issue.got,
        "must_be": issue.must_be,
        "text": _sentence(issue),
    }


def _knob_at(key: str, settings: Settings) -> str:
    """Path of the only setting at or below a key; else that of the key, as settings name it."""
    path = key.removeprefix("rig.").replace("[", ".").replace("]", "")
    near = [one for one in settings if one == path or one.startswith(f"{path}.")]
    return near[0] if len(near) == 1 else path


def _sentence(issue: InputIssue) -> str:
    hint = f' (did you mean "{issue.hint}"?)' if issue.hint else ""
    return f"{issue.got}; it must be {issue.must_be}{hint}"


def saved(file: str, variant: str | None = None) -> Message:
    """A variant, or a rig, stands in a file now."""
    what = f'The variant "{variant}" stands' if variant else "The rig stands"
    return {"type": "saved", "file": file, "variant": variant, "text": f"{what} in {file} now."}


def refused(error: InputError) -> Message:
    """What was asked for is not done, and why."""
    return {"type": "refused", "text": "\n".join(_sentence_at(issue) for issue in error.issues)}


def _sentence_at(issue: InputIssue) -> str:
    return f"{issue.key}: {_sentence(issue)}" if issue.key else f"{issue.file}: {_sentence(issue)}"


def typed(line: str) -> Message:
    """The line that repeats a change."""
    return {"type": "command", "text": line}
