"""What DEVELOPERS.md says about dependencies: complete, and their licences as the packages state them."""

import importlib.metadata
import re
import tomllib
from itertools import chain
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FAMILIES = {
    "Apache-2.0": "apache",
    "BSD-2-Clause": "bsd",
    "BSD-3-Clause": "bsd",
    "MIT": r"\bmit\b",
    "MIT-CMU": "mit-cmu|hpnd",
    "MPL-2.0": "mpl-2|mozilla public license 2",
    "PSF-2.0 in kind": "python software foundation",
}
"""Licence as the table names it: what the package's own words hold. All let our licence be what it is."""


def stated() -> dict[str, str]:
    """Package: licence, from the table of DEVELOPERS.md."""
    table = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Dependencies and why")[1]
    found = {}
    for names, licences in re.findall(r"^\| ([^|]+) \| ([^|]+) \| [^|]+ \|$", table, re.MULTILINE)[2:]:
        packages, theirs = names.split(", "), licences.split(", ")
        found |= dict(zip(packages, theirs * (len(packages) if len(theirs) == 1 else 1), strict=True))
    return found


def required() -> set[str]:
    """Packages of pyproject.toml, extras too."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = chain(project["dependencies"], *project["optional-dependencies"].values())
    return {re.match(r"[\w-]+", line).group() for line in lines}


def test_every_dependency_has_its_reason_and_licence() -> None:
    assert set(stated()) == required()


def _heading_of_licence(package: str) -> str:
    """First line of the licence that a package brings; for one whose metadata name none."""
    files = importlib.metadata.files(package) or []
    return next(one.read_text().splitlines()[0] for one in files if one.name == "LICENSE")


@pytest.mark.parametrize("package", sorted(required()))
def test_licence_is_what_the_package_states(package: str) -> None:
    known = importlib.metadata.metadata(package)
    words = [known.get("License-Expression"), *known.get_all("Classifier", [])]
    if not any("icense" in word for word in words if word) and not words[0]:
        words.append(known.get("License"))
    said = [word for word in words if word and ("::" not in word or "License" in word)]
    theirs = " ".join(said or [_heading_of_licence(package)]).lower()
    assert re.search(FAMILIES[stated()[package]], theirs), theirs
