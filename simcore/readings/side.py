"""One end of a rig while its values are worked out."""

from simcore.files.worksheet_axle import AxleLines
from simcore.readings.uncertain import Number
from simcore.readings.workings import Spot, Way, Workings, way

SCATTER = 2.5
"""Scatter of rows, over their errors, from which they are said not to fit a line."""


class Side:
    """One end of a rig: its lines, and where its values go.

    Parameters
    ----------
    workings : readings, and where values go
    name : "rear" or "front"
    wheelbase : m
    carries : mass that the axle's tyres carry, rig level, kg
    rig_mass : mass of the whole rig, kg
    """

    def __init__(
        self, workings: Workings, name: str, wheelbase: Number, carries: Number, rig_mass: Number
    ) -> None:
        self.workings, self.name = workings, name
        self.wheelbase, self.carries, self.rig_mass = wheelbase, carries, rig_mass
        self._ahead: Number = 0.0 if name == "rear" else wheelbase
        self._inboard = 1.0 if name == "rear" else -1.0

    @property
    def lines(self) -> AxleLines:
        """The lines of this axle."""
        found: AxleLines = getattr(self.workings.worksheet, self.name)
        return found

    def inboard(self, way_in: Number) -> Number:
        """Place along x that lies so far from the axle's centre towards the other axle, m."""
        return self._ahead + self._inboard * way_in

    def read(self, key: str) -> Number | None:
        """Line of this axle."""
        return self.workings.read(f"{self.name}.{key}")

    def guess(self, key: str) -> Number:
        """Guess for this axle."""
        return self.workings.guess(f"{self.name}.{key}")

    def put(self, key: str, unit: str, formula: str, number: Number) -> Number:
        """Note a value of this axle."""
        return self.workings.put(f"{self.name}.{key}", unit, formula, number)

    def put_best(self, key: str, unit: str, ways: list[Way | None], guess: str = "") -> Number:
        """Note the surest way to a value of this axle, else its guess."""
        return self.workings.put_best(f"{self.name}.{key}", unit, ways, f"{self.name}.{guess or key}")

    def read_or_guess(self, key: str, unit: str) -> Number:
        """Note a value that is read as it is, else its guess."""
        return self.put_best(key, unit, [way("read", self.read(key))])

    def all_read(self, place: str, *keys: str) -> list[Number] | None:
        """Lines of a table of this axle; None unless all of them are filled in."""
        return self.workings.all_read(f"{self.name}.{place}", *keys)

    def rows(self, key: str) -> list[tuple[Number, Number]]:
        """Rows of this axle."""
        return self.workings.rows(f"{self.name}.{key}")

    def best(self, key: str, unit: str, ways: list[Way | None]) -> Way | None:
        """The surest way to a value of this axle."""
        return self.workings.best(f"{self.name}.{key}", unit, ways)

    def place(self, key: str, guess: Spot) -> Spot:
        """Note a place: by ruler, else from the photograph, else as guessed."""
        found = self.workings.place(f"{self.name}.{key}") or (Way("guess", guess[0]), Way("guess", guess[1]))
        x, z = (self.put(f"{key}.{i}", "mm", one.formula, one.number) for i, one in enumerate(found))
        return x, z

    def not_above(self, key: str, unit: str, one: Way, most: Way) -> Number:
        """Number of a way of this axle that cannot be above another."""
        return self.workings.not_above(f"{self.name}.{key}", unit, one, most)

    def note_scatter(self, what: str, scatter: float) -> None:
        """Note rows that fit no line."""
        if scatter > SCATTER:
            text = f"its rows scatter {scatter:.1f} times as much as their errors allow"
            self.workings.note(f"{self.name}.{what}", text)
