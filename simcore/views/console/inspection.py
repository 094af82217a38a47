"""A standing rig on the terminal: what a builder knows beside what holds, then loads, ride and limits."""

from collections.abc import Sequence

from simcore.results.formatting import number
from simcore.results.headlines.standing import side_load_sentence, why_not_usual
from simcore.results.quantities import words
from simcore.rig.torque_twist import missing_keys
from simcore.standing.codes import spelled
from simcore.standing.facts import Standing
from simcore.standing.table import MEANING, Cell
from simcore.studies.inspect import Inspection
from simcore.views.console.layout import Block, Grid, Hint, Line, Names
from simcore.views.console.names import IN_FILES

Facts = dict[str, Cell]
USUAL = {
    "rear anti-squat": ("rear_anti_squat_rear_drive_pct", "rear_anti_squat_with_axle_mass_pct"),
    "front anti-lift": ("front_anti_lift_rear_drive_pct", "front_anti_lift_with_axle_mass_pct"),
    "rear anti-lift, drag brake": (
        "rear_anti_squat_rear_drive_pct",
        "rear_anti_lift_braking_with_axle_mass_pct",
    ),
    "front anti-dive, drag brake": (
        "front_anti_lift_rear_drive_pct",
        "front_anti_dive_braking_with_axle_mass_pct",
    ),
}
"""Usual formula with the rear axle alone at work, under power or brake, and what holds for the rig.

The brake acts through the same driveline, so that links which carry a share under power carry it under brake.
"""
AXLES = {
    "level_load_N": "tyre load on the level",
    "level_load_pct": "share of the load on the level",
    "weighed_N": "tyre load as weighed",
    "level_less_weighed_N": "tyre load by the masses, less as weighed",
    "load_N": "tyre load where it stands",
    "load_pct": "share of the load there",
    "axle_mass_g": "axle with wheels",
    "sag_mm": "sag, from full extension",
    "sag_pct": "sag, share of the stroke",
    "preload_N": "preload, of one shock at full extension",
    "preload_mm": "preload, as travel of its spring",
    "travel_mm": "shock travel where it stands",
    "travel_change_mm": "shock travel less that on the level",
    "shocks_stand": "shocks",
    "left_to_bump_stop_mm": "travel left until it bottoms out",
    "left_to_compressed_end_mm": "travel left to the compressed end",
    "left_to_droop_stop_mm": "travel left until it tops out",
    "left_to_extended_end_mm": "travel left to the extended end",
    "motion_ratio": "motion ratio",
    "wheel_rate_N_per_mm": "wheel rate",
    "friction_band_N": "load that shock friction holds",
    "friction_ride_mm": "ride height may hang, either way",
    "moves_from_m_per_s2": "shocks break loose at, on the level",
    "moves_from_deg": "shocks break loose at a slope of",
    "instant_centre_x_mm": "instant centre, along the ground",
    "instant_centre_z_mm": "instant centre, above the ground",
    "path_slope_deg": "slope of the line to it",
    "thrust_share_pct": "share of the thrust",
}
FEW = (
    *("level_load_N", "weighed_N", "level_less_weighed_N", "load_N", "axle_mass_g", "sag_mm", "preload_N"),
    *(
        "preload_mm",
        "travel_mm",
        "left_to_bump_stop_mm",
        "left_to_droop_stop_mm",
        "wheel_rate_N_per_mm",
        "friction_ride_mm",
        "moves_from_deg",
    ),
)
IF_WEIGHED = ("weighed_N", "level_less_weighed_N")
ON_A_SLOPE = ("load_N", "travel_mm", "pitch_change_deg")  # on the level they say nothing new
OF_RIG = {
    "mass_g": "mass",
    "sprung_share_pct": "sprung share",
    "cg_height_mm": "height of the centre of mass",
    "pitch_change_deg": "pitch against the ground, less that on the level",
    "tip_back_deg": "tips back at a slope of",
    "slip_own_drive_deg": "tyres slip at a slope of",
    "first_limit": "on ever steeper ground it",
    "rolling_overdrive_pct": "overdrive of the tread",
}
STATES = {
    " with axle mass": ", axle mass counted",
    "with axle mass": "axle mass counted",
    "braking": "drag brake",
}
BUILT = {"all": "both axles drive", "rear": "rear drive", "front": "front drive"}


SAID_ELSEWHERE = {"rig", "drive", "slope_deg"}  # in the heads,
SAID_ELSEWHERE |= {"side_load_slope_deg", "side_load_N", "side_load_by_springs_N"}  # in a sentence


def inspection_blocks(result: Inspection, everything: bool) -> list[Block]:
    """Percentages as the trade works them out beside those of this rig, and why they differ; then loads, ride
    heights and limits; or every fact.
    """
    facts, standing = result.facts, result.standing
    blocks: list[Block] = [_percentages(standing, facts)]
    why = why_not_usual(standing)
    blocks += [Line(f"{why}.")] if why else []
    pairs = _every_pair(facts) if everything else _few_pairs(facts)
    paired = {key for pair in _every_pair(facts) for key in pair}
    alone = [key for key in facts if key not in paired and (everything or key in OF_RIG)]
    alone = [key for key in alone if everything or _is_told(facts, key)]
    blocks += [_of_axles(facts, pairs, everything), _of_rig(facts, alone, everything)]
    if not everything:
        remarks = facts["remarks"]
        blocks += [Line(f"{spelled('remarks', str(remarks))}.")] if remarks else []
        side = side_load_sentence(standing, missing_keys(result.scenario.rig))
        blocks += [Line(f"{side}.")] if side else []
        told = (
            {key for pair in (*USUAL.values(), *pairs) for key in pair} | {*alone, "remarks"} | SAID_ELSEWHERE
        )
        blocks.append(Hint(f"{len(set(facts) - told)} more facts: --all shows them"))
    return [one for block in blocks for one in (Line(""), block)][1:]


def _percentages(standing: Standing, facts: Facts) -> Grid:
    where = f"on {_said(facts, 'slope_deg')}" if standing.slope else "on the level"
    columns = [
        ("usual formula, rear drive",),
        (f"this rig {where}: axle mass counted, {BUILT[standing.drive]}",),
    ]
    cells = [[_said(facts, key) for key in keys] for keys in USUAL.values()]
    return Grid((standing.name,), [(name,) for name in USUAL], columns, cells)


def _of_axles(facts: Facts, pairs: Sequence[tuple[str, str]], everything: bool) -> Grid:
    """Facts of both axles side by side."""
    rows = [(_label(rear, front),) for rear, front in pairs]
    columns: list[Names] = [("rear",), ("front",)]
    cells = [[_said(facts, rear), _said(facts, front)] for rear, front in pairs]
    if everything:
        for row, (rear, front) in zip(cells, pairs, strict=True):
            row += [_in_files(rear, front), MEANING[rear].removeprefix("rear: ")]
        columns += [IN_FILES, ("meaning",)]
    return Grid(("axles",), rows, columns, cells)


def _of_rig(facts: Facts, keys: Sequence[str], everything: bool) -> Grid:
    """Facts of the whole rig."""
    rows = [(OF_RIG.get(key, words(key)),) for key in keys]
    if not everything:
        return Grid(("rig",), rows, [("",)], [[_said(facts, key)] for key in keys])
    cells = [[_said(facts, key), key, MEANING[key]] for key in keys]
    return Grid(("rig",), rows, [("value",), IN_FILES, ("meaning",)], cells)


def _few_pairs(facts: Facts) -> list[tuple[str, str]]:
    pairs = [(f"rear_{key}", f"front_{key}") for key in FEW if key not in ON_A_SLOPE or facts["slope_deg"]]
    return [
        pair
        for pair in pairs
        if pair[0].removeprefix("rear_") not in IF_WEIGHED or any(facts[key] is not None for key in pair)
    ]


def _every_pair(facts: Facts) -> list[tuple[str, str]]:
    return [(key, front_key(key)) for key in facts if key.startswith("rear_")]


def _is_told(facts: Facts, key: str) -> bool:
    return facts[key] is not None and (key not in ON_A_SLOPE or bool(facts["slope_deg"]))


def _said(facts: Facts, key: str) -> str:
    value = facts[key]
    return spelled(key, value) if isinstance(value, str) else number(key, value)


def front_key(key: str) -> str:
    """The front's fact that answers to one of the rear: its lift to the squat, its dive to the lift."""
    key = key.replace("rear_", "front_", 1)
    return key.replace("anti_lift", "anti_dive").replace("anti_squat", "anti_lift")


def _label(rear: str, front: str) -> str:
    """One name in words for a fact of both axles."""
    known = AXLES.get(rear.removeprefix("rear_"))
    if known:
        return known
    one, other = (words(key.partition("_")[2]).replace("anti ", "anti-") for key in (rear, front))
    share, _, how = one.partition(" ")
    for word, said in STATES.items():
        how = how.replace(word, said)
    return f"{share} / {other.split()[0]}, {how or 'usual formula'}"


def _in_files(rear: str, front: str) -> str:
    return rear if front == rear.replace("rear_", "front_", 1) else f"{rear} / {front}"
