"""A fit on the terminal: its values with their errors, how their errors hang together, what is left over."""

import math

from simcore.results.formatting import MINUS, three_digits
from simcore.studies.fitted import Fit
from simcore.studies.fitting.estimate import LEFT, VALUES, Estimate
from simcore.studies.fitting.freed import said_unit
from simcore.views.console.layout import Block, Grid, Hint, Line

SAID = {
    "readings_count": "readings",
    "rms": "run and log differ by",
    "rms_before": "before the fit",
    "noise": "noise",
    "neighbours_ratio": "neighbours alike",
}


def fit_blocks(fit: Fit, everything: bool) -> list[Block]:
    """Tables of a fit; all columns with their names in files, or the few that tell most.

    Parameters
    ----------
    fit : what is told
    everything : all columns
    """
    blocks: list[Block] = []
    if fit.estimates:
        blocks += [_values(fit, everything), Line("")]
    if len([one for one in fit.estimates if one.value is not None]) > 1:
        blocks += [_correlations(fit), Line("")]
    blocks.append(_left(fit, everything))
    if fit.left_out:
        columns = ", ".join(f'"{header}"' for header in fit.left_out)
        blocks.append(Line(f"Columns of the log that are no channel: {columns}.", "dim"))
    more = len(fit.estimates) * (len(VALUES) - 4) + len(fit.left) * (len(LEFT) - len(_shown(fit)) - 1)
    return blocks if everything else [*blocks, Hint(f"{more} more facts: --all shows them")]


def _shown(fit: Fit) -> dict[str, str]:
    """Columns of what is left over that stand on the screen, and their heads."""
    return SAID if fit.estimates else {key: head for key, head in SAID.items() if key != "rms_before"}


def _values(fit: Fit, everything: bool) -> Grid:
    rows = [(one.freed.name if everything else one.freed.label.name,) for one in fit.estimates]
    if everything:
        table = fit.values
        cells = [[_cell(value) for value in row] for row in table.itertuples(index=False)]
        return Grid(("",), rows, [(key,) for key in table], cells)
    cells = [[said_unit(one.freed, one.freed.start), one.said or "-", _told(one)] for one in fit.estimates]
    heads = [("before",), ("fitted ± standard error",), ("",)]
    return Grid(("",), rows, heads, cells)


def _told(one: Estimate) -> str:
    return "" if one.said else one.told.value


def _correlations(fit: Fit) -> Grid:
    kept = [k for k, one in enumerate(fit.estimates) if one.value is not None]
    names = [fit.estimates[k].freed.label.name for k in kept]
    cells = [[f"{fit.correlations[a][b]:.2f}".replace("-", MINUS) for b in kept] for a in kept]
    heads = [(name,) for name in names]
    return Grid(("correlation",), heads, heads, cells)


def _left(fit: Fit, everything: bool) -> Grid:
    table = fit.channels
    said = _shown(fit)
    keys = list(LEFT) if everything else list(said)
    heads = [(key,) for key in keys] if everything else [(head,) for head in said.values()]
    rows = [(one.channel if everything else f"{one.of.label}, {one.of.unit}",) for one in fit.left]
    cells = [[_cell(table.loc[one.channel, key], key) for key in keys] for one in fit.left]
    return Grid(("",), rows, heads, cells)


def _cell(value: object, key: str = "") -> str:
    """A cell, empty where there is nothing."""
    if not isinstance(value, float):
        return str(value) or "-"
    if math.isnan(value):
        return "-"
    if math.isinf(value):
        return "none"
    if key.endswith("_count"):
        return f"{value:.0f}"
    small = value != 0.0 and abs(value) < 0.1
    return f"{value:.3g}".replace("-", MINUS) if small else three_digits(value)
