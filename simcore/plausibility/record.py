"""What a check of a rig finds: a value out of all custom, and the slip that would explain it."""

from dataclasses import dataclass

from simcore.plausibility.codes import Code, SlipCode


@dataclass(frozen=True)
class Slip:
    """A slip that would explain a value: undone, the value lies in its usual range.

    Attributes
    ----------
    code : which
    key : what to change, in TOML form; empty where no one key is to blame
    words : what it would be, as a question to the builder
    """

    code: SlipCode
    key: str
    words: str

    def __str__(self) -> str:
        """Give it as a clause."""
        return self.words


@dataclass(frozen=True)
class Implausible:
    """A value of a rig out of all custom.

    Attributes
    ----------
    file : as the user named it
    key : where it is, in TOML form; empty for the whole rig
    code : what it is
    got, usual : the value, and the range that is usual, with units
    slip : what would explain it; None if nothing that is known does
    """

    file: str
    key: str
    code: Code
    got: str
    usual: str
    slip: Slip | None

    def __str__(self) -> str:
        """Give it as one line."""
        place = f"{self.file}: {self.key}" if self.key else self.file
        line = f"{place}: {self.code.value} is {self.got}, usual is {self.usual}"
        return line if self.slip is None else f"{line}; {self.slip}"
