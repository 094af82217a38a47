"""Values of the tyres and wheels of one axle."""

from collections.abc import Sequence

from simcore.readings.side import Side
from simcore.readings.tyre_tests import (
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
    _wheel(side, radius)
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


def _wheel(side: Side, radius: Number) -> None:
    mass = side.read_or_guess("tyre.wheel_mass", "g")
    resistance = side.put_best(
        "tyre.rolling_resistance", "%", [way("tan(rolls_at)", _tan(side.read("tyre.rolls_at")))]
    )
    roll = side.all_read("tyre.roll", "slope", "distance", "time")
    rolled = inertia_by_rolling_down(mass, radius, roll[0], roll[1], roll[2], resistance) if roll else None
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
    peak = side.put_best("tyre.peak_grip", "1", [way("tan(slides_at)", _tan(side.read("tyre.slides_at")))])
    sliding = _tan(side.read("tyre.slides_on_at"))
    if sliding is None:
        share = side.guess("tyre.sliding_share")
        side.put("tyre.sliding_grip", "1", "guessed share of peak_grip", peak * share)
    else:
        side.put("tyre.sliding_grip", "1", "tan(slides_on_at)", sliding)
    # A rig slides as a whole: what was found holds at the mean load of its four tyres.
    mean = side.rig_mass / 4.0
    side.put("tyre.grip_load", "g", "whole rig / 4, what a tyre carries as the rig slides", mean)
    for key, unit in (
        ("grip_load_exponent", "1"),
        ("damping", "N*s/m"),
        ("slip_stiffness", "1"),
        ("relaxation_length", "mm"),
    ):
        side.put(f"tyre.{key}", unit, "guess", side.guess(f"tyre.{key}"))


def _tan(angle: Number | None) -> Number | None:
    return None if angle is None else grip_by_tilt(angle)
