"""What came of moving readings and guesses, each alone: figures of the answer, and verdicts."""

import dataclasses
import math
from collections.abc import Iterator, Sequence

from simcore.accounts.job import JobState
from simcore.readings.moves import Source


@dataclasses.dataclass(frozen=True)
class Figure:
    """A number of the answer: a metric of a case, or what a case adds to that of the first.

    Attributes
    ----------
    metric, case : whose it is
    less : the case that it is a difference to; "" for none
    value : with the rig as it is, in the unit of the metric's name
    seen : smallest difference that a viewer sees, likewise
    """

    metric: str
    case: str
    less: str
    value: float
    seen: float

    @property
    def key(self) -> str:
        """Its name in files, as the blanks of a conclusion have it."""
        return (
            f"{self.case} less {self.less} | {self.metric}" if self.less else f"{self.case} | {self.metric}"
        )


@dataclasses.dataclass(frozen=True)
class Side:
    """What came of one way to move.

    Attributes
    ----------
    to : value that was moved to, in its unit
    figures : those of the answer, in its order; None where they are not known, or a case did its job
        in one rig and not in the other, so that they cannot be compared
    jobs : by case whether the job was done
    why : why the first case that differs did not do its job, or has no answer; "" where none differs
    """

    to: float
    figures: tuple[float | None, ...]
    jobs: tuple[JobState, ...]
    why: str


@dataclasses.dataclass(frozen=True)
class Bar:
    """A reading or guess that was moved; the attributes are those of `simcore.readings.moves.Move`, and what
    came of it: up first, then down where that was tried.
    """

    tag: str
    gives: str
    source: Source
    unit: str
    value: float
    error: float
    name: str
    sides: tuple[Side, ...]


@dataclasses.dataclass(frozen=True)
class Answer:
    """An answer, and what becomes of it with every reading and guess that is moved.

    Attributes
    ----------
    figures : its numbers
    cases, jobs : names of the cases, and whether each does its job with the rig as it is
    bars : what was moved
    """

    figures: tuple[Figure, ...]
    cases: tuple[str, ...]
    jobs: tuple[JobState, ...]
    bars: tuple[Bar, ...]

    def changes(self, bar: Bar, k: int) -> list[float]:
        """Changes of a figure by one bar, as far as they are known."""
        own = self.figures[k].value
        return [value - own for side in bar.sides if (value := side.figures[k]) is not None]

    def largest(self, bar: Bar, k: int) -> float:
        """Largest change of a figure by one bar, either way; 0 where none is known."""
        return max(map(abs, self.changes(bar, k)), default=0.0)

    def reach(self, bar: Bar, k: int) -> tuple[float, float]:
        """Lowest and highest value of a figure that one bar gives, the answer itself among them."""
        every = [0.0, *self.changes(bar, k)]
        own = self.figures[k].value
        return own + min(every), own + max(every)

    def most_moved(self, bar: Bar) -> int:
        """Place of the figure that a bar moves most, in visible differences."""
        return max(range(len(self.figures)), key=lambda k: self.largest(bar, k) / self.figures[k].seen)

    def seen(self, bar: Bar) -> float:
        """How many visible differences a bar moves the answer by, at most."""
        return max((self.largest(bar, k) / figure.seen for k, figure in enumerate(self.figures)), default=0.0)

    def turned(self, bar: Bar) -> Iterator[tuple[Side, int]]:
        """Ways in which a bar turns the verdict of a case, with the place of the first such case."""
        for side in bar.sides:
            for place, (job, own) in enumerate(zip(side.jobs, self.jobs, strict=True)):
                if JobState.UNKNOWN not in (job, own) and job is not own:
                    yield side, place
                    break

    def turns(self, bar: Bar) -> bool:
        """Whether a bar turns the verdict of a case: that outranks any number."""
        return any(True for _ in self.turned(bar))

    def unknown(self) -> list[tuple[Bar, Side]]:
        """Ways that gave no rig, or no answer."""
        return [
            (bar, side)
            for bar in self.bars
            for side in bar.sides
            if JobState.UNKNOWN in side.jobs and JobState.UNKNOWN not in self.jobs
        ]

    @property
    def ranked(self) -> list[Bar]:
        """Bars, the worst first."""
        return sorted(self.bars, key=lambda bar: (not self.turns(bar), -self.seen(bar)))

    @property
    def telling(self) -> list[Bar]:
        """Those of them that turn a verdict or move the answer visibly."""
        return [bar for bar in self.ranked if self.turns(bar) or self.seen(bar) >= 1.0]

    def total(self, k: int) -> float:
        """Error of a figure, roughly: root of the sum of squares of the largest change by each bar."""
        return math.sqrt(sum(self.largest(bar, k) ** 2 for bar in self.bars))

    def by_size(self) -> list[int]:
        """Places of the figures, that which single bars move most first, in visible differences."""
        sizes = [
            max((self.largest(bar, k) for bar in self.bars), default=0.0) / figure.seen
            for k, figure in enumerate(self.figures)
        ]
        return sorted(range(len(sizes)), key=lambda k: -sizes[k])


def moves_visibly(figures: Sequence[Figure], side: Side, jobs: Sequence[JobState], share: float) -> bool:
    """Whether a way to move changes the answer by a share of what is visible, or gives another verdict."""
    if tuple(side.jobs) != tuple(jobs):
        return True
    return any(
        value is None or abs(value - figure.value) >= share * figure.seen
        for figure, value in zip(figures, side.figures, strict=True)
    )
