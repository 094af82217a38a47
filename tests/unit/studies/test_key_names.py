"""Keys by the names of what they belong to."""

from pathlib import Path

import pytest

from simcore.files import load_scenario
from simcore.files.scenario import Scenario
from simcore.files.steps import steps
from simcore.studies.key_names import key_name

SHIPPED = Path(__file__).parents[3] / "scenarios"


@pytest.mark.parametrize(
    ("stem", "path", "name"),
    [
        ("launch_vs_creep", "parts.0.at.1", "battery, three cells, z"),
        ("launch_vs_creep", "rear.shock.springs.0.rate", "rear shock spring rate"),
        ("launch_vs_creep", "driver.torque.0.0", "motor torque, begins after"),
        ("launch_vs_creep", "driver.torque.1.1", "motor torque reached"),
        ("braking", "driver.speed.2.0", "held speed, time of point 3"),
        ("braking", "driver.brake.4.1", "drag brake, point 5"),
        ("ledge", "ground.pieces.1.ledge", "ledge of piece 2"),
    ],
)
def test_a_key_is_called(stem: str, path: str, name: str) -> None:
    assert key_name(load_scenario(SHIPPED / f"{stem}.toml"), steps(path, Scenario)) == name
