"""What is known of a measured rig, in one sentence."""

from simcore.readings.derive import Derived
from simcore.readings.workings import Origin, said


def measured_headline(derived: Derived) -> str:
    """Mass and centre of the whole rig, and how much of it was measured."""
    whole, name = derived.whole, derived.worksheet.name
    count = derived.counts
    total = sum(count.values())
    guessed, in_part = count[Origin.GUESS], count[Origin.GUESSED_IN_PART]
    known = total - guessed - in_part
    text = (
        f"{name} weighs {said(whole.mass, 'g')}, its centre {said(whole.x, 'mm')} ahead of the rear axle and "
        f"{said(whole.z, 'mm')} high; {known} of {total} values are measured"
    )
    if not (guessed or in_part):
        return text
    return f"{text}, {guessed} are guesses" + (f", {in_part} hang on guesses" if in_part else "")
