"""Numbers in the cells of a results file, as people and spreadsheets write them."""

from simcore.outdoors.measure import NUMBER
from simcore.results.formatting import MINUS
from simcore.units import Q


def number_in(text: str, wanted: Q, commas: bool) -> float:
    """The number of a cell, in the bench unit of what is wanted there.

    Parameters
    ----------
    text : of the cell
    wanted : unit and range
    commas : whether a comma may stand for the decimal point, as no commas part the columns

    Raises
    ------
    RejectedValue
        When it is none, of another kind or out of range.
    """
    tidy = text.replace(MINUS, "-")
    if commas:
        tidy = tidy.replace(",", ".", 1)
    value = float(tidy) if NUMBER.fullmatch(tidy) else wanted.bench(tidy)
    wanted.read(value)
    return value
