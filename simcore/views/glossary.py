"""What the terms mean: as this program uses them, and how the trade does where that is something else."""

from typing import NamedTuple


class Term(NamedTuple):
    """One term.

    Attributes
    ----------
    word : the term
    meaning : what it means here
    trade : what else builders or textbooks mean by it; empty where it is the same. Usage of the trade is common
        practice, no source
    """

    word: str
    meaning: str
    trade: str = ""


WORDS = (
    Term("squat, lift, dive", "Squat: an end goes down, its shocks compressed further than standing. Lift: an end comes up. Dive: the nose goes down."),
    Term("thrust", "The pull of the tyres along the ground, driving forward positive.", "Pull, drive, forward bite."),
    Term("anti-squat", "How much of the load that thrust moves onto the rear tyres goes through the rear links, so that the shocks need not carry it. 0 %: the shocks carry all of it; 100 % (axle mass counted): the rear neither squats nor rises; above: it rises; below 0: the links pull it down.", "Mostly the number of a link calculator: usual formula, rear drive."),
    Term("anti-lift", "The same of the front under power: how much of the load that leaves the front tyres the front links hold, so that the nose stays down. Under the drag brake it is the rear that lifts, and its links that hold it."),
    Term("anti-dive", "The same of the front under the drag brake."),
    Term("instant centre", "Where the lines of an axle's two links meet in side view; far away or nowhere when they are (nearly) parallel. Thrust works along the line from the tyre's contact to it."),
    Term("usual formula", "Anti-squat as calculators give it: slope of the line from contact to instant centre, divided by (height of the centre of mass / wheelbase), times the axle's share of the thrust. The mass of the axle is left out.", "With all of the thrust at the rear axle, also for rigs that drive both."),
    Term("axle mass counted", "The same percentage with what it takes to push the axle itself: a heavy axle keeps part of the thrust. It is this share that decides whether an end stays level.", "Left out: little on a car, much where axles and wheels are most of the rig."),
    Term("support", "The force with which the links hold an end up (front: down) because of thrust, at the tyre; the load that it is a share of is the demand. \"Links hold it\": they take the change and the shock stays put. \"Moves the shock\": it shows in travel. \"Friction holds it\": the shock sticks."),
    Term("bottomed out, topped out", "The shock lies on its stop: fully compressed, fully extended.", "The same."),
    Term("compressed, extended", "The two ends of shock travel; travel counts from full extension.", "\"Droop\" means both: in engineering the way a wheel drops out (extended); in this trade \"full droop\" often is a shock drawn down to fully *compressed*, and a \"droop set-up\" one whose springs pull it in. Here it stands only in names of files (`droop_stop`: the one at the extended end)."),
    Term("sag", "Shock travel from full extension at which the rig stands on the level."),
    Term("preload", "How far a spring is pressed together when the shock is fully extended; here it follows from the ride height.", "Turns or millimetres of the collar."),
    Term("breakaway", "Friction of the seals that must be overcome before a standing shock moves. \"Shocks break loose at\" a slope or an acceleration: where the change of load first overcomes it.", "Stiction, sticky shocks."),
    Term("motion ratio, wheel rate", "Shortening of the shock per rise of the wheel; what both springs are at the wheels because of it.", "Motion ratio is also given the other way round."),
    Term("overdrive", "How much faster the front wheels are geared than the rear ones, in percent.", "Also \"underdrive\", when the rear is geared down."),
    Term("wind-up", "Twist of the driveline between axles that pull against one another.", "Bind."),
    Term("drag brake", "Brake of the motor as soon as nothing is asked of it; it acts through the same driveline as the throttle.", "Its strength is a percentage of the speed control."),
    Term("torque twist", "The chassis leans to one side under the torque of the shafts: across this plane, so it is not computed.", "The same."),
    Term("slip, spin", "Slip: tread speed less ground speed, by the larger of both; 100 %: the wheel turns on the spot. Spin: slip above 30 %."),
    Term("sprung share", "Share of the mass that the shocks carry: chassis, and half of links, shocks and shafts.", "\"Sprung to unsprung\" as a ratio."),
    Term("pitch", "Turn of the chassis, nose-up positive, against the ground on which the run starts. This is the sense of SAE J670e; ISO 8855 counts nose-down positive."),
    Term("load in grams", "A force as the weight that a scale would show: 1 N is 102 g. On screen and in pictures; files keep N.", "Scales under the tyres."),
    Term("high-centred", "The chassis hangs on its skids and the wheels turn without getting on."),
    Term("ran full time", "The run ended because its time was over, and for no other reason."),
    Term("self-check", "Every run audits itself: momentum, energy, link lengths and load accounts must close. In files it is called `audit`. If it fails, do not use the run."),
)  # fmt: skip


def glossary() -> str:
    """Give the terms as a section of a page, Markdown."""
    lines = [
        "## Words\n",
        "As they are used here, and by the trade or in textbooks where that differs (usage of the trade: common practice, no source).\n",
        "| term | what it means here | elsewhere |",
        "| --- | --- | --- |",
        *(f"| {term.word} | {term.meaning} | {term.trade} |" for term in WORDS),
    ]
    return "\n".join(lines) + "\n"
