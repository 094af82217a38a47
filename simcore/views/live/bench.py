"""Who answers the page: a scenario as it lies on disk, its runs, and what can be kept of a change."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from simcore.errors import InputError
from simcore.files.keep.as_rig import save_rig
from simcore.files.keep.as_variant import save_variant
from simcore.files.keep.typed import command
from simcore.files.settings import parse_setting
from simcore.studies.live.answer import Live, Stale
from simcore.views.live import messages
from simcore.views.live.asked import Ask, Command, First, SaveRig, SaveVariant, Second
from simcore.views.live.conversation import Message, Stop


class RealBench:
    """A scenario that is read when the page opens, and answers its changes.

    Parameters
    ----------
    path : of the scenario's file
    settings : changes as they were typed, which hold in every case

    Raises
    ------
    InputError
        When the file or a setting cannot be used.
    """

    def __init__(self, path: Path, settings: Sequence[str] = ()) -> None:
        self.path, self.typed = path, dict(parse_setting(text) for text in settings)
        self.live = Live(path, self.typed)

    def hello(self, case: str) -> Message:
        """What the page needs to begin with a case, of the file as it stands now.

        Raises
        ------
        InputError
            When the file cannot be used any more, or the case's rig cannot stand.
        """
        try:
            self.live.file.check_unchanged()
        except InputError:
            self.live = Live(self.path, self.typed)
        hello = messages.hello(self.live, self._case(case))
        with_changes = "".join(f", {path} = {value}" for path, value in self.typed.items())
        return hello | {"file": f"{hello['file']}{with_changes}"}

    def first(self, asked: First, stop: Stop) -> Message | None:
        """Lines, side view, metrics and verdict; or what is wrong with the change."""
        try:
            answer = self.live.first(self._case(asked.case), asked.set, stop)
            return messages.first(self.live, answer, asked.n)
        except InputError as error:
            return messages.fault(asked.n, asked.set, error)
        except Stale:
            return None

    def second(self, asked: Second, stop: Stop) -> Message | None:
        """Accounts, audit and, where it is wanted, the film."""
        case = self._case(asked.case)
        try:
            run = self.live.second(case, asked.set, stop)
            return messages.second(self.live, case, run, asked.n, asked.film)
        except InputError as error:
            return messages.fault(asked.n, asked.set, error)
        except Stale:
            return None

    def save_variant(self, asked: SaveVariant) -> Message:
        """Write the change into the scenario's file; raises InputError when it cannot be, or not be run."""
        self.live.first(self._case(asked.case), asked.set)
        file = save_variant(self.live.file, asked.name, self._case(asked.case), self._all(asked))
        return messages.saved(str(file), asked.name)

    def save_rig(self, asked: SaveRig) -> Message:
        """Write the changed rig into a file of its own; raises as `save_variant`."""
        self.live.first(self._case(asked.case), asked.set)
        file = save_rig(self.live.file, asked.file, self._case(asked.case), self._all(asked))
        return messages.saved(str(file))

    def command(self, asked: Command) -> Message:
        """The line that repeats the change."""
        line = command(self.live.file.scenario, self._case(asked.case), self._all(asked))
        return messages.typed(line)

    def _case(self, name: str) -> str:
        return name or self.live.cases[0]

    def _all(self, asked: Ask) -> dict[str, Any]:
        """All that is not as in the file."""
        return self.live.all_settings(asked.set)
