"""What tracking a video gives: the log, how good it is, and what must be known before it is believed."""

import dataclasses
import json
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Any, ClassVar

import numpy as np
import pandas as pd

from simcore.errors import InputError, InputIssue
from simcore.files.dots import Dots
from simcore.files.source import version
from simcore.results.atomic_write import Writer, write_all
from simcore.results.result import Concern, Doubt
from simcore.video.channels import Channels
from simcore.video.follow import Paths
from simcore.video.view import View

LOG, FACTS = "log.csv", "track.json"


@dataclasses.dataclass(frozen=True, repr=False, eq=False)
class Track:
    """A tracked video.

    Attributes
    ----------
    video : the file
    dots : what was known of it
    paths : where the dots were in the picture
    view : the plane of motion as the camera saw it
    channels : the log and its noise

    Examples
    --------
    >>> import simcore
    >>> track = simcore.track("climb.mp4", "dots.toml")  # doctest: +SKIP
    >>> track.log["pitch_deg"].max()  # doctest: +SKIP
    """

    kind: ClassVar[str] = "track"
    files: ClassVar[tuple[str, ...]] = (LOG, FACTS)

    video: Path
    dots: Dots
    paths: Paths
    view: View
    channels: Channels

    @property
    def log(self) -> pd.DataFrame:
        """One row a frame; columns as in `simcore.video.channels.MEANING`, empty where a dot was lost."""
        return self.channels.table

    @cached_property
    def lost_pct(self) -> dict[str, float]:
        """Share of the frames in which each dot was lost, %."""
        return {name: 100.0 * float(np.isnan(path[:, 0]).mean()) for name, path in self.paths.pixels.items()}

    @property
    def headline(self) -> str:
        """What the rig did and how well it could be followed, in one sentence."""
        count, log = len(self.log), self.log
        time = f"{self.paths.times[-1]:.2f} s"
        place = log["place_mm"].dropna()
        said = [f"covers {place.iloc[-1]:.0f} mm in {time}"] if len(place) else [f"{time} without a place"]
        if "pitch_deg" in log and log["pitch_deg"].notna().any():
            low, high = log["pitch_deg"].min(), log["pitch_deg"].max()
            since = "" if self.channels.absolute else " of its start"
            said.append(f"pitch from {_signed(low)} to {_signed(high)} deg{since}")
        gone = {name: share for name, share in self.lost_pct.items() if share > 0.0}
        lost = (
            "none ever lost"
            if not gone
            else ", ".join(f"{name} lost in {one:.0f} %" for name, one in gone.items())
        )
        text = f"{'; '.join(said)}. {len(self.lost_pct)} dots in {count} frames, {lost}."
        return text[0].upper() + text[1:]

    @property
    def pitch_is(self) -> str:
        """What pitch counts from, as a sentence."""
        if "pitch_deg" not in self.log:
            return "No pitch."
        if self.channels.absolute:
            return f"Pitch counts from the bench, as a run's does; level from {self.view.level_from}."
        missing = (
            "no level is known" if self.view.level_from is None else "no places of two chassis dots are known"
        )
        return (
            f"Pitch counts from the START OF THE VIDEO, not from the bench as a run's does: {missing}. "
            "In a fit its offset must be free (offset:pitch)."
        )

    @property
    def remarks(self) -> list[str]:
        """What a reader should know besides."""
        return [*self.view.remarks, *self.channels.remarks]

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]:
        """The log; and of each of its columns the span, the noise and how much of it is known."""
        columns = [name for name in self.log if name != "time_s"]
        rows = {
            name: {
                "least": self.log[name].min(),
                "most": self.log[name].max(),
                "noise": self.channels.noise[name],
                "known_pct": 100.0 * float(self.log[name].notna().mean()),
            }
            for name in columns
        }
        return {"channels": pd.DataFrame.from_dict(rows, orient="index"), "log": self.log}

    @property
    def concerns(self) -> list[Concern]:
        """Dots that were lost too often, or could not be told apart."""
        most = 100.0 * self.dots.most_lost
        found = [
            Concern(Doubt.NOT_KNOWN, name, f"lost in {share:.1f} % of the frames, more than {most:g} %")
            for name, share in self.lost_pct.items()
            if share > most
        ]
        for (a, b), count in self.paths.clashes.items():
            text = f"too alike: in {count} frames one spot could be either, and both count as lost there"
            found.append(Concern(Doubt.NOT_KNOWN, f"{a}, {b}", text))
        return found

    @property
    def facts(self) -> dict[str, Any]:
        """All that is known of the log, as JSON holds it."""
        noise = {name: _plain(value) for name, value in self.channels.noise.items()}
        return {
            "simcore": version(),
            "kind": self.kind,
            "video": str(self.video),
            "frames": len(self.log),
            "pitch_counts_from": "bench" if self.channels.absolute else "start",
            "drives": self.view.drives,
            "scale_from": self.view.scale_from,
            "level_from": self.view.level_from,
            "roll_deg": float(np.degrees(self.view.roll)),
            "noise": noise,
            "lost_pct": self.lost_pct,
            "remarks": self.remarks,
            "concerns": [str(concern) for concern in self.concerns],
        }

    def __repr__(self) -> str:
        """Give kind, video and headline."""
        return f"<{self.kind}: {self.video} {self.headline}>"

    def writers(self) -> dict[str, Writer]:
        """File name to what writes it."""
        facts = json.dumps(self.facts, indent=2, allow_nan=False) + "\n"
        return {
            LOG: lambda path: self.log.to_csv(path, index=False, float_format="%.6g"),
            FACTS: lambda path: path.write_text(facts, encoding="utf-8"),
        }

    def save(self, folder: str | Path) -> list[Path]:
        """Write the log and what is known of it into a folder, whole or not at all.

        Raises
        ------
        InputError
            When the folder cannot be written, or holds the log of another video.
        """
        check_own_log(Path(folder), self.video)
        return write_all(Path(folder), self.writers())


def _signed(value: float) -> str:
    return f"{round(value, 1) + 0.0:.1f}".replace("-", "\N{MINUS SIGN}")


def _plain(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def check_own_log(folder: Path, video: Path) -> None:
    """Refuse a folder whose log is of another video, or of nobody knows what.

    Raises
    ------
    InputError
        Saying whose it is.
    """
    if not (folder / LOG).exists() and not (folder / FACTS).exists():
        return
    try:
        facts = json.loads((folder / FACTS).read_text(encoding="utf-8"))
        other = facts["video"] if facts["kind"] == Track.kind else None
    except (OSError, ValueError, KeyError, TypeError):
        other = None
    if other is None or Path(str(other)).resolve() != video.resolve():
        whose = f"a {LOG} or {FACTS} of {other or 'another origin'}"
        raise InputError([InputIssue(str(folder), "--out", whose, "a folder without it: --out DIR")])
