"""Values of the tyres and wheels of one axle."""

from collections.abc import Sequence

from uncertainties import umath

from simcore.readings.side import Side
from simcore.readings.tyre_tests import (
    drag_by_rolling,
    grip_by_tilt,
    hub_height,
    inertia_by_rolling_down,
    radius_by_rolling,
    squash_under,
    stiffness_by_squash,
)
from simcore.readings.uncertain import Number, value_of
from simcore.readings.workings import Way, way
from simcore.units import GRAVITY

GUESSED = {
    "grip_load_exponent": "1",
    "damping": "N*s/m",
    "slip_stiffness": "1",
    "relaxation_length": "mm",
}
"""Values of a tyre that no line of the worksheet gives, and their units."""
MOST_SQUASH = 0.3
"""Share of the radius by which a tyre may be pressed in."""


def put_tyre(side: Side) -> Number:
    """Note what tyres and wheels are; give the height of the axle centre over the table, m."""
    read, load = side.read, 0.5 * side.carries * GRAVITY
    rolled = side.all_read("tyre.rolled", "distance", "turns")
    across, hub = read("tyre.diameter"), read("tyre.hub_height")
    rough = (
        0.5 * across
        if across is not None
        else radius_by_rolling(rolled[0], rolled[1], 0.0)
        if rolled
        else hub
    )
    guessed = rough is None
    rough = 0.5 * side.guess("tyre.diameter") if rough is None else rough
    _check_squash(side, [squash for _, squash in side.rows("tyre.squash")], rough)
    rows = stiffness_by_squash(side.rows("tyre.squash"), rough)
    stiffness = side.put_best(
        "tyre.stiffness", "N/mm", [way("load / squash, by the tyre law", rows[0] if rows else None)]
    )
    side.note_scatter("tyre.squash", rows[1] if rows else 0.0)
    squash = squash_under(load, stiffness)
    _check_squash(side, [squash], rough)
    ways = [
        way("diameter / 2", None if across is None else 0.5 * across),
        way(
            "distance / (2 pi turns) + squash / 3",
            radius_by_rolling(rolled[0], rolled[1], squash) if rolled else None,
        ),
        way("hub_height + squash under its load", None if hub is None else hub + squash),
    ]
    if guessed:
        radius = side.put("tyre.radius", "mm", "guess", rough)
    else:
        radius = side.put_best("tyre.radius", "mm", ways)
    _wheel(side, radius, stiffness, squash)
    _grip(side)
    return hub_height(radius, 2.0 * stiffness, 2.0 * load)


def _check_squash(side: Side, squashes: Sequence[Number], radius: Number) -> None:
    """Refuse a tyre that is pressed flat."""
    most = MOST_SQUASH * value_of(radius)
    flat = [squash for squash in squashes if value_of(squash) > most]
    if flat:
        got = f"a tyre pressed in by {1e3 * value_of(flat[0]):.3g} mm under what it carries"
        must_be = f"pressed in by at most {1e3 * most:.3g} mm, {100.0 * MOST_SQUASH:g} % of its radius"
        raise side.workings.refuse(f"{side.name}.tyre.squash", got, must_be)


def _wheel(side: Side, radius: Number, stiffness: Number, squash: Number) -> None:
    """Note mass, drag and inertia; the tyre is squashed so far by what the rig puts on it."""
    mass = side.read_or_guess("tyre.wheel_mass", "g")
    rolls_at = side.read("tyre.rolls_at")
    drag = None if rolls_at is None else drag_by_rolling(rolls_at, radius, squash)
    resistance = side.put_best(
        "tyre.rolling_resistance", "%", [way("tan(rolls_at) * rolling / free radius", drag)]
    )
    roll = side.all_read("tyre.roll", "slope", "distance", "time")
    rolled = None
    if roll is not None:
        rolling = radius - squash_under(mass * GRAVITY, stiffness) / 3.0
        rolled = inertia_by_rolling_down(mass, radius, rolling, roll[0], roll[1], roll[2], resistance)
    between = side.guess("tyre.inertia_share") * mass * radius**2
    known = side.best(
        "tyre.spin_inertia",
        "kg*mm^2",
        [
            way("read", side.read("tyre.spin_inertia")),
            way("rolled down a board: m r^2 (g' t^2/2s - 1)", rolled),
        ],
    )
    disc = Way("between a disc and a ring: 0.5 to 1 of mass * radius^2", between)
    surest = disc if known is None else known
    side.put("tyre.spin_inertia", "kg*mm^2", surest.formula, surest.number)


def _grip(side: Side) -> None:
    """Note both grips, and the load at which they hold."""
    angle = side.read("tyre.slides_at")
    peak = side.put_best("tyre.peak_grip", "1", [way("tan(slides_at)", _tan(angle))])
    sliding = _tan(side.read("tyre.slides_on_at"))
    if sliding is None:
        share = side.guess("tyre.sliding_share")
        side.put("tyre.sliding_grip", "1", "guessed share of peak_grip", peak * share)
    else:
        least = Way("tan(slides_on_at)", sliding)
        below = side.not_above("tyre.sliding_grip", "1", least, Way("peak_grip", peak))
        side.put("tyre.sliding_grip", "1", least.formula, below)
    # A rig slides as a whole: what was found holds at the mean load of its four tyres.
    mean = side.rig_mass / 4.0
    if angle is None:
        side.put("tyre.grip_load", "g", "guess", mean)
    else:
        formula = "whole rig / 4 * cos(slides_at), what a tyre carries as it slides"
        side.put("tyre.grip_load", "g", formula, mean * umath.cos(angle))
    for key, unit in GUESSED.items():
        side.put(f"tyre.{key}", unit, "guess", side.guess(f"tyre.{key}"))


def _tan(angle: Number | None) -> Number | None:
    return None if angle is None else grip_by_tilt(angle)
