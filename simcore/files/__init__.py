"""Rig and scenario files: the models that check them, and reading them: all issues at once, SI inside."""

from simcore.files.axes import parse_axis
from simcore.files.reading import case_alone, load_rig, load_scenario, scenario_of, with_axes
from simcore.files.rig import Rig
from simcore.files.scenario import Scenario
from simcore.files.settings import parse_setting

__all__ = [
    "Rig",
    "Scenario",
    "case_alone",
    "load_rig",
    "load_scenario",
    "parse_axis",
    "parse_setting",
    "scenario_of",
    "with_axes",
]
