"""What rows and columns are called on the screen: in words, and where all is shown as in files too."""

from simcore.results.catalogue import CATALOGUE, label_of
from simcore.results.formatting import said_unit
from simcore.views.console.layout import Names

IN_FILES = "name in files"


def heads(what: str, everything: bool) -> Names:
    """Heads over the names of metrics."""
    return (what, IN_FILES) if everything else (what,)


def with_unit(label: str, name: str) -> str:
    """A label with the unit in which a result is said."""
    unit = said_unit(name)
    return f"{label}, {unit}" if unit else label


def named(metric: str, everything: bool, unit: bool = True) -> Names:
    """A metric's name in words, and as in files where all is shown."""
    label = label_of(metric)
    if unit and not CATALOGUE[metric].text:
        label = with_unit(label, metric)
    return (label, metric) if everything else (label,)
