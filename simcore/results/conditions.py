"""What held in the runs of a headline or a picture: question, rig, ground, driver, grip, drive."""

import dataclasses
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from simcore.errors import InputError
from simcore.files.aim import brakes_at, request_of
from simcore.files.axes import settings_of
from simcore.files.course import Piece
from simcore.files.scenario import Scenario
from simcore.results.formatting import MINUS
from simcore.units import column_factor

DRIVES = {"all": "all-wheel drive", "rear": "rear drive", "front": "front drive"}
NOTHING = "nothing asked"  # of the driver
STATED = ("ground", "driver", "grip", "drive")
AS_GIVEN = ", as given"
MANY = 5  # pieces of a course that are listed
FULL = 0.995  # of the tyres' grip, from which the ground takes nothing off


@dataclasses.dataclass(frozen=True)
class Conditions:
    """What held in some runs.

    Attributes
    ----------
    scenario : what was run, with its variants or axes
    stated : ground, driver, grip and drive in words, where they are the same in all runs
    rig : name of the rig, likewise
    """

    scenario: Scenario
    stated: tuple[str, ...]
    rig: str

    @classmethod
    def of(cls, scenario: Scenario, along: Mapping[str, Sequence[Any]] | None = None) -> "Conditions":
        """Those of a scenario with all its variants or axes.

        Parameters
        ----------
        scenario : with them
        along : further numbers that were not held, and values that they had; what is said is then as given
        """
        cases = list(_cases(scenario, scenario.vary))
        stated = zip(STATED, zip(*(words(case) for case in cases), strict=True), strict=True)
        rigs = {case.rig.name for case in cases}
        said = [each[0] if len(set(each)) == 1 else f"{what} differs" for what, each in stated]
        for case in _cases(scenario, along or {}):
            own = words(scenario)
            said = [
                f"{text}{AS_GIVEN}" if text == mine != other else text
                for text, mine, other in zip(said, own, words(case), strict=True)
            ]
        return cls(scenario, tuple(said), rigs.pop() if len(rigs) == 1 else "differs")

    @property
    def question(self) -> str:
        """Title of the scenario."""
        return self.scenario.title

    @property
    def visible_deg(self) -> float:
        """Smallest change of pitch that a viewer sees."""
        return self.scenario.visible.pitch * column_factor("pitch_deg")

    @property
    def visible_mm(self) -> float:
        """Smallest change of travel that a viewer sees."""
        return self.scenario.visible.travel * column_factor("travel_mm")

    @property
    def visible(self) -> dict[str, float]:
        """Smallest difference that a viewer sees, by unit."""
        return {"deg": self.visible_deg, "mm": self.visible_mm}

    def without_ground(self, question: str) -> str:
        """The same with another question, for runs on ground of their own."""
        return f"{question}  {'; '.join((f'Rig: {self.rig}', *self.stated[1:]))}"

    def asking(self, question: str) -> str:
        """The same with another question."""
        return f"{question}  {'; '.join((f'Rig: {self.rig}', *self.stated))}"

    @property
    def text(self) -> str:
        """Question, rig and conditions in one line."""
        return self.asking(self.question)


def _cases(scenario: Scenario, along: Mapping[str, Sequence[Any]]) -> Iterable[Scenario]:
    """The scenario and what its variants and the ends of axes make of it, as far as they go together."""
    yield scenario
    for name in scenario.variants:
        yield scenario.variant(name)
    for path, values in along.items():
        for value in {str(values[0]): values[0], str(values[-1]): values[-1]}.values():
            try:
                yield scenario.changed(settings_of(path, value))
            except InputError:  # such a run is a row that says why there is none
                continue


def words(scenario: Scenario) -> tuple[str, str, str, str]:
    """Ground, driver, grip and drive of a single case, in words."""
    return ground_words(scenario), driver_words(scenario), grip_words(scenario), drive_words(scenario)


def _slope(angle: float) -> str:
    degrees = math.degrees(angle)
    if abs(degrees) < 0.05:
        return "level"
    return f"{abs(degrees):.3g}° {'up' if degrees > 0.0 else 'down'}"


def _piece(piece: Piece, last: bool) -> str:
    if piece.ledge is not None:
        return f"{'ledge' if piece.ledge > 0.0 else 'drop'} of {abs(piece.ledge) * 1e3:.3g} mm"
    grip = "" if piece.grip >= FULL else f" with {100.0 * piece.grip:.3g} % grip"
    return (
        f"{_slope(piece.slope)}{grip}"
        if last
        else f"{1e3 * (piece.length or 0.0):.0f} mm {_slope(piece.slope)}{grip}"
    )


def ground_words(scenario: Scenario) -> str:
    """Slope or course."""
    pieces = scenario.ground.pieces
    if not pieces:
        slope = _slope(scenario.ground.slope)
        return "on the level" if slope == "level" else f"slope of {slope}"
    if len(pieces) > MANY:
        return f"a course of {len(pieces)} pieces"
    return "course: " + ", ".join(_piece(piece, piece is pieces[-1]) for piece in pieces)


def _plain(value: float) -> str:
    """A typed number without an exponent, with a true minus."""
    return f"{value:.10g}".replace("-", MINUS)


def driver_words(scenario: Scenario) -> str:
    """What the driver asks for, and whether he brakes at the end."""
    driver = scenario.driver
    rows = request_of(driver)
    values = [value for _, value in rows]
    most = max(values, key=abs)
    name = {
        "torque": lambda value: f"motor torque {_plain(value * 1e3)} N·mm",
        "throttle": lambda value: f"throttle {_plain(value * 100.0)} %",
        "speed": lambda value: f"held {_plain(value)} m/s",
    }[driver.control](most)
    if most == 0.0:
        text = NOTHING
    else:
        first = next(time for time, value in rows if value == most)
        ramp = (
            f" within {first * 1e3:.0f} ms"
            if 0.0 < first < 1.0
            else f" within {first:.3g} s"
            if first
            else ""
        )
        text = name + ramp
        if min(values) < 0.0 < max(values):
            text += ", then the other way"
        elif rows[-1][1] != most:
            text += ", then less" if rows[-1][1] else ", then off"
    if brakes_at(driver, scenario.end.duration) is not None:
        return f"{text}, then the drag brake"
    dragging = min((share for time, share in driver.brake if time > driver.release), default=0.0)
    return f"{text}, the drag brake {100.0 * dragging:.0f} % on" if dragging > 0.0 else text


def grip_words(scenario: Scenario) -> str:
    """Grip of both ends' tyres, and what the ground leaves of it."""
    rear, front = scenario.rig.rear.tyre.peak_grip, scenario.rig.front.tyre.peak_grip
    tyres = f"{rear:.3g}" if rear == front else f"{rear:.3g} rear, {front:.3g} front"
    if any(axle.tyre.grip_load_exponent for axle in (scenario.rig.rear, scenario.rig.front)):
        tyres += ", falling with load"
    ground = scenario.ground
    if ground.pieces or ground.grip == 1.0:
        return f"tyre grip {tyres}"
    return f"tyre grip {tyres}, of which the ground gives {100.0 * ground.grip:.3g} %"


def drive_words(scenario: Scenario) -> str:
    """Which axles drive, and the overdrive."""
    line = scenario.rig.driveline
    over = f", {_plain(100.0 * line.overdrive)} % overdrive" if line.drive == "all" and line.overdrive else ""
    return DRIVES[line.drive] + over
