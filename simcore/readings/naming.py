"""What a new worksheet and its rig are called."""

import re
from pathlib import Path

from simcore.errors import InputError, InputIssue
from simcore.units import show

_ODD = re.compile(r"[^\w.-]+")


def worksheet_file(name: str) -> Path:
    """File of a worksheet, by the name of its rig; or the file itself, where the name ends in .toml.

    Raises
    ------
    InputError
        When the name has no letter or figure in it.
    """
    if Path(name).suffix == ".toml":
        return Path(name)
    plain = _ODD.sub("_", name.strip()).strip("._").lower()
    if not plain:
        must_be = "the name of a rig, or of a file that ends in .toml"
        raise InputError([InputIssue("new", "NAME", show(name), must_be)])
    return Path(f"{plain}.toml")


def rig_name(name: str) -> str:
    """Name of a rig as it is to be shown."""
    plain = Path(name).stem if name.endswith(".toml") else name.strip()
    return plain[:1].upper() + plain[1:]
