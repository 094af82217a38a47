"""Spots: their middle to a fraction of a pixel, whatever their rim, their smear and what lies behind."""

import cv2
import numpy as np
import pytest

from simcore.files.check import check
from simcore.files.dots import Dot
from simcore.video.spots import Window, spots

ORANGE = (20, 110, 250)
RNG = np.random.default_rng(11)


def dot(**more: object) -> Dot:
    return check(Dot, {"name": "a", "on": "chassis", "colour": "orange"} | more, "dots")


def drawn(
    middle: tuple[float, float], radius: float, smear: float = 0.0, behind: int = 90, noise: float = 0.0
) -> np.ndarray:
    """Picture of a disc, each pixel by its cover at 8 x 8 places within it."""
    fine = (np.arange(8) + 0.5) / 8 - 0.5
    v, u = np.indices((120, 160))
    cover = np.zeros((120, 160))
    for shift in np.linspace(-0.5, 0.5, 9) * smear if smear else [0.0]:
        for dv in fine:
            for du in fine:
                cover += np.hypot(u + du - middle[0] - shift, v + dv - middle[1]) <= radius
    cover /= 64 * (9 if smear else 1)
    image = (
        behind + cover[:, :, None] * (np.array(ORANGE) - behind) + noise * RNG.standard_normal((120, 160, 3))
    )
    return np.clip(np.rint(image), 0, 255).astype(np.uint8)


@pytest.mark.parametrize("middle", [(50.0, 40.0), (50.3, 40.7), (49.55, 39.1)])
@pytest.mark.parametrize("behind", [30, 90, 200])
def test_the_middle_of_a_disc(middle: tuple[float, float], behind: int) -> None:
    (spot,) = spots(drawn(middle, 4.5, behind=behind), dot())
    assert spot.at == pytest.approx(np.array(middle), abs=0.04)
    assert spot.size == pytest.approx(np.pi * 4.5**2, rel=0.05)
    assert spot.round and spot.paint == pytest.approx(np.array(ORANGE), abs=3)


def test_a_smeared_and_noisy_disc_keeps_middle_and_size() -> None:
    (sharp,) = spots(drawn((50.3, 40.2), 4.5), dot())
    (spot,) = spots(drawn((50.3, 40.2), 4.5, smear=8.0, noise=6.0), dot(), paint=sharp.paint)
    assert spot.at == pytest.approx(np.array([50.3, 40.2]), abs=0.15)
    assert spot.size == pytest.approx(sharp.size, rel=0.12)


def test_a_half_hidden_disc_is_smaller() -> None:
    image = drawn((50.0, 40.0), 5.0)
    whole = spots(image, dot())[0]
    image[:, 50:] = 90
    assert spots(image, dot())[0].size < 0.65 * whole.size


def test_only_its_own_colour_size_and_window() -> None:
    image = drawn((30.0, 40.0), 4.0)
    assert spots(image, dot(colour="blue")) == []
    assert spots(image, dot(), Window(50, 0, 160, 120)) == []
    assert len(spots(image, dot(), Window.around(np.array([30.0, 40.0]), 20.0, image))) == 1
    assert spots(image, dot(), Window.around(np.array([-90.0, 40.0]), 20.0, image)) == []
    assert spots(np.full((120, 160, 3), ORANGE, np.uint8), dot()) == []  # all of the picture is no dot
    assert spots(drawn((30.0, 40.0), 0.9), dot()) == []  # nor is noise


def test_hues_that_go_through_red() -> None:
    image = drawn((30.0, 40.0), 4.0)
    hue = float(cv2.cvtColor(np.array([[ORANGE]], np.uint8), cv2.COLOR_BGR2HSV)[0, 0, 0]) * 2.0
    by_hue = {"name": "a", "on": "rear"}
    assert len(spots(image, check(Dot, by_hue | {"hue": [350, hue + 5]}, "dots"))) == 1
    assert spots(image, check(Dot, by_hue | {"hue": [350, hue - 5]}, "dots")) == []
    assert (
        spots(image, check(Dot, by_hue | {"hue": [hue - 5, hue + 5], "least_saturation": 99}, "dots")) == []
    )
