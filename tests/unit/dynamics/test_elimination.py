"""Factors of small matrices against NumPy's solver (LAPACK)."""

import numpy as np
import pytest

from simcore.dynamics.elimination import factorise, solve_factorised


@pytest.mark.parametrize("n", [1, 4, 28])
@pytest.mark.parametrize("empty", [0.0, 0.7])
def test_solutions_are_those_of_numpy(n: int, empty: float) -> None:
    random = np.random.default_rng(n)
    matrix = np.where(random.random((n, n)) < empty, 0.0, random.uniform(-1.0, 1.0, (n, n))) + n * np.eye(n)
    values = random.uniform(-1.0, 1.0, n)
    columns, found = np.ascontiguousarray(matrix.T), values.copy()
    factorise(columns)
    solve_factorised(columns, found)
    np.testing.assert_allclose(found, np.linalg.solve(matrix, values), rtol=1e-12, atol=1e-15)


def test_a_singular_matrix_gives_no_number() -> None:
    """Which a solver takes for a step that failed."""
    columns, values = np.ones((2, 2)), np.array([1.0, 2.0])
    factorise(columns)
    solve_factorised(columns, values)
    assert not np.isfinite(values).all()
