"""What a figure shows as a digest: what is seen counts, and nothing else."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from simcore.views.digest import digest
from simcore.views.pictures.style import drawn_for, shown, styled

X = np.linspace(0.0, 4.0, 2001)


@styled
def drawn(change: Any = lambda axes, line: None, y: Any = None) -> Figure:
    figure = Figure(figsize=(6, 4))
    axes = figure.add_subplot()
    (line,) = axes.plot(X, np.sin(X) if y is None else y, label="a")
    axes.set_ylim(-1.5, 1.5)
    axes.set_xlabel("time, s")
    axes.text(1.0, 0.5, "here")
    axes.add_patch(Rectangle((1.0, -1.0), 0.5, 0.2))
    axes.fill_between(X, -1.2, -1.1)
    figure.text(0.1, 0.95, "title")
    change(axes, line)
    return figure


def spiked() -> Any:
    """A spike of 58 ms between any regular samples."""
    y = np.sin(X)
    y[1003:1032] = 1.4
    return y


SEEN = {
    "another colour": lambda axes, line: line.set_color("red"),
    "another dash": lambda axes, line: line.set_linestyle("--"),
    "fainter": lambda axes, line: line.set_alpha(0.2),
    "larger marks": lambda axes, line: line.set(marker="o", markersize=20),
    "another word": lambda axes, line: axes.set_xlabel("time, ms"),
    "a word elsewhere": lambda axes, line: axes.texts[0].set_position((3.0, 0.5)),
    "the title elsewhere": lambda axes, line: axes.figure.texts[0].set_position((0.5, 0.95)),
    "a patch moved": lambda axes, line: axes.patches[0].set_xy((2.0, -1.0)),
    "an area in red": lambda axes, line: axes.collections[0].set_facecolor("red"),
    "another scale": lambda axes, line: axes.set_ylim(-2.0, 1.5),
    "another line": lambda axes, line: axes.axhline(0.7),
}


@pytest.mark.parametrize("what", SEEN)
def test_what_is_seen_counts(what: str) -> None:
    assert digest(drawn(SEEN[what])) != digest(drawn())


def test_a_short_spike_is_seen() -> None:
    assert digest(drawn(y=spiked())) != digest(drawn())


def test_what_nobody_sees_does_not_count() -> None:
    noise = 1e-9 * np.random.default_rng(1).standard_normal(len(X))
    assert digest(drawn(y=np.sin(X) + noise)) == digest(drawn())


def test_it_stays_when_the_figure_is_written(tmp_path: Path) -> None:
    figure = drawn()
    before = digest(figure)
    figure.savefig(tmp_path / "a.svg")
    figure.savefig(tmp_path / "a.png", dpi=50)
    assert digest(figure) == before


def test_paper_is_another_picture_than_the_screen() -> None:
    with drawn_for("print"):
        paper = drawn()
    assert shown(paper) != shown(drawn())
