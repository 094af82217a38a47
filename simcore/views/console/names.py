"""What rows and columns are called on the screen: in words, and where all is shown as in files too."""

from simcore.results.catalogue import CATALOGUE, label_of
from simcore.results.formatting import said_unit

IN_FILES = ("name in files",)
"""Head of the column that says where a number is found in files."""


def with_unit(label: str, name: str) -> str:
    """A label with the unit in which a result is said."""
    unit = said_unit(name)
    return f"{label}, {unit}" if unit else label


def named(metric: str) -> str:
    """A metric's name in words, with its unit."""
    label = label_of(metric)
    return label if CATALOGUE[metric].text else with_unit(label, metric)
