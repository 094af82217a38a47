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
from simcore.readings.uncertain import Number, error_of, value_of
from simcore.readings.workings import DISAGREES, Spot, Way, distance, said, way
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


LET_DOWN = 0.1
"""Share by which the friction that weights show may differ from sliding friction. By the seal law of this
program a shock let down within 0.3 to 1 s shows 0.96 to 1.05 of it, let down in 3 s its breakaway."""
HALF_SWING = 0.1
"""Share by which half a swing, in which compression and rebound count unevenly, may differ from their mean:
worked out for rebound up to half as much again as compression and a third of critical damping."""
STEADY = "(weight * g - friction) * time / distance"


def put_shock(side: Side, hub: Number) -> ShockFound:
    """Note mounts, lengths, spring, friction and damping.

    Parameters
    ----------
    side : the axle
    hub : height of its centre over the table, m
    """
    stroke = side.read_or_guess("shock.stroke", "mm")
    sag, full = side.read("shock.sag"), side.read("shock.extended_length")
    stands = side.guess("shock.sag_share") * stroke if sag is None else sag
    between = distance(*_put_mounts(side, hub, None if full is None else full - stands))
    known = Way("read" if sag is not None else "guess", stands)
    full = _put_length(side, between, full, known, stroke, _mounts_read(side))
    side.read_or_guess("shock.mass", "g")
    weighed = spring_by_weights(side.rows("shock.loading"), side.rows("shock.unloading"))
    _note_rows(side, weighed)
    swing = side.all_read("shock.decay", "weight", "first", "last", "swings", "time")
    friction = _put_friction(side, weighed)
    rate = _put_rate(side, weighed, swing, friction)
    _put_damper(side, friction, _damped(side, swing, friction / rate))
    return ShockFound(weighed, full - between)


def _put_mounts(side: Side, hub: Number, apart: Number | None) -> tuple[Spot, Spot]:
    """Note both mounts; give them.

    A guessed one stands in the direction of the guess, where the shock has the length that it stands at.

    Parameters
    ----------
    side, hub : as for `put_shock`
    apart : that length, m; None if it is not known
    """
    x = side.inboard(side.guess("shock.chassis_inboard_share") * side.wheelbase)
    top: Spot = (x, side.guess("shock.chassis_height"))
    low: Spot = (side.inboard(side.guess("shock.axle_inboard")), hub + side.guess("shock.axle_above_hub"))
    read = {end: side.workings.place(f"{side.name}.shock.{end}") for end in ("chassis", "axle")}
    link = side.lines.shock.link
    low = low if read["axle"] is None else (read["axle"][0].number, read["axle"][1].number)
    low = low if link is None else _on_link(side, f"{link}_link")
    if read["chassis"] is None and apart is not None:
        top = _towards(low, top, apart)
    top = side.place("shock.chassis", top)
    if link is None:
        if read["axle"] is None and read["chassis"] is not None and apart is not None:
            low = _towards(top, low, apart)
        low = side.place("shock.axle", low)
    return top, low


def _mounts_read(side: Side) -> bool:
    """Whether both mounts were read, by ruler or photograph, or one of them is on a link."""
    ends = ["chassis"] if side.lines.shock.link is not None else ["chassis", "axle"]
    return all(side.workings.place(f"{side.name}.shock.{end}") is not None for end in ends)


def _towards(one: Spot, other: Spot, apart: Number) -> Spot:
    """The place that lies so far from one place in the direction of another."""
    part = apart / distance(one, other)
    return one[0] + part * (other[0] - one[0]), one[1] + part * (other[1] - one[1])


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


def _put_length(
    side: Side, between: Number, full: Number | None, sag: Way, stroke: Number, mounts_read: bool
) -> Number:
    """Note the length at full extension, give it; the sag is known twice, by ruler and by mounts.

    Parameters
    ----------
    side : the axle
    between : distance of the mounts, m
    full : as read, m
    sag : as read or guessed
    stroke : m
    mounts_read : whether their places do not follow from the sag itself
    """
    by_sag = "distance of the mounts + sag"
    if full is None:
        formula = by_sag if sag.formula == "read" else f"{by_sag}, guessed"
        return side.put("shock.extended_length", "mm", formula, between + sag.number)
    if sag.formula == "read" and mounts_read:
        by_mounts = Way("extended_length less the distance of the mounts", full - between)
        side.best("shock.sag", "mm", [sag, by_mounts])
    # The mounts may lie past either end of the stroke by the errors of the ruler, but not in a rig.
    for beyond, sign in ((between - full, 1.0), (full - stroke - between, -1.0)):
        over = value_of(beyond)
        if 0.0 < over <= DISAGREES * error_of(beyond):
            full = full + sign * over
    return side.put("shock.extended_length", "mm", "read", full)


def _swung(swing: list[Number], offset: Number) -> Swinging:
    """What a swing shows, friction over rate being known."""
    weight, first, last, swings, time = swing
    return damping_by_decay(weight, first, last, swings, time / swings, 2.0 * offset)


def _put_rate(side: Side, weighed: Weighed | None, swing: list[Number] | None, friction: Number) -> Number:
    """Note the rate of the spring."""
    ways = [
        way("slope of weights over travel", weighed.rate if weighed else None),
        way("read", side.read("shock.rate")),
    ]
    known = [one.number for one in ways if one is not None]
    if swing is not None:
        rough = known[0] if known else _swung(swing, 0.0).rate
        ways.append(way("weight * (2 pi / period)^2, oil taken out", _swung(swing, friction / rough).rate))
    return side.put_best("shock.springs.0.rate", "N/mm", ways)


def _put_friction(side: Side, weighed: Weighed | None) -> Number:
    """Note sliding and breakaway friction; give the first."""
    gap, hung = _gap(side, weighed), side.read("shock.breakaway")
    share = side.guess("shock.friction.breakaway_share")
    if hung is None:
        sliding = side.put_best("shock.friction.sliding", "N", [gap])
        side.put("shock.friction.breakaway", "N", "guessed share of sliding", sliding * share)
        return sliding
    most = Way("weight * g", hung * GRAVITY)
    if gap is None:
        sliding = side.put("shock.friction.sliding", "N", "breakaway / guessed share", most.number / share)
    else:
        below = side.not_above("shock.friction.sliding", "N", gap, most)
        sliding = side.put("shock.friction.sliding", "N", gap.formula, below)
    side.put("shock.friction.breakaway", "N", most.formula, most.number)
    return sliding


def _gap(side: Side, weighed: Weighed | None) -> Way | None:
    """Friction by weights, not below nothing.

    Raises
    ------
    InputError
        When the shock is pushed in further while it is loaded than while it is unloaded.
    """
    if weighed is None or weighed.friction is None:
        return None
    found, value = weighed.friction, value_of(weighed.friction)
    if value < 0.0 and -value > DISAGREES * error_of(found):
        got = f"a shock {2e3 * -value / value_of(weighed.rate):.2g} mm further out than while it is loaded"
        raise side.workings.refuse(f"{side.name}.shock.unloading", got, "further in: friction holds it there")
    down = side.workings.assumed(f"{side.name}.shock.loading let down gently", LET_DOWN)
    return Way("half the gap of loading and unloading", (found - min(value, 0.0)) * down)


def _damped(side: Side, swing: list[Number] | None, offset: Number) -> Number | None:
    """Damping by a swing, the mean of both ways; None where friction alone would stop it as soon.

    Parameters
    ----------
    side : the axle
    swing : weight, first and last way from turn to turn, swings, time
    offset : friction over rate, m
    """
    if swing is None:
        return None
    _, first, last, swings, _ = swing
    half = value_of(swings) % 1.0 != 0.0
    tag = f"{side.name}.shock.decay of half a swing"
    rough = side.workings.assumed(tag, HALF_SWING) if half else 1.0
    left = first - 8.0 * swings * offset - last
    if value_of(left) < -DISAGREES * error_of(left):
        text = f"friction alone would leave {said(first - 8.0 * swings * offset, 'mm')} of it"
        side.workings.note(f"{side.name}.shock.decay.last", f"{said(last, 'mm')} (read), but {text}")
    return rough * _swung(swing, offset).damping if value_of(left) > error_of(left) else None


def _put_damper(side: Side, friction: Number, mean: Number | None) -> None:
    """Note both damping rates: by timed moves; what these leave of the mean of a swing; else by a guess."""
    found: dict[str, Way] = {}
    for key, move in (("compression", "sink"), ("rebound", "pull")):
        timed = side.all_read(f"shock.{move}", "weight", "distance", "time")
        if timed is not None:
            found[key] = Way(STEADY, damping_by_timed_move(timed[0], friction, timed[1], timed[2]))
    if mean is not None and len(found) == 2:
        both = Way("half of sink and pull", 0.5 * (found["compression"].number + found["rebound"].number))
        side.best("shock.decay", "N*s/m", [Way("decay of a swing", mean), both])
    share = side.guess("shock.damper.rebound_share")
    if mean is not None:
        for key, other in (("compression", "rebound"), ("rebound", "compression")):
            if key not in found and other in found:
                found[key] = Way(f"2 * decay of a swing - {other}", 2.0 * mean - found[other].number)
    if mean is not None and not found:
        found["compression"] = Way("decay of a swing, parted by a guess", 2.0 * mean / (1.0 + share))
    elif "compression" not in found and "rebound" in found:
        found["compression"] = Way("rebound / guessed share", found["rebound"].number / share)
    press = side.put_best("shock.damper.compression", "N*s/m", [found.get("compression")])
    pull = found.get("rebound", Way("compression * guessed share", press * share))
    side.put("shock.damper.rebound", "N*s/m", pull.formula, pull.number)
