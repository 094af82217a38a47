"""Factors of a small matrix that is zero in many places, and solutions by them; columns lie side by side."""

import numpy as np
import numpy.typing as npt

from simcore.compiled import kernel

Matrix = npt.NDArray[np.float64]


@kernel
def factorise(columns: Matrix) -> None:
    """Factors L and U of a matrix, in its place: Doolittle's elimination in the order in which it is given.

    Nothing is exchanged and nothing done where there is a zero. Matrices ``1 - c J`` come with the states
    first that only places and single rates move, so that little fills up; their diagonal is near one, or the
    step is too long anyhow.

    Parameters
    ----------
    columns : (n, n), ``columns[j, i]`` = element in row i and column j; overwritten

    Source: G. H. Golub and C. F. Van Loan, Matrix Computations, ch 3 (from memory).
    """
    n = len(columns)
    for k in range(n):
        pivot = columns[k, k]
        for i in range(k + 1, n):
            columns[k, i] /= pivot
        for j in range(k + 1, n):
            head = columns[j, k]
            if head != 0.0:
                for i in range(k + 1, n):
                    columns[j, i] -= head * columns[k, i]


@kernel
def solve_factorised(columns: Matrix, values: npt.NDArray[np.float64]) -> None:
    """Solve by the factors that `factorise` left: the right-hand side (n,) becomes the solution."""
    n = len(columns)
    for k in range(n):
        head = values[k]
        if head != 0.0:
            for i in range(k + 1, n):
                values[i] -= head * columns[k, i]
    for k in range(n - 1, -1, -1):
        values[k] /= columns[k, k]
        head = values[k]
        for i in range(k):
            values[i] -= head * columns[k, i]
