"""Why a rig's anti-squat is not that of the usual formula: causes switched off one at a time."""

import dataclasses
import re
from pathlib import Path
from typing import Any

import pytest

import simcore
from simcore.results.headlines.standing import standing_headline, why_not_usual
from simcore.standing.at_rest import standing_scenario
from simcore.standing.facts import Standing
from simcore.standing.percentages import Carried

RIGS = Path(__file__).parents[3] / "scenarios" / "rigs"
MINUS = "\N{MINUS SIGN}"


def standing(**settings: Any) -> Standing:
    changes = {key.replace("__", "."): value for key, value in settings.items()}
    return simcore.inspect(standing_scenario(RIGS / "gully.toml").changed(changes)).standing


def carried(facts: Standing, own: tuple[float, float], rear: tuple[float, float]) -> Standing:
    """The same rig whose rear links carry so much: by the usual formula, and with axle mass."""
    axle = dataclasses.replace(facts.axles[0], carried={"own": Carried(*own), "rear": Carried(*rear)})
    return dataclasses.replace(facts, axles=(axle, facts.axles[1]))


def rear(text: str) -> str:
    return text.split(";")[0]


def test_without_the_front_drive_it_would_be_what_a_rig_of_rear_drive_has() -> None:
    """A rig built that way says so itself; its front adds to the lift."""
    both, alone = standing(), standing(driveline__drive="rear")
    for name, text in zip(
        ("rear anti-squat", "front anti-lift"), why_not_usual(both).split(";"), strict=True
    ):
        (told,) = re.findall(r"rear drive alone: (\S+) %", text)
        (own,) = re.findall(rf"{name} (\S+) %", standing_headline(alone), re.IGNORECASE)
        assert told == own
    assert "rear drive alone" not in why_not_usual(alone)


def test_left_out_the_mass_gives_the_usual_formula() -> None:
    """Rear drive: tan(slope of the line to the instant centre) over (height of the CG / wheelbase)."""
    facts = standing(driveline__drive="rear")
    axle = facts.axles[0]
    assert axle.centre is not None
    slope = (axle.centre[1] - axle.contact[1]) / (axle.centre[0] - axle.contact[0])
    usual = slope / (facts.cg[1] / facts.wheelbase)
    assert f"instead of the {100 * usual:.0f} % of the usual formula" in rear(why_not_usual(facts))
    assert f"(mass left out: {100 * usual:.0f} %)" in rear(why_not_usual(facts))


def test_the_cause_that_moves_more_is_named_first() -> None:
    facts = standing()
    shared = rear(why_not_usual(carried(facts, own=(0.6, 0.5), rear=(1.2, 1.1))))
    assert shared == (
        "Rear anti-squat is 50 % instead of the 120 % of the usual formula mostly because the front axle "
        "shares the pull (rear drive alone: 110 %), and less because the axle's mass counts "
        "(mass left out: 60 %)"
    )
    mass = rear(why_not_usual(carried(facts, own=(1.1, 0.5), rear=(1.2, 0.6))))
    assert "mostly because the axle's mass counts (mass left out: 110 %), and less because the front" in mass
    against = rear(why_not_usual(carried(facts, own=(0.9, 0.5), rear=(1.2, 0.3))))
    assert (
        "because the axle's mass counts (mass left out: 90 %), while the front's pull works the other way"
        in against
    )


@pytest.mark.parametrize(
    ("own", "said"), [((1.2, 1.2), "as the usual formula says"), ((1.2, 1.1), "axle's mass")]
)
def test_a_cause_that_does_nothing_is_not_named(own: tuple[float, float], said: str) -> None:
    text = rear(why_not_usual(carried(standing(), own=own, rear=own)))
    assert said in text and "shares" not in text


def test_links_that_leave_no_path_and_links_that_add() -> None:
    facts = standing()
    none = dataclasses.replace(
        facts, axles=(dataclasses.replace(facts.axles[0], carried=None), facts.axles[1])
    )
    assert standing_headline(none).startswith(
        "No rear anti-squat (the axle can only move along the ground), front"
    )
    assert why_not_usual(none).startswith("Front anti-lift is")
    adds = standing_headline(carried(facts, own=(0.1, -0.12), rear=(1.0, 1.0)))
    assert adds.startswith(f"Rear anti-squat {MINUS}12 % (the links add squat), front anti-lift")
