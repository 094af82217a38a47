"""Why a rig does not weigh what its file says: the one mass or place that would make both axles agree."""

from collections.abc import Iterator
from dataclasses import dataclass

from simcore.compiled import FRONT
from simcore.files.check import key_path
from simcore.files.steps import Steps
from simcore.plausibility.bench import Bench
from simcore.plausibility.codes import SlipCode
from simcore.plausibility.look import Looked
from simcore.plausibility.masses import mass_keys
from simcore.plausibility.record import Slip
from simcore.plausibility.slips import undone, value_at
from simcore.plausibility.weighed import place_keys
from simcore.rig.masses import SIDES
from simcore.units import GRAVITY, to_bench

EXACT = 0.004  # of an axle's load: what a kitchen scale shows, and a millimetre of the heaviest part
MOST_NAMED = 3
NEAR = 0.02  # of a mass: nearer than this to what a slip would make of it, it is that slip


@dataclass(frozen=True)
class Fit:
    """A number by which both axles would weigh as measured.

    Attributes
    ----------
    known : whether a known slip makes it so
    worst : largest difference of an axle's load, per load
    slip : as it is said
    """

    known: bool
    worst: float
    slip: Slip


def why_not_as_weighed(looked: Looked) -> Slip | None:
    """What would make both axles weigh as measured; None unless both were and one thing may be to blame.

    Both weights give mass and place of what the file lacks: ``m = W_r + W_f``, ``m x = W_f L``. A key is to
    blame if, changed by that mass, it makes both loads right within `EXACT` and puts nothing out of custom.
    """
    bench = looked.bench
    if bench is None or bench.rig.weighed.rear is None or bench.rig.weighed.front is None:
        return None
    gaps = {name: getattr(bench.rig.weighed, name) - load / GRAVITY for name, load in _loads(bench)}
    lack = sum(gaps.values())
    fits = [*_moved(looked), *_weighed_anew(looked, lack)]
    fits.sort(key=lambda fit: (not fit.known, fit.worst))
    grams = f"{to_bench(abs(lack), 'g'):.3g} g {'missing' if lack > 0.0 else 'too much'} in the file"
    if fits:
        best = fits[0].slip  # scales cannot tell masses at the same place from one another
        others = " or ".join(fit.slip.words for fit in fits[:MOST_NAMED])
        return best if fits[0].known else Slip(best.code, best.key, f"{grams}: {others}?")
    if abs(lack) < EXACT * bench.pose.whole.mass:
        return None
    x = gaps[SIDES[FRONT]] * bench.rig.wheelbase / lack
    where = f"{grams}, about x = {to_bench(x, 'mm'):.0f} mm"
    if lack > 0.0:
        return Slip(SlipCode.MISSING_MASS, "", f"{where}: a part left out?")
    return Slip(SlipCode.EXTRA_MASS, "", f"{where}: a part stated twice?")


def _loads(bench: Bench) -> Iterator[tuple[str, float]]:
    return zip(SIDES, bench.pose.loads, strict=True)


def _fits(looked: Looked, values: dict[Steps, float]) -> float | None:
    """Largest difference of an axle's load with other numbers, per load; None if they do not fit."""
    after = looked.changed(values)
    if after is None or after.bench is None:
        return None
    before = {(one.code, one.key) for one in looked.out}
    if any((one.code, one.key) not in before for one in after.out):
        return None
    weighed = after.bench.rig.weighed
    worst = max(abs(load / GRAVITY / getattr(weighed, name) - 1.0) for name, load in _loads(after.bench))
    return worst if worst <= EXACT else None


def _moved(looked: Looked) -> Iterator[Fit]:
    """Places that a slip has moved."""
    for key in place_keys(looked.scenario.rig):
        for undo in undone(looked.scenario.rig, key):
            worst = _fits(looked, dict(undo.values))
            if worst is not None:
                yield Fit(True, worst, Slip(undo.code, key_path(key), undo.said(())))


def _weighed_anew(looked: Looked, lack: float) -> Iterator[Fit]:
    """Masses that may be what the file lacks."""
    rig = looked.scenario.rig
    for key, pieces in mass_keys(rig):
        mass = value_at(rig, key)
        meant = None if mass is None else to_bench(mass + lack / pieces, "g")
        if meant is None or meant <= 0.0:
            continue
        worst = _fits(looked, {key: meant})
        if worst is None:
            continue
        name = key_path(key)
        near = (undo for undo in undone(rig, key) if abs(undo.values[key] / meant - 1.0) < NEAR)
        known = next((undo for undo in near if undo.code is not SlipCode.TEN_TIMES), None)
        if known is not None:
            yield Fit(True, worst, Slip(known.code, name, known.said(())))
            continue
        code = SlipCode.MISSING_MASS if lack > 0.0 else SlipCode.EXTRA_MASS
        yield Fit(False, worst, Slip(code, name, f"{name} of {meant:.4g} g"))
