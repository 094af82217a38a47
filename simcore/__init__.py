"""Virtual test bench for small radio-controlled rock crawlers: integrates the motion of a rig up a slope.

Public names load what they need when they are first used, so that the command line answers quickly.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from simcore.faults import BadInput, Fault
    from simcore.files import Rig, Scenario, load_rig, load_scenario
    from simcore.run import Run, simulate

_HOMES = {
    "BadInput": "simcore.faults",
    "Fault": "simcore.faults",
    "Rig": "simcore.files",
    "Run": "simcore.run",
    "Scenario": "simcore.files",
    "load_rig": "simcore.files",
    "load_scenario": "simcore.files",
    "simulate": "simcore.run",
}
__all__ = ["BadInput", "Fault", "Rig", "Run", "Scenario", "load_rig", "load_scenario", "simulate"]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'simcore' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
