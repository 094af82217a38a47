"""Virtual test bench for small radio-controlled rock crawlers: integrates the motion of a rig up a slope.

Public names load what they need when they are first used, so that the command line answers quickly.
"""

from importlib import import_module

TYPE_CHECKING = False  # as that of typing, which the command line would have to wait for
if TYPE_CHECKING:
    from typing import Any

    from simcore.errors import InputError, InputIssue
    from simcore.files import Rig, Scenario
    from simcore.outdoors.field_trial import FieldTrial, score
    from simcore.plausibility.check import check_rig
    from simcore.plausibility.warn import ImplausibleRig
    from simcore.results.result import Concern, Result
    from simcore.results.run import Run
    from simcore.solve.trace import Outcome
    from simcore.studies.compare import Comparison, compare
    from simcore.studies.fit import fit
    from simcore.studies.fitted import Fit
    from simcore.studies.inspect import Inspection, inspect
    from simcore.studies.limit import Limits, find_limit
    from simcore.studies.load import load
    from simcore.studies.load_files import load_rig, load_scenario
    from simcore.studies.measure import Measurement, measure
    from simcore.studies.ranges import Ranges
    from simcore.studies.rank import rank
    from simcore.studies.ranking import Ranking
    from simcore.studies.scattered import Spread
    from simcore.studies.sensitivity import Sensitivity
    from simcore.studies.simulate import simulate
    from simcore.studies.spread import spread
    from simcore.studies.sweep import Sweep, sweep
    from simcore.studies.what_matters import what_matters
    from simcore.video.track import track
    from simcore.video.tracked import Track
    from simcore.views.catalogue import draw
    from simcore.views.export import Export, export
    from simcore.views.page.file import Page, page

_HOMES = {
    "Comparison": "simcore.studies.compare",
    "Concern": "simcore.results.result",
    "Export": "simcore.views.export",
    "FieldTrial": "simcore.outdoors.field_trial",
    "Fit": "simcore.studies.fitted",
    "ImplausibleRig": "simcore.plausibility.warn",
    "InputError": "simcore.errors",
    "InputIssue": "simcore.errors",
    "Inspection": "simcore.studies.inspect",
    "Limits": "simcore.studies.limit",
    "Measurement": "simcore.studies.measure",
    "Outcome": "simcore.solve.trace",
    "Page": "simcore.views.page.file",
    "Ranges": "simcore.studies.ranges",
    "Ranking": "simcore.studies.ranking",
    "Result": "simcore.results.result",
    "Rig": "simcore.files",
    "Run": "simcore.results.run",
    "Scenario": "simcore.files",
    "Sensitivity": "simcore.studies.sensitivity",
    "Spread": "simcore.studies.scattered",
    "Sweep": "simcore.studies.sweep",
    "Track": "simcore.video.tracked",
    "check_rig": "simcore.plausibility.check",
    "compare": "simcore.studies.compare",
    "draw": "simcore.views.catalogue",
    "export": "simcore.views.export",
    "find_limit": "simcore.studies.limit",
    "fit": "simcore.studies.fit",
    "inspect": "simcore.studies.inspect",
    "load": "simcore.studies.load",
    "load_rig": "simcore.studies.load_files",
    "load_scenario": "simcore.studies.load_files",
    "measure": "simcore.studies.measure",
    "page": "simcore.views.page.file",
    "rank": "simcore.studies.rank",
    "score": "simcore.outdoors.field_trial",
    "simulate": "simcore.studies.simulate",
    "spread": "simcore.studies.spread",
    "sweep": "simcore.studies.sweep",
    "track": "simcore.video.track",
    "what_matters": "simcore.studies.what_matters",
}
__all__ = [
    "Comparison",
    "Concern",
    "Export",
    "FieldTrial",
    "Fit",
    "ImplausibleRig",
    "InputError",
    "InputIssue",
    "Inspection",
    "Limits",
    "Measurement",
    "Outcome",
    "Page",
    "Ranges",
    "Ranking",
    "Result",
    "Rig",
    "Run",
    "Scenario",
    "Sensitivity",
    "Spread",
    "Sweep",
    "Track",
    "check_rig",
    "compare",
    "draw",
    "export",
    "find_limit",
    "fit",
    "inspect",
    "load",
    "load_rig",
    "load_scenario",
    "measure",
    "page",
    "rank",
    "score",
    "simulate",
    "spread",
    "sweep",
    "track",
    "what_matters",
]


def _png(result: "Result") -> bytes:
    """First picture of a result for a notebook."""
    import io

    from simcore.views.catalogue import draw
    from simcore.views.pictures.style import save

    file = io.BytesIO()
    save(draw(result), file)
    return file.getvalue()


def __getattr__(name: str) -> "Any":
    if name not in _HOMES:
        raise AttributeError(f"module 'simcore' has no attribute {name!r}")
    home = import_module(_HOMES[name])
    if _HOMES[name].startswith(("simcore.outdoors", "simcore.results", "simcore.studies")):
        import_module("simcore.results.result").Result.painter = staticmethod(_png)
    return getattr(home, name)


def __dir__() -> list[str]:
    return sorted(__all__)
