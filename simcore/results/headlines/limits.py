"""Which case climbs steepest and why it ends there, in one sentence."""

import pandas as pd

SHARP_WITHIN = 0.1  # deg, what the search resolves; less is no difference


def is_sharp(climbs: float | None, fails: float | None, gap: bool) -> bool:
    """Whether the slope climbed and the one that is not lie next to one another.

    Parameters
    ----------
    climbs, fails : steepest slope climbed and least one that is not, deg; None where there is none
    gap : whether some slopes gave no answer
    """
    if not gap:
        return True
    return fails is not None and fails - (climbs or 0.0) <= 1.001 * SHARP_WITHIN


def limits_headline(table: pd.DataFrame) -> str:
    """One sentence that says which case climbs steepest, how far it is from the base, and why it ends there.

    Parameters
    ----------
    table : one row a case, the base first; columns as in `simcore.studies.limit.MEANING`
    """
    hidden = [str(case) for case, row in table.iterrows() if in_gap(row)]
    if len(hidden) == len(table) > 1:
        return "Not known for any case: runs near the limit gave no answer"
    if hidden and len(table) > 1:
        rest = limits_headline(table.drop(index=hidden))
        return f"{rest}. Not known for {', '.join(hidden)}: runs near the limit gave no answer"
    if len(table) == 1:
        return _alone(table.iloc[0])
    climbed = table["climbs_deg"]
    known = climbed.fillna(-SHARP_WITHIN)  # to fail on the level is worse than to climb no more than it
    base, best, worst = table.index[0], known.idxmax(), known.idxmin()
    if max(known[best] - known[base], known[base] - known[worst]) < SHARP_WITHIN:
        same = "fails on the level" if pd.isna(climbed[base]) else f"climbs {climbed[base]:.1f}°"
        alike = len(set(zip(table["reason"], table["cause"], strict=True))) == 1
        return f"No difference: every case {same}" + (f": {table['why'].iloc[0]}" if alike else "")
    raised = known[best] - known[base] >= SHARP_WITHIN
    high, low = (best, base) if raised else (base, worst)
    ends = f". Both end alike: {table['why'][high]}"
    why = dict.fromkeys((high, low), "")
    if any(table[key][high] != table[key][low] for key in ("reason", "cause")):
        why, ends = {case: _in_brackets(table.loc[case]) for case in why}, ""
    text = f"{capitalised(high)} climbs {climbed[high]:.1f}°{why[high]}"
    if pd.isna(climbed[low]):
        return f"{text}; {low} fails on the level{why[low]}{ends}"
    apart = f"{climbed[high] - climbed[low]:.1f}°"
    return f"{text}, {f'{apart} more than {low}' if raised else f'{low} {apart} less'}{why[low]}{ends}"


def _in_brackets(row: pd.Series) -> str:
    return f" ({'' if pd.isna(row['climbs_deg']) else 'steeper: '}{row['why']})"


def in_gap(row: pd.Series) -> bool:
    """Whether the limit of a case lies in a gap without answers."""
    climbs, fails = (None if pd.isna(row[key]) else float(row[key]) for key in ("climbs_deg", "fails_deg"))
    return not is_sharp(climbs, fails, gap=pd.notna(row["unknown_from_deg"]))


def _alone(row: pd.Series) -> str:
    if in_gap(row):
        low = (
            "Not known from the level on"
            if pd.isna(row["climbs_deg"])
            else f"Climbs {row['climbs_deg']:.1f}°"
        )
        high = "" if pd.isna(row["fails_deg"]) else f", fails at {row['fails_deg']:.1f}° ({row['why']})"
        return f"{low}{high}; between them runs gave no answer" if high else f"{low}; steeper is not known"
    if pd.isna(row["climbs_deg"]):
        return f"Fails on the level: {row['why']}"
    if pd.isna(row["fails_deg"]):
        return capitalised(row["why"])
    return f"Climbs {row['climbs_deg']:.1f}°. Steeper: {row['why']}"


def capitalised(text: object) -> str:
    """Text with a capital first letter; the rest as the user wrote it."""
    return str(text)[:1].upper() + str(text)[1:]
