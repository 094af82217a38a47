"""How often a test tries random inputs: some at every run, many more under `-m thorough`."""

import pytest


def tries(few: int, many: int) -> pytest.MarkDecorator:
    """Give a test the number of inputs that it is to try, as its argument `count`."""
    counts = [few, pytest.param(many, marks=pytest.mark.thorough)]
    return pytest.mark.parametrize("count", counts, ids=["few", "many"])
