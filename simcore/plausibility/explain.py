"""Finds the slip that would explain a reading: the likeliest that puts it right and leaves least else out."""

from collections.abc import Iterator

from simcore.files.check import key_path
from simcore.files.steps import Steps
from simcore.plausibility.codes import Code, SlipCode
from simcore.plausibility.look import Looked
from simcore.plausibility.reading import Reading
from simcore.plausibility.record import Slip
from simcore.plausibility.scales import why_not_as_weighed
from simcore.plausibility.slips import Undo, undone

LIKELY = list(SlipCode)
LOOSE = set(LIKELY[LIKELY.index(SlipCode.BOTH_FOR_ONE) :])
"""Slips that fit by chance where many keys are to choose from: not named for a value of the whole rig."""

MOST_EXPLAINED = 16  # readings; a rig with more of them out is of another kind, and no slip explains it

Found = tuple[Reading, Slip | None]


def explained(looked: Looked) -> Iterator[Found]:
    """Every reading that is out, with its slip; those that another one's slip explains are left out."""
    first = looked.out
    if len(first) > MOST_EXPLAINED:
        yield from ((one, None) for one in first)
        return
    values: dict[Steps, float] = {}
    for one in (each for each in first if each.direct):
        best = best_undo(looked, one)
        yield one, _slip(best, one)
        values |= best.values if best else {}
    mended = (looked.changed(values) if values else None) or looked
    yield from _that_follow(looked, mended if mended.bench or not looked.bench else looked)


def _that_follow(first: Looked, mended: Looked) -> Iterator[Found]:
    """Readings of several keys that are out and stay so when others are put right, one after the other."""
    open_ones = {(one.code, one.key) for one in first.out if not one.direct}
    while left := [one for one in mended.out if (one.code, one.key) in open_ones]:
        one = left[0]
        open_ones.remove((one.code, one.key))
        if one.code is Code.AXLE_LOAD:
            slip = why_not_as_weighed(mended)
            yield one, slip
            if slip is not None:  # of both axles
                open_ones -= {(each.code, each.key) for each in left if each.code is Code.AXLE_LOAD}
            continue
        best = best_undo(mended, one)
        yield one, _slip(best, one)
        mended = (mended.changed(best.values) if best else None) or mended


def best_undo(looked: Looked, reading: Reading) -> Undo | None:
    """The slip that undone puts a reading right, leaves least else out, and puts nothing new out."""
    before = {(one.code, one.key) for one in looked.out}
    every = [undo for key in reading.suspects for undo in undone(looked.scenario.rig, key)]
    if not reading.key:
        every = [undo for undo in every if undo.code not in LOOSE]
    best, least = None, len(before) + 1
    for undo in sorted(every, key=lambda undo: LIKELY.index(undo.code)):  # stable: of a kind in their order
        if not looked.mended_in_file(reading, undo.values):
            continue
        after = looked.changed(undo.values)
        if after is None or not after.mends(reading) or (looked.bench and not after.bench):
            continue
        out = {(one.code, one.key) for one in after.out}
        if len(out) < least and (reading.direct or not out - before):
            best, least = undo, len(out)
        if not out:
            break
    return best


def _slip(undo: Undo | None, reading: Reading) -> Slip | None:
    return None if undo is None else Slip(undo.code, key_path(undo.key), undo.said(reading.key))
