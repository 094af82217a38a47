"""A log over the run that is to explain it, and how well a fit knows its values."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from simcore.logs import TIME
from simcore.results.headlines.fit import certainty_headline
from simcore.studies.fitted import MEASURED, PREDICTED, Fit
from simcore.studies.fitting.estimate import Estimate, Left
from simcore.studies.fitting.freed import Sort
from simcore.views.catalogue import picture
from simcore.views.pictures.frame import note
from simcore.views.pictures.layout import page, panels, room
from simcore.views.pictures.names import Named, name_lines
from simcore.views.pictures.slopes import in_rows
from simcore.views.pictures.style import BLACK, BLUE, QUIET, SKY, VERMILION, styled

CURVES, REST = 2.3, 1.0  # inches, height of the panels of a channel
SPARE = 0.012  # of the time, beside its ends
MANY = 250  # readings from which dots are small
BAND = 2.0  # standard deviations of noise either way
ROOM = 6.0  # standard deviations of noise that a panel shows at least
ROW, HEAD = 0.62, 0.5  # inches of a value in the picture of errors
STRONG = 0.6  # correlation from which a number is written in white
Values = npt.NDArray[np.float64]


@styled
def log_over_run(fit: Fit, answer: str, question: str) -> Figure:
    """Measured and predicted values of every channel, and below what is left over.

    Parameters
    ----------
    fit : what to draw
    answer, question : the finding, and what was asked of which rig and log
    """
    heights = [height for _ in fit.left for height in (CURVES, REST)]
    figure, axes = panels(heights, answer, question, along="time of the log, s", above=0.05)
    times = fit.table[TIME].to_numpy(float)
    spare = SPARE * (times[-1] - times[0])
    axes[0].set_xlim(times[0] - spare, times[-1] + spare)
    for k, left in enumerate(fit.left):
        read, run = (fit.table[side + left.channel].to_numpy(float) for side in (MEASURED, PREDICTED))
        _curves(axes[2 * k], left, times, read, run)
        _rest(axes[2 * k + 1], left, times, read - run)
    note(axes[1], f"pale band: {BAND:g} standard deviations of noise either way")
    return figure


def _curves(axis: Axes, left: Left, times: Values, read: Values, run: Values) -> None:
    axis.plot(times, read, ".", color=BLACK, ms=_dot(left), alpha=0.6, mew=0.0)
    axis.plot(times, run, color=VERMILION)
    room(axis, ROOM * left.noise)
    axis.set_ylabel(f"{_broken(left.of.label)},\n{left.of.unit}")
    known = np.isfinite(read)
    lines = [Named("run", VERMILION, times, run), Named("log (dots)", BLACK, times[known], read[known])]
    name_lines(axis, lines)


def _rest(axis: Axes, left: Left, times: Values, rest: Values) -> None:
    axis.axhspan(-BAND * left.noise, BAND * left.noise, color=SKY, alpha=0.3, lw=0.0)
    axis.axhline(0.0, color=QUIET, lw=1.0)
    axis.plot(times, rest, ".", color=BLUE, ms=_dot(left), mew=0.0)
    most = max(1.1 * float(np.nanmax(np.abs(rest))), 0.5 * ROOM * left.noise)
    axis.set_ylim(-most, most)
    axis.set_ylabel(f"log less\nrun, {left.of.unit}")


def _dot(left: Left) -> float:
    """Size of a dot, points."""
    return 5.0 if left.readings > MANY else 8.0


def _broken(label: str) -> str:
    """A label in two rows where it is long."""
    return in_rows(label) if len(label) > 18 else label


@picture(
    "For every channel the log in dots with the run as a line, and below it what is left over: scattered "
    "evenly within the pale band it is noise, a course of its own is what the run does not explain.",
)
def of_fit(fit: Fit) -> Figure:
    """The log over the run."""
    return log_over_run(fit, fit.headline, fit.asked)


# --- how well the values are known ---


def _known(fit: Fit) -> list[int]:
    """Places of the scenario's numbers that are told."""
    numbers = [k for k, one in enumerate(fit.estimates) if one.freed.sort is Sort.SCENARIO]
    return [k for k in numbers if fit.estimates[k].error is not None]


@styled
def errors_and_correlations(fit: Fit, question: str) -> Figure:
    """Standard errors of the values in per cent of their size, and how they hang together."""
    places = _known(fit)
    values = [fit.estimates[k] for k in places]
    correlations = np.array(fit.correlations, float)[np.ix_(places, places)]
    shares = [100.0 * (one.error or 0.0) / one.freed.size for one in values]
    names = [in_rows(f"{k + 1}: {one.freed.label.name}") for k, one in enumerate(values)]
    answer = certainty_headline([one.freed.label.name for one in values], shares, correlations)
    figure, (bars, field) = page(1, 2, HEAD + ROW * len(values), answer, question, left=0.24)
    _bars(bars, names, shares, values)
    _field(field, correlations)
    return figure


def _bars(axis: Axes, names: Sequence[str], shares: Sequence[float], values: Sequence[Estimate]) -> None:
    rows = range(len(names))
    axis.barh(list(rows), list(shares), height=0.5, color=BLUE)
    axis.set_yticks(list(rows), list(names), fontsize=11.5)
    axis.set_ylim(len(names) - 0.4, -0.5)
    axis.tick_params(axis="y", length=0)
    axis.grid(False)
    axis.set_xlim(0.0, 1.12 * max(shares))
    axis.set_xlabel("standard error, % of the value before")
    for k, one in enumerate(values):
        axis.text(0.0, k + 0.27, f" {one.said}", va="top", fontsize=11.5)


def _field(axis: Axes, correlations: Values) -> None:
    count = len(correlations)
    axis.imshow(correlations, cmap="PuOr", vmin=-1.0, vmax=1.0, aspect="auto")
    axis.set_yticks([])
    axis.set_xticks(range(count), [str(k + 1) for k in range(count)])
    axis.grid(False)
    axis.set_xlabel("correlation of the errors, value by value")
    for row in range(count):
        for column in range(count):
            value = correlations[row, column]
            colour = "white" if abs(value) > STRONG else BLACK
            text = f"{value:.2f}".replace("-", "\N{MINUS SIGN}")
            axis.text(column, row, text, ha="center", va="center", color=colour, fontsize=12)


@picture(
    "Left how well each value is known, right how their errors hang together: near 1 or \N{MINUS SIGN}1 two "
    "values can make up for one another, and one of them measured elsewhere would tell the other.",
    says=lambda fit: len(_known(fit)) > 1,
)
def of_errors(fit: Fit) -> Figure:
    """Errors of the values and their correlations."""
    return errors_and_correlations(fit, fit.asked)
