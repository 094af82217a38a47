"""Values of the shocks of one axle."""

from typing import NamedTuple

from simcore.readings.shock_tests import (
    Swinging,
    Weighed,
    damping_by_decay,
    damping_by_timed_move,
    spring_by_weights,
)
from simcore.readings.side import Side
from simcore.readings.uncertain import Number
from simcore.readings.workings import Spot, Way, distance, way
from simcore.units import GRAVITY


class ShockFound(NamedTuple):
    """What else the lines of a shock show, SI.

    Attributes
    ----------
    weighed : what weights on it showed; None without
    stands : travel at which the rig stands, by length and mounts
    """

    weighed: Weighed | None
    stands: Number


STEADY = "(weight * g - friction) * time / distance"


def put_shock(side: Side, hub: Number) -> ShockFound:
    """Note mounts, lengths, spring, friction and damping.

    Parameters
    ----------
    side : the axle
    hub : height of its centre over the table, m
    """
    x = side.inboard(side.guess("shock.chassis_inboard_share") * side.wheelbase)
    top = side.place("shock.chassis", (x, side.guess("shock.chassis_height")))
    if side.lines.shock.link is None:
        x = side.inboard(side.guess("shock.axle_inboard"))
        low = side.place("shock.axle", (x, hub + side.guess("shock.axle_above_hub")))
    else:
        low = _on_link(side, f"{side.lines.shock.link}_link")
    between = distance(top, low)
    full = _put_lengths(side, between)
    side.read_or_guess("shock.mass", "g")
    weighed = spring_by_weights(side.rows("shock.loading"), side.rows("shock.unloading"))
    _note_rows(side, weighed)
    swing = side.all_read("shock.decay", "weight", "first", "last", "swings", "time")
    rate = _put_rate(side, weighed, None if swing is None else _swung(swing, 0.0))
    friction = _put_friction(side, weighed)
    _put_damper(side, friction, None if swing is None else _swung(swing, friction / rate))
    return ShockFound(weighed, full - between)


def _note_rows(side: Side, weighed: Weighed | None) -> None:
    """Note rows that show no spring, or fit no straight line."""
    many = [row for key in ("loading", "unloading") for row in side.rows(f"shock.{key}")]
    if weighed is not None:
        side.note_scatter("shock.loading", weighed.scatter)
    elif many:
        side.workings.note(
            f"{side.name}.shock.loading", "its rows show no spring that gives under more weight"
        )


def _on_link(side: Side, link: str) -> Spot:
    """Note the lower mount on a link; give its place."""
    part = side.read("shock.fraction")
    part = side.put(
        "shock.fraction", "1", "read" if part is not None else "middle", 0.5 if part is None else part
    )
    entries, ends = side.workings.entries, []
    for axis in (0, 1):
        chassis, axle = (entries[f"{side.name}.{link}.{end}.{axis}"].number for end in ("chassis", "axle"))
        ends.append(chassis + part * (axle - chassis))
    return ends[0], ends[1]


def _put_lengths(side: Side, between: Number) -> Number:
    """Note stroke and length, give the length; the sag is known twice, by ruler and by mounts."""
    stroke, sag, full = (
        side.read_or_guess("shock.stroke", "mm"),
        side.read("shock.sag"),
        side.read("shock.extended_length"),
    )
    by_sag = "distance of the mounts + sag"
    if full is not None:
        side.put("shock.extended_length", "mm", "read", full)
        by_mounts = Way("extended_length less the distance of the mounts", full - between)
        side.best("shock.sag", "mm", [way("read", sag), by_mounts])
        return full
    if sag is not None:
        return side.put("shock.extended_length", "mm", by_sag, between + sag)
    guessed = side.guess("shock.sag_share") * stroke
    return side.put("shock.extended_length", "mm", f"{by_sag}, guessed", between + guessed)


def _swung(swing: list[Number], offset: Number) -> Swinging:
    weight, first, last, swings, time = swing
    return damping_by_decay(weight, first, last, swings, time / swings, offset)


def _put_rate(side: Side, weighed: Weighed | None, swung: Swinging | None) -> Number:
    ways = [
        way("slope of weights over travel", weighed.rate if weighed else None),
        way("weight * (2 pi / period)^2", swung.rate if swung else None),
        way("read", side.read("shock.rate")),
    ]
    return side.put_best("shock.springs.0.rate", "N/mm", ways)


def _put_friction(side: Side, weighed: Weighed | None) -> Number:
    gap = None if weighed is None else weighed.friction
    sliding = side.put_best(
        "shock.friction.sliding", "N", [way("half the gap of loading and unloading", gap)]
    )
    hung = side.read("shock.breakaway")
    if hung is None:
        share = side.guess("shock.friction.breakaway_share")
        side.put("shock.friction.breakaway", "N", "guessed share of sliding", sliding * share)
    else:
        side.put("shock.friction.breakaway", "N", "weight * g", hung * GRAVITY)
    return sliding


def _put_damper(side: Side, friction: Number, swung: Swinging | None) -> None:
    """Note both damping rates: by timed moves, else by the decay of a swing, else one from the other."""
    found = {}
    for key, move in (("compression", "sink"), ("rebound", "pull")):
        timed = side.all_read(f"shock.{move}", "weight", "distance", "time")
        if timed is not None:
            found[key] = Way(STEADY, damping_by_timed_move(timed[0], friction, timed[1], timed[2]))
        elif swung is not None:
            found[key] = Way("decay of a swing, friction taken out", swung.damping)
    share = side.guess("shock.damper.rebound_share")
    if "compression" not in found and "rebound" in found:
        found["compression"] = Way("rebound / guessed share", found["rebound"].number / share)
    press = side.put_best("shock.damper.compression", "N*s/m", [found.get("compression")])
    pull = found.get("rebound", Way("compression * guessed share", press * share))
    side.put("shock.damper.rebound", "N*s/m", pull.formula, pull.number)
