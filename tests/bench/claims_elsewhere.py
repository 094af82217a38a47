"""Do the claims of the shipped scenarios hold on the other rigs, and with their main inputs 30 % off?

Run by hand, as `python tests/bench/claims_elsewhere.py [names]`: with names it prints what flips in these
scenarios, without names in all, and writes the section of tests/README.md.

A flip is announced where the file says so itself: a row `[[conclusion.holds_on]]` with `holds = false` and
the very settings. Claims are tried in their direction, by what can just be seen (see `studies/trials`).
"""

import dataclasses
import re
import sys
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import simcore
from simcore.files.scenario import Scenario
from simcore.results.tried import Elsewhere
from simcore.studies.asked import answered
from simcore.studies.trials import try_conclusion

ROOT = Path(__file__).parents[2]
RIGS = ("fell", "gully", "scree")
FACTORS = {"30 % less": 0.7, "30 % more": 1.3}
PAGE, HEAD, HEADING = (
    ROOT / "tests" / "README.md",
    "## Claims elsewhere",
    "| scenario | tried on | what flips | announced |",
)
Settings = dict[str, Any]


def inputs(scenario: Scenario) -> Iterator[tuple[str, list[str]]]:
    """Name of every main input, and the paths that make it."""
    ends, rig = ("rear", "front"), scenario.rig
    if scenario.ground.slope:
        yield "slope", ["ground.slope"]
    rows = getattr(scenario.driver, scenario.driver.control)
    asked = [k for k, (_, value) in enumerate(rows) if value]
    yield f"{scenario.driver.control} asked", [f"driver.{scenario.driver.control}.{k}.1" for k in asked]
    yield "chassis mass", ["chassis.mass"]
    yield "spring rates", [f"{end}.shock.springs.0.rate" for end in ends if getattr(rig, end).shock.springs]
    yield "seal friction", [f"{end}.shock.friction.{key}" for end in ends for key in ("breakaway", "sliding")]
    yield "grip", [f"{end}.tyre.{key}" for end in ends for key in ("sliding_grip", "peak_grip")]
    yield "tyre stiffness", [f"{end}.tyre.stiffness" for end in ends]
    if rig.driveline.overdrive:
        yield "overdrive", ["driveline.overdrive"]
    shafts = [end for end in ends if getattr(rig, end).shaft and getattr(rig, end).shaft.friction]
    if shafts:
        yield "friction of the shafts", [f"{end}.shaft.friction" for end in shafts]


def elsewhere(scenario: Scenario) -> Iterator[tuple[str, Settings]]:
    """What the claims are tried on, in words and as settings; what a file varies itself is left alone."""
    for name in RIGS:
        file = ROOT / "scenarios" / "rigs" / f"{name}.toml"
        if simcore.load_rig(file) != scenario.rig:
            yield name.capitalize(), {"rig": f"rigs/{name}.toml"}
    varied = " ".join(scenario.vary)
    for what, paths in inputs(scenario):
        free = [path for path in paths if path not in varied]
        for words, factor in FACTORS.items():
            if free and len(free) == len(paths):
                yield f"{words} {what}", {f"{path} *=": factor for path in free}


@dataclasses.dataclass(frozen=True)
class Flip:
    """Claims that do not hold elsewhere.

    Attributes
    ----------
    scenario, on : file, and where they were tried
    what : the claims, or why there was no answer
    announced : whether the file says so
    """

    scenario: str
    on: str
    what: str
    announced: bool

    def row(self) -> str:
        """Row of the table."""
        return f"| {self.scenario} | {self.on} | {self.what} | {'yes' if self.announced else 'NO'} |"


def _what(trial: Elsewhere) -> str:
    said = []
    for found in trial.found:
        if found.claim is not None:
            case, metric, relation, other, _ = found.claim.claim
            against = f"of {other} " if isinstance(other, str) else ""
            values = f"{found.claim.value:.3g}, not {relation} {against}{found.claim.against:.3g}"
            said.append(f"{metric} of {case}: {values}")
    return "; ".join(said).replace("|", "/")


def flips(path: Path) -> Iterator[Flip]:
    """What flips of a scenario's claims; where its cases cannot be run there is no answer."""
    scenario = simcore.load_scenario(path)
    rows = [{"on": on, "settings": settings} for on, settings in elsewhere(scenario)]
    told = {"conclusion.holds_on": rows, "conclusion.because": []}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # an input that a variant has not is not tried
        asked = scenario.changed({**told, "output.rate": 25}, keep_variants=True).from_file(path)
        result = answered(asked, workers=2, draws=0).cases
    stated = [row.settings for row in scenario.conclusion.holds_on if not row.holds]
    for trial in try_conclusion(asked, result.cases_run, result.summaries, 2):
        assert isinstance(trial, Elsewhere)
        if _what(trial):
            yield Flip(path.stem, trial.row.on, _what(trial), trial.row.settings in stated)


def main(names: list[str]) -> None:
    """Try the scenarios that are named, or all; of all, write the section of the page."""
    paths = sorted((ROOT / "scenarios").glob("*.toml"))
    chosen = [path for path in paths if not names or path.stem in names]
    found = []
    for path in chosen:
        if simcore.load_scenario(path).conclusion.claims:
            for flip in flips(path):
                print(flip.row(), flush=True)
                found.append(flip)
    if not names:
        PAGE.write_text(with_section(PAGE.read_text(encoding="utf-8"), found), encoding="utf-8")


def with_section(page: str, found: list[Flip]) -> str:
    """The page with the table in place of the one that it has."""
    silent = sum(not flip.announced for flip in found)
    words = " ".join((__doc__ or "").split("\n\n")[-1].split())
    text = (
        f"{HEAD}\n\nWritten by `python tests/bench/claims_elsewhere.py`. {words} Of {len(found)} flips, "
        f"{silent} are not announced.\n\n{HEADING}\n| --- | --- | --- | --- |\n"
    )
    return (
        re.sub(rf"\n{HEAD}\n.*", "", page, flags=re.S).rstrip()
        + "\n\n"
        + text
        + "\n".join(flip.row() for flip in found)
        + "\n"
    )


if __name__ == "__main__":
    main(sys.argv[1:])
