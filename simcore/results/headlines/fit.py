"""What a fit of values to a log says, in one sentence."""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from simcore.results.formatting import MINUS

Matrix = npt.NDArray[np.float64]
ALIKE = 1.5  # of the smallest error, up to which errors are about alike
TOGETHER = 0.5  # correlation from which two values make up for one another
Part = tuple[str, str]  # what it is, and its value in words


def with_error(value: float, error: float, unit: str = "") -> str:
    """A value and its standard error, as fine as two digits of the error: "3.12 ± 0.08 N*s/m"."""
    digits = 1 - math.floor(math.log10(error)) if error > 0.0 and math.isfinite(error) else 3
    places = max(0, digits)
    said = [f"{round(number, digits) + 0.0:.{places}f}".replace("-", MINUS) for number in (value, error)]
    return f"{said[0]} ± {said[1]} {unit}".strip()


def fit_headline(
    told: Sequence[Part], untold: Sequence[str], differ: Sequence[Part], explained: bool, freed: bool
) -> str:
    """One sentence: the values, or what is not told, and how far run and log differ.

    Parameters
    ----------
    told : name and value with its error of each value that is known
    untold : a clause for each that is not
    differ : channel and what is left over of it
    explained : whether what is left over is noise
    freed : whether any value was freed
    """
    parts = [", ".join(f"{name} {value}" for name, value in told)] if told else []
    parts += untold
    parts = [_capital(part) for part in parts]
    left = _listed([f"{value} ({name})" for name, value in differ])
    size = "no more than noise does" if explained else "more than noise does"
    parts.append(f"Run and log {'then ' if freed else ''}differ by {left}, {size}")
    return ". ".join(parts)


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _listed(words: Sequence[str]) -> str:
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)


def certainty_headline(names: Sequence[str], shares: Sequence[float], correlations: Matrix) -> str:
    """One sentence: which value is known best and least, and which two make up for one another most.

    Parameters
    ----------
    names : of two values or more
    shares : standard error of each, per cent of its size
    correlations : of their errors, (values, values)
    """
    best, least = (int(pick(shares)) for pick in (np.argmin, np.argmax))
    text = (
        f"Known best: {names[best]}, to {shares[best]:.2g} %; least: {names[least]}, to {shares[least]:.2g} %"
    )
    if shares[least] < ALIKE * shares[best]:
        text = f"All are known about alike, to {shares[least]:.2g} %"
    apart = np.abs(correlations - np.eye(len(names)))
    one, other = (int(k) for k in np.unravel_index(int(np.argmax(apart)), apart.shape))
    if apart[one, other] < TOGETHER:
        return f"{text}. Their errors hardly hang together"
    value = f"{correlations[one, other]:.2f}".replace("-", MINUS)
    return (
        f"{text}. {_capital(names[one])} and {names[other]} can make up for one another (correlation {value})"
    )
