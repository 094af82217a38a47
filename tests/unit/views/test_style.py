"""A picture's file shows the very dots that matplotlib draws."""

from pathlib import Path

import matplotlib
import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from simcore.views.pictures.style import SETTINGS, drawn_for, save, styled


@styled
def _figure() -> Figure:
    figure = Figure(figsize=(3.3, 2.1))
    axes = figure.add_subplot()
    axes.fill_between([0, 1, 2], [0, 3, 1], alpha=0.3)
    axes.plot([0, 1, 2], [0, 2, 1], label="25° up")
    axes.legend()
    return figure


@pytest.mark.parametrize("look", ["screen", "print"])
def test_a_png_has_the_dots_that_matplotlib_draws(look: str, tmp_path: Path) -> None:
    with drawn_for(look):
        figure = _figure()
    save(figure, tmp_path / "ours.png")
    with matplotlib.rc_context(SETTINGS):
        figure.savefig(tmp_path / "theirs.png", dpi=figure.dpi)
    with Image.open(tmp_path / "ours.png") as ours, Image.open(tmp_path / "theirs.png") as theirs:
        assert ours.info["dpi"] == theirs.info["dpi"]
        np.testing.assert_array_equal(np.asarray(ours.convert("RGBA")), np.asarray(theirs.convert("RGBA")))
