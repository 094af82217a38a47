"""Standing facts as a flat table: unit at the end of the key, None where a fact does not exist."""

import math
from collections.abc import Iterator

from simcore.rig.masses import SIDES
from simcore.standing.codes import FirstLimit, Remark, Stops
from simcore.standing.facts import AxleFacts, Standing
from simcore.standing.modes import Mode
from simcore.units import column_factor

Cell = float | str | None
CARRIES = {"rear": ("anti_squat", "squat"), "front": ("anti_lift", "lift")}
BRAKED = {"rear": "anti_lift", "front": "anti_dive"}
DRIVE_NAMES = {"own": "", "rear": "_rear_drive", "front": "_front_drive"}
DRIVE_WORDS = {
    "own": "the rig's own drive, thrust parted as the loads where it stands",
    "rear": "rear drive alone",
    "front": "front drive alone",
}

RIG_MEANING = {
    "rig": "name of the rig",
    "drive": "which axles it drives: all, rear or front",
    "mass_g": "mass of the whole rig",
    "sprung_share_pct": "share of it that the shocks carry: chassis with half of links, shocks and shafts",
    "cg_x_mm": "centre of mass on the bench, forward of the rear axle",
    "cg_height_mm": "likewise, above the table",
    "sprung_cg_x_mm": "centre of the sprung mass on the bench, forward of the rear axle",
    "sprung_cg_height_mm": "its height above the table",
    "pitch_inertia_kgmm2": "moment of inertia of the whole rig about its centre of mass, wheels not turning",
    "slope_deg": "slope that the rig stands on, held by its drag brake; uphill positive",
    "pitch_change_deg": "turn of the chassis against the ground on that slope, nose-up, against the level",
}
AXLE_MEANING = {
    "axle_mass_g": "unsprung mass with wheels, and half of links, shocks and shaft",
    "level_load_N": "load of both tyres on the level",
    "level_load_pct": "share of the weight on the level",
    "weighed_N": "load of both tyres on the level as weighed, by the rig file; empty: not stated",
    "level_less_weighed_N": "load on the level by the masses of the rig file, less that as weighed",
    "load_N": "load of both tyres where the rig stands",
    "load_pct": "share of both axles' load there",
    "sag_mm": "shock travel on the level, compressed from full extension",
    "sag_pct": "likewise, per stroke",
    "preload_N": "force of the springs of one shock at full extension, as stated or as solved so that the "
    "rig holds its ride height; negative: they pull it shorter",
    "preload_mm": "how far the push spring that touches first is compressed there; negative: it is loose by "
    "as much; empty: no push spring",
    "travel_mm": "shock travel where the rig stands",
    "travel_change_mm": "likewise, against the level; positive is further compressed",
    "shocks_stand": "whether the shocks stand bottomed or topped out, as a code",
    "left_to_bump_stop_mm": "shock travel left until the bump stop's rubber touches; negative: pressed in",
    "left_to_compressed_end_mm": "shock travel left to the compressed end of the stroke",
    "left_to_droop_stop_mm": "shock travel left until the droop stop's rubber touches; negative: pressed in",
    "left_to_extended_end_mm": "shock travel left to the extended end of the stroke",
    "motion_ratio": "shortening of the shocks per rise of the wheel, along the path that the links leave",
    "wheel_rate_N_per_mm": "both springs, and stops that touch, at the wheels: k MR^2 + F d2l/dz2",
    "friction_band_N": "change of load at the wheels that both shocks' breakaway friction holds, either way",
    "friction_ride_mm": "how far from its middle the ride height may stay for it, either way",
    "moves_from_m_per_s2": "acceleration on the level at which the shocks break loose from friction, own "
    "drive, wind-up left out; empty: not before the front lifts",
    "moves_from_deg": "slope, climbed at constant speed, at which they break loose, own drive; likewise",
    "instant_centre_x_mm": "where the lines of both links meet, along the ground from below the rear wheel "
    "centre; empty: parallel",
    "instant_centre_z_mm": "likewise, above the ground",
    "path_slope_deg": "slope of the contact's path, and of the line from contact to instant centre; positive "
    "where forward thrust presses the tyres down",
    "thrust_share_pct": "share of the thrust, own drive, parted as the loads are (wind-up left out)",
}
MODE_MEANING = {
    "frequency_Hz": "frequency on the level, held by the drag brake, no damping and no friction",
    "swing_Hz": "the same with the damping; empty: it creeps back and does not swing",
    "damping_pct": "share of critical damping, shock friction left out; 100: it does not swing",
    "share_pct": "how much of the mode's kinetic energy is",
    "moves": "which end moves in it, as a code",
}
LIMIT_MEANING = {
    "tip_back_deg": "slope at which the front tyres lift, rigid rig at constant speed",
    "wheelie_m_per_s2": "acceleration at which the front tyres lift, rigid rig on the level",
    "slip_own_drive_deg": "slope at which the tyres slip at their stated peak grip, own drive, rigid rig; "
    "empty: never",
    "slip_all_drive_deg": "likewise, both axles driven",
    "slip_rear_drive_deg": "likewise, rear drive alone",
    "slip_front_drive_deg": "likewise, front drive alone",
    "first_limit": "which of tipping back and slipping comes first on ever steeper ground, own drive; a code",
    "rolling_overdrive_pct": "how much faster the front tread is driven than the rear one, both tyres loaded",
    "side_load_slope_deg": "slope for which the next two hold, climbed at constant speed: that which the rig "
    "stands on; on the level 30 deg",
    "side_load_N": "load that shaft torque moves from one tyre of an axle to the other, on both axles alike "
    "and against each other, at most; empty unless the rig states track and shafts",
    "side_load_by_springs_N": "likewise, if the springs alone resist roll, shocks as far apart front and "
    "rear; empty: other than springs do",
    "remarks": "what is special, and why facts are empty: codes",
}


def _meanings() -> Iterator[tuple[str, str]]:
    yield from RIG_MEANING.items()
    for axle in SIDES:
        yield from ((f"{axle}_{key}", f"{axle}: {words}") for key, words in AXLE_MEANING.items())
        name, moved = CARRIES[axle]
        for drive, suffix in DRIVE_NAMES.items():
            words = f"share of the {moved} that the {axle} links carry, {DRIVE_WORDS[drive]}"
            yield (
                f"{axle}_{name}{suffix}_pct",
                f"usual formula of {name.replace('_', '-')}, axle mass left out: {words}",
            )
            yield f"{axle}_{name}{suffix}_with_axle_mass_pct", f"axle mass counted: {words}"
        name = BRAKED[axle]
        words = (
            f"{name.replace('_', '-')} under the drag brake, which acts through the same driveline: own drive"
        )
        yield f"{axle}_{name}_braking_pct", f"usual formula of {words}"
        yield f"{axle}_{name}_braking_with_axle_mass_pct", f"axle mass counted: {words}"
    for mode, what in (("pitch", "turning of the chassis"), ("bounce", "rising and falling of the chassis")):
        for key, words in MODE_MEANING.items():
            yield f"{mode}_{key}", f"{mode}: {words}{' ' + what if key == 'share_pct' else ''}"
    yield from LIMIT_MEANING.items()


MEANING = dict(_meanings())
"""Key of a fact and what it means, in the order of the table."""


def _bench(key: str, value: float | None) -> Cell:
    """An SI value in the unit of its key; None if there is none."""
    if value is None or not math.isfinite(value):
        return None
    return float(value) * column_factor(key) + 0.0  # no -0


def table_of(facts: Standing) -> dict[str, Cell]:
    """Every fact of a standing rig in bench units, in the order of `MEANING`."""
    raw: dict[str, Cell] = _rig(facts) | _modes(facts) | _limits(facts)
    for name, axle in zip(SIDES, facts.axles, strict=True):
        raw |= {f"{name}_{key}": value for key, value in (_axle(facts, axle) | _carried(name, axle)).items()}
    kept = {key: raw[key] for key in MEANING}
    return {key: value if isinstance(value, str) else _bench(key, value) for key, value in kept.items()}


def _rig(facts: Standing) -> dict[str, Cell]:
    return {
        "rig": facts.name,
        "drive": facts.drive,
        "mass_g": facts.whole.mass,
        "sprung_share_pct": facts.sprung.mass / facts.whole.mass,
        "cg_x_mm": facts.whole.x,
        "cg_height_mm": facts.whole.z,
        "sprung_cg_x_mm": facts.sprung.x,
        "sprung_cg_height_mm": facts.sprung.z,
        "pitch_inertia_kgmm2": facts.whole.inertia,
        "slope_deg": facts.slope,
        "pitch_change_deg": facts.pitch_change,
    }


def _axle(facts: Standing, axle: AxleFacts) -> dict[str, Cell]:
    shocks, path, centre, wakes = axle.shocks, axle.path, axle.centre, axle.breakaway_onset
    return {
        "axle_mass_g": axle.mass,
        "level_load_N": axle.load_on_level,
        "level_load_pct": axle.load_on_level / sum(each.load_on_level for each in facts.axles),
        "weighed_N": axle.weighed,
        "level_less_weighed_N": None if axle.weighed is None else axle.load_on_level - axle.weighed,
        "load_N": axle.load,
        "load_pct": axle.load / sum(each.load for each in facts.axles),
        "sag_mm": axle.sag,
        "sag_pct": axle.sag / shocks.stroke,
        "preload_N": shocks.preload,
        "preload_mm": shocks.preload_length,
        "travel_mm": shocks.travel,
        "travel_change_mm": shocks.travel - axle.sag,
        "shocks_stand": shocks.stands.name,
        "left_to_bump_stop_mm": shocks.bump_touch,
        "left_to_compressed_end_mm": shocks.bump_end,
        "left_to_droop_stop_mm": shocks.droop_touch,
        "left_to_extended_end_mm": shocks.droop_end,
        "motion_ratio": path.ratio if path else None,
        "wheel_rate_N_per_mm": shocks.wheel_rate,
        "friction_band_N": shocks.friction_band,
        "friction_ride_mm": shocks.friction_ride,
        "moves_from_m_per_s2": wakes.acceleration if wakes else None,
        "moves_from_deg": wakes.slope if wakes else None,
        "instant_centre_x_mm": centre[0] if centre else None,
        "instant_centre_z_mm": centre[1] if centre else None,
        "path_slope_deg": math.atan(path.slope) if path else None,
        "thrust_share_pct": axle.thrust_share,
    }


def _carried(name: str, axle: AxleFacts) -> dict[str, Cell]:
    cells: dict[str, Cell] = {}
    keys = {CARRIES[name][0] + suffix: drive for drive, suffix in DRIVE_NAMES.items()}
    for key, drive in (keys | {f"{BRAKED[name]}_braking": "own"}).items():
        found = axle.carried[drive] if axle.carried else None
        cells[f"{key}_pct"] = found.usual_formula if found else None
        cells[f"{key}_with_axle_mass_pct"] = found.with_axle_mass if found else None
    return cells


def _modes(facts: Standing) -> dict[str, Cell]:
    cells: dict[str, Cell] = {}
    pairs: list[tuple[str, Mode | None]] = [("pitch", facts.modes.pitch), ("bounce", facts.modes.bounce)]
    for name, mode in pairs:
        share = None if mode is None else mode.pitch if name == "pitch" else mode.heave
        values = (mode.frequency, mode.swing, mode.damping, share, mode.moves.name) if mode else (None,) * 5
        cells |= dict(zip((f"{name}_{key}" for key in MODE_MEANING), values, strict=True))
    return cells


def _limits(facts: Standing) -> dict[str, Cell]:
    limits, side = facts.limits, facts.side_load
    tips = limits.tip_back_slope <= limits.slip_slope_own
    return {
        "tip_back_deg": limits.tip_back_slope,
        "wheelie_m_per_s2": limits.wheelie_acceleration,
        "slip_own_drive_deg": limits.slip_slope_own,
        "slip_all_drive_deg": limits.slip_slope_all,
        "slip_rear_drive_deg": limits.slip_slope_rear,
        "slip_front_drive_deg": limits.slip_slope_front,
        "first_limit": (FirstLimit.TIPS_BACK if tips else FirstLimit.SLIPS).name,
        "rolling_overdrive_pct": facts.rolling_overdrive,
        "side_load_slope_deg": side.slope if side else None,
        "side_load_N": side.most if side else None,
        "side_load_by_springs_N": side.by_springs if side else None,
        "remarks": " ".join(remark.name for remark in _remarks(facts)) or None,
    }


def _remarks(facts: Standing) -> Iterator[Remark]:
    for name, axle in zip(SIDES, facts.axles, strict=True):
        said = []
        if axle.path is None:
            said.append("NO_PATH")
        elif axle.centre is None:
            said.append("PARALLEL_LINKS")
        if axle.shocks.stands is not Stops.FREE:
            said.append(axle.shocks.stands.name)
        elif axle.shocks.rate == 0.0:
            said.append("NO_SPRING")
        if axle.shocks.wheel_rate is not None and axle.shocks.wheel_rate <= 0.0:
            said.append("NOT_CENTRED")
        yield from (Remark[f"{name.upper()}_{code}"] for code in said)
    if facts.modes.pitch is None:
        yield Remark.NO_SWING
