"""Tracks coloured dots through a video of a rig, for a log that can be set beside a run."""

from pathlib import Path

from simcore.errors import InputError, InputIssue
from simcore.files import Scenario, load_scenario
from simcore.files.check import check
from simcore.files.dots import Dots
from simcore.files.fields import bench
from simcore.files.source import read_toml
from simcore.video.channels import channels
from simcore.video.follow import follow
from simcore.video.frames import frames, missing_file
from simcore.video.opencv import opencv
from simcore.video.tracked import Track
from simcore.video.view import Places, view_of

SLOPE_TWICE = 1e-9  # rad, by which two statements of one slope may differ


def load_dots(path: str | Path) -> Dots:
    """Read a dots file.

    Raises
    ------
    InputError
        With every issue found.
    """
    return check(Dots, read_toml(Path(path)), str(path))


def track(
    video: str | Path,
    dots: Dots | str | Path | None = None,
    *,
    scenario: Scenario | str | Path | None = None,
    drives: str | None = None,
    fps: float | None = None,
) -> Track:
    """Track coloured dots on a rig through a video.

    Parameters
    ----------
    video : file
    dots : what is stuck where and what of the picture is known, or its file; must be given
    scenario : what was filmed: gives the slope, if its ground is a plane, and the hubs' places
    drives : "left" or "right", where the rig's nose points in the picture; None: as the dots file says,
        else from the dots
    fps : frames per second as filmed; None: as the dots file says, else the times in the video

    Raises
    ------
    InputError
        When files or what is asked cannot be used, all of it at once; when a dot is in no frame, or it
        cannot be told which spot it is; when OpenCV is missing.
    """
    opencv()
    file = "dots" if isinstance(dots, Dots) else str(dots)
    known, filmed = _inputs(Path(video), dots, scenario, drives, fps)
    known = known.model_copy(update={"drives": drives or known.drives, "fps": fps or known.fps})
    at, slope = _places(known, filmed), _slope(known, filmed, file)
    paths = follow(frames(video, known.fps), known, at, file)
    view = view_of(paths, known, at, slope)
    return Track(Path(video), known, paths, view, channels(paths, view, known, at, slope))


def _inputs(
    video: Path,
    dots: Dots | str | Path | None,
    scenario: Scenario | str | Path | None,
    drives: str | None,
    fps: float | None,
) -> tuple[Dots, Scenario | None]:
    """Both files; what is wrong with them, with the video's and with what was asked, all at once."""
    issues = list(missing_file(video))
    known = dots if isinstance(dots, Dots) else None
    filmed = scenario if isinstance(scenario, Scenario) else None
    try:
        known = load_dots(dots) if isinstance(dots, str | Path) else known
    except InputError as error:
        issues += error.issues
    try:
        filmed = load_scenario(scenario) if isinstance(scenario, str | Path) else filmed
    except InputError as error:
        issues += error.issues
    if dots is None:
        issues.append(InputIssue("--dots", "", "nothing", "a dots file; --still 0 helps to write one"))
    if drives not in (None, "left", "right"):
        issues.append(InputIssue("--drives", "", f'"{drives}"', "left or right"))
    if fps is not None and not 1.0 <= fps <= 10_000.0:
        issues.append(InputIssue("--fps", "", f"{fps:g}", "from 1 to 10000 frames per second"))
    if issues or known is None:
        raise InputError(issues)
    return known, filmed


def _places(known: Dots, filmed: Scenario | None) -> Places:
    """Places of the dots on the rig, m; a dot on an axle without one is taken to be on its hub."""
    at = {dot.name: dot.at for dot in known.dots if dot.at is not None}
    if filmed is not None:
        rig = filmed.rig
        hubs = {"rear": (0.0, rig.rear.tyre.radius), "front": (rig.wheelbase, rig.front.tyre.radius)}
        for body, hub in hubs.items():
            own = known.on(body)
            if len(own) == 1 and own[0].at is None:
                at[own[0].name] = hub
    return at


def _slope(known: Dots, filmed: Scenario | None, file: str) -> float | None:
    """Slope of the plane that was driven on, rad; None where it is not stated, or is no plane."""
    plane = filmed.ground.slope if filmed is not None and not filmed.ground.pieces else None
    if known.slope is not None and plane is not None and abs(known.slope - plane) > SLOPE_TWICE:
        must_be = f"left out, or the scenario's {bench(plane, 'deg')}"
        raise InputError([InputIssue(file, "slope", bench(known.slope, "deg"), must_be)])
    return plane if known.slope is None else known.slope
