"""What the links of a standing rig carry, in one sentence."""

from simcore.standing.facts import AxleFacts, Standing

ENDS = (("rear", "squat"), ("front", "lift"))


def standing_clauses(facts: Standing) -> list[str]:
    """What the links of the rear and of the front axle carry, axle mass counted."""
    shares = [_share(axle) for axle in facts.axles]
    alike = all(
        share is not None and share >= 0 and len(axle.pins) > 1
        for share, axle in zip(shares, facts.axles, strict=True)
    )
    clauses = [
        _clause(end, moved, axle, share, verb=k == 0 or not alike)
        for k, ((end, moved), axle, share) in enumerate(zip(ENDS, facts.axles, shares, strict=True))
    ]
    return [clauses[0][0].upper() + clauses[0][1:], *clauses[1:]]


def standing_headline(facts: Standing) -> str:
    """The clauses of both axles as one sentence."""
    return ", ".join(standing_clauses(facts))


def _share(axle: AxleFacts) -> int | None:
    """Percent of the change of load that the links carry; None where they leave no path."""
    return None if axle.carried is None else round(100.0 * axle.carried["own"].with_axle_mass)


def _clause(end: str, moved: str, axle: AxleFacts, share: int | None, verb: bool) -> str:
    """One axle's clause; the second of two alike goes without its verb."""
    who, carry, add = ("arm", "carries", "adds") if len(axle.pins) == 1 else ("links", "carry", "add")
    if share is None:
        return f"{end} {who} can only move along the ground"
    if share < 0:
        return f"{end} {who} {add} {-share} % to the {moved}"
    how_much = f"{share} %" if share else "none"
    return f"{end} {who}{f' {carry}' if verb else ''} {how_much} of the {moved}"
