"""Pictures of a fit: what is drawn is the log and the run, the title is the headline, axes have units."""

import numpy as np
from results_to_show import result_of

from simcore.views.catalogue import draw, pictures_of
from simcore.views.pictures.logs import BAND


def words_of(figure) -> str:
    return " ".join(" ".join(text.get_text() for text in figure.texts).split())


def test_log_and_run_are_drawn_with_what_is_left_over() -> None:
    fit = result_of("fit")
    figure = draw(fit, "log_over_run")
    assert fit.headline in words_of(figure).replace("\N{NO-BREAK SPACE}", " ")
    assert len(figure.axes) == 2 * len(fit.left)
    for left, curves, rest in zip(fit.left, figure.axes[::2], figure.axes[1::2], strict=True):
        measured, predicted = (fit.table[f"{side}_{left.channel}"] for side in ("measured", "predicted"))
        dots, line = curves.lines[0], curves.lines[1]
        np.testing.assert_array_equal(dots.get_ydata(), measured)
        np.testing.assert_array_equal(line.get_ydata(), predicted)
        assert dots.get_linestyle() == "None" and line.get_linestyle() == "-"
        np.testing.assert_allclose(rest.lines[-1].get_ydata(), measured - predicted)
        (band,) = rest.patches
        np.testing.assert_allclose(band.get_height(), 2 * BAND * left.noise)
        low, high = rest.get_ylim()
        assert low < (measured - predicted).min() and (measured - predicted).max() < high
        for axis in (curves, rest):
            assert left.of.unit in axis.get_ylabel()
    assert figure.axes[-1].get_xlabel() == "time of the log, s"


def test_errors_are_drawn_of_numbers_that_are_told_alone() -> None:
    fit = result_of("fit")
    figure = draw(fit, "errors")
    bars, field = figure.axes
    names = [label.get_text().replace("\n", " ") for label in bars.get_yticklabels()]
    assert names == ["1: rear shock friction sliding", "2: front shock springs 1 rate"]
    np.testing.assert_allclose([bar.get_width() for bar in bars.patches], [2.0, 2.0])
    np.testing.assert_allclose(field.images[0].get_array(), [[1.0, -0.62], [-0.62, 1.0]])
    title = words_of(figure)
    assert "All are known about alike, to 2" in title and "correlation \N{MINUS SIGN}0.62" in title


def test_there_is_no_picture_of_errors_without_several_values() -> None:
    assert list(pictures_of(result_of("log beside a run"))) == ["log_over_run"]
    assert list(pictures_of(result_of("fit"))) == ["log_over_run", "errors"]
