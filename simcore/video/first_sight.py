"""Which of several spots is the dot: by a stated pixel, else by the places of the dots on the rig."""

from collections.abc import Mapping, Sequence
from itertools import islice, product

import numpy as np

from simcore.errors import InputError, InputIssue
from simcore.files.dots import Dot, Dots
from simcore.video.body import fit
from simcore.video.frames import Image
from simcore.video.plane import Plane, Points
from simcore.video.spots import Spot, spots

NEAR = 30.0  # pixels from a stated start
MOST = 5  # spots of one colour that are tried
FRACTION = 0.25  # of the largest one's size; anything smaller is no rival
MISFIT = 0.08  # of the dots' spread; axles move a little against the chassis
CLEARLY = 2.0  # times as far off as the best is the second best at least
UPRIGHT = np.radians(75.0)  # no rig is filmed steeper than this
MOST_WAYS = 20_000
Candidates = dict[str, list[Spot]]


def candidates(image: Image, known: Dots) -> Candidates:
    """Spots of a picture that may be each dot, by its name; what a stated start rules out is left out."""
    found = {}
    for dot in known.dots:
        seen = spots(image, dot)
        if dot.start is not None:
            start = np.array(dot.start)
            near = [spot for spot in seen if np.linalg.norm(spot.at - start) <= NEAR]
            found[dot.name] = sorted(near, key=lambda spot: float(np.linalg.norm(spot.at - start)))[:1]
            continue
        whole = [spot for spot in seen if spot.round]
        found[dot.name] = [spot for spot in whole if spot.size >= FRACTION * whole[0].size][:MOST]
    return found


def choose(
    found: Candidates, known: Dots, at: Mapping[str, tuple[float, float]], plane: Plane
) -> dict[str, Spot]:
    """The spot of each dot.

    Parameters
    ----------
    found : one spot or more for each dot
    at : places of dots on the rig, m, where they are known
    plane : of the picture, in any scale

    Raises
    ------
    InputError
        When it cannot be told which spot a dot is.
    """
    sure = {name: some[0] for name, some in found.items() if len(some) == 1}
    doubtful = [name for name in found if name not in sure]
    if not doubtful:
        return sure
    placed = [name for name in found if name in at]
    if len(placed) >= 3 and set(doubtful) <= set(placed):
        best = _by_places(found, placed, at, plane, known.drives)
        if best is not None:
            return sure | best
    must_be = (
        "one alone; say where it is in the first frame (`start`), or take a colour that nothing else has"
    )
    raise InputError(
        InputIssue(
            "", f"dots.{name}", f"{len(found[name])} spots of its colour at {_listed(found[name])}", must_be
        )
        for name in doubtful
    )


def _listed(some: Sequence[Spot]) -> str:
    return ", ".join(f"[{spot.at[0]:.0f}, {spot.at[1]:.0f}]" for spot in some)


def _by_places(
    found: Candidates,
    placed: Sequence[str],
    at: Mapping[str, tuple[float, float]],
    plane: Plane,
    drives: str | None,
) -> dict[str, Spot] | None:
    """The choice whose spots lie to one another as the dots on the rig do; None if it is not clearly one."""
    rig = np.array([at[name] for name in placed])
    ways = list(islice(product(*(found[name] for name in placed)), MOST_WAYS))
    planes = (
        [plane]
        if drives == "right"
        else [plane.mirrored()]
        if drives == "left"
        else [plane, plane.mirrored()]
    )
    misfits = [min(_misfit(rig, view.places(_where(way))) for view in planes) for way in ways]
    order = np.argsort(misfits)
    best = misfits[order[0]]
    if best > MISFIT or (len(order) > 1 and misfits[order[1]] < CLEARLY * max(best, 0.25 * MISFIT)):
        return None
    return dict(zip(placed, ways[order[0]], strict=True))


def _where(way: Sequence[Spot]) -> Points:
    return np.array([spot.at for spot in way])


def _misfit(rig: Points, places: Points) -> float:
    """How badly places lie as on the rig, in any scale, per spread of the dots; infinite upside down."""
    if np.ptp(places, axis=0).max() <= 0.0:
        return float("inf")
    angle, scale, left = fit(rig, places)
    return left / (scale * float(np.sqrt(rig.var(axis=0).sum()))) if abs(angle) < UPRIGHT else float("inf")


def as_issues(dot: Dot, count: int, file: str) -> InputIssue:
    """Issue of a dot that no frame shows."""
    look = dot.colour or f"hue {dot.span[0]:g} to {dot.span[1]:g}"
    place = "" if dot.start is None else f" within {NEAR:.0f} pixels of its start"
    got = f"no {look} spot{place} in any of {count} frames"
    return InputIssue(file, f"dots.{dot.name}", got, "a dot that is seen, round and larger than 9 pixels")
