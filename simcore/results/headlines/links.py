"""Which links push on their axles and which pull, in one sentence."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from simcore.results.formatting import in_text
from simcore.results.free_body import Force, FreeBody, Part
from simcore.units import GRAMS

Bodies = Mapping[str, FreeBody]
IDLE = 10.0  # g, pins with less are said to do next to nothing
SEEN = 1.0  # g, smaller differences of load are none
LINKS = (Part.LOWER, Part.UPPER)


def grams(newtons: float) -> str:
    """A force as a builder weighs it."""
    return in_text("force_g", newtons * GRAMS)


def doing(force: Force) -> str:
    """Whether a part pushes on its axle or pulls at it; empty where it can do neither or next to nothing."""
    push = force.push * GRAMS
    if abs(push) < IDLE:
        return ""
    verb = "push" if push > 0.0 else "pull"
    return verb if force.part is Part.SHOCK else {"push": "pushes", "pull": "pulls"}[verb]


def does(force: Force) -> str:
    """The same with the force."""
    if force.part is Part.ARM:
        return f"{force.part.value} {grams(force.size)}"
    what = doing(force)
    along = f"{what} {grams(abs(force.push))}" if what else "idle"
    if (force.size - abs(force.push)) * GRAMS > IDLE:  # shocks stand on the link
        return f"{force.part.value} {grams(force.size)} (along it: {along})"
    return f"{force.part.value} {along}"


def links_of_run(axles: Bodies) -> str:
    """What the links of both axles do in a run, by the names of the axles."""
    return "; ".join(f"{name}: {', '.join(_located(body))}" for name, body in axles.items())


def _located(body: FreeBody) -> list[str]:
    return [does(force) for force in body.forces if force.part in (*LINKS, Part.ARM)]


def axle_apart(cases: Mapping[str, Bodies]) -> str:
    """The axle whose pin forces differ most between cases; the rear one of equals."""

    def spread(axle: str) -> float:
        ranges = [0.0]
        for part in (*LINKS, Part.ARM):
            pushes = [f.push or f.size for f in (axles[axle].of(part) for axles in cases.values()) if f]
            ranges.append(max(pushes) - min(pushes) if pushes else 0.0)
        return max(ranges)

    return max(("rear", "front"), key=lambda axle: round(spread(axle) * GRAMS))


def links_of_cases(cases: Mapping[str, Bodies], axle: str) -> str:
    """Which links of an axle push and which pull in several cases, how hard, and what that leaves in front.

    Of steady motions where there are two or more: forces at different instants of others have no common
    range.

    Parameters
    ----------
    cases : both axles by the name of the case
    axle : whose links
    """
    steady = {name: axles for name, axles in cases.items() if axles[axle].when.settled}
    told = steady if len(steady) > 1 else cases
    bodies = {name: axles[axle] for name, axles in told.items()}
    clauses = [clause for part in LINKS if (clause := _across(bodies, part))]
    most = [clause.most for clause in clauses]
    if not clauses:
        return ""
    if len(set(most)) == 1:
        text = ", ".join(clause.words for clause in clauses) + (f', most with "{most[0]}"' if most[0] else "")
    else:
        text = ", ".join(
            clause.words + (f' (most with "{clause.most}")' if clause.most else "") for clause in clauses
        )
    text = f"every {axle} {text.removeprefix('every ')}" if text.startswith("every") else f"{axle} {text}"
    if told is steady:
        loads = [force.size for axles in told.values() if (force := axles["front"].of(Part.LOAD))]
        apart = max(loads) - min(loads)
        text += f"; front load {f'differs by {grams(apart)}' if apart * GRAMS >= SEEN else 'the same'}"
    if len(told) < len(cases):
        text = f"with the {len(told)} of {len(cases)} that run steadily at the end {text}"
    return text[:1].upper() + text[1:]


@dataclass(frozen=True)
class _Clause:
    """What a link does in all cases, and in which case most; empty where it does the same in all."""

    words: str
    most: str


def _across(bodies: Bodies, part: Part) -> _Clause | None:
    found = {name: force for name, body in bodies.items() if (force := body.of(part)) is not None}
    if not found:
        return None
    by: dict[str, list[str]] = {}
    for name, force in found.items():
        by.setdefault(doing(force) or "idles", []).append(name)
    sizes = {name: abs(force.push) for name, force in found.items()}
    low, high = grams(min(sizes.values())), grams(max(sizes.values()))
    most = "" if low == high else max(sizes, key=lambda name: sizes[name])
    if len(by) > 1:
        return _Clause(f"{part.value} {_listed(by, len(found))} (up to {high})", most)
    (what,) = by
    if what == "idles":
        return _Clause(f"every {part.value} idles", "")
    much = low if low == high else f"{low.removesuffix(' g')} to {high}"
    return _Clause(f"every {part.value} {what} ({much})", most)


def _listed(by: Mapping[str, Sequence[str]], of_all: int) -> str:
    return ", ".join(f"{what} {_in(names, of_all)}" for what, names in by.items())


def _in(names: Sequence[str], of_all: int) -> str:
    return f'with "{names[0]}"' if len(names) == 1 else f"in {len(names)} of {of_all}"
