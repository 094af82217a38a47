"""The front load budget: where the load of the front tyres comes from, at every instant.

Moments of the whole rig about the point where the rear thrust acts, divided by the wheelbase on the bench.
Every term is worked out by itself from places and accelerations; that they add up to the tyre law's load is
a check, not a definition.
"""

import numpy as np
import numpy.typing as npt

from simcore.accounts.stance import Stance, bodies, cross, dot, normal_to, skid_forces, vector
from simcore.solve.trace import Trace, once

Series = npt.NDArray[np.float64]
TERMS = ("level", "slope", "acceleration", "inertia", "cg_shift", "contact_shift", "skid")


def _spin_and_pitch(trace: Trace) -> Series:
    """Rate of angular momentum about the whole centre of mass, N*m: bodies that turn and move against one
    another, and wheels that spin up (forward spin is nose-down).
    """
    cg, rate = Stance(trace).cg, np.zeros(len(trace.times))
    for mass, inertia, place, pushed, turned in bodies(trace):
        rate = rate + cross(place - cg, mass * pushed) + inertia * turned
    for i in range(2):
        rate = rate - trace.model.rig.axle[i].spin_inertia * trace.part(i, "spin_acceleration")
    return np.asarray(rate)


@once
def front_budget(trace: Trace) -> dict[str, Series]:
    """Terms of the front tyres' load, N, each (n,); their sum is the load.

    Each is a moment over the wheelbase b on the bench. M is the mass of the rig, a the acceleration of its
    centre of mass, f = M (a + g) what it feels; t and n run along and across the line l from the rear to the
    front contact, whose slope is th; x0 and h0 are the bench's lever of the centre of mass, s the distance of
    the wheel centres now. ``u x v`` is the plane's cross product.

    - level: standing on the level, ``M g x0``.
    - slope: the same, tilted, ``M g (x0 (cos th - 1) - h0 sin th)``.
    - acceleration: at the bench's lever, ``M (x0 a.n - h0 a.t)``.
    - inertia: turning of bodies, and wheels spinning up, ``dL/dt`` about the centre of mass.
    - cg_shift: the centre of mass has moved by d against the wheels, or the wheels against one another,
      ``d x f + N_f (b - s)``. Only this term knows about links and springs.
    - contact_shift: deflection of the tyres and ground that is not one straight line,
      ``(r - x0 t - h0 n) x f + N_f (s - l x n_f) - F_f (l x t_f)`` less rolling moments; r is the bench's
      lever from the rear contact to the unshifted centre of mass, F_f, N_f, t_f, n_f are of the front tyres.
    - skid: load taken over by the skids, ``-sum (p - c_r) x F``, p where a skid's force F acts, c_r the rear
      contact.
    """
    here, bench, gravity = Stance(trace), trace.model.bench, trace.model.rig.gravity
    mass, (rear, front), base = bench.whole.mass, bench.centres, bench.centres[1][0] - bench.centres[0][0]
    x0, h0 = bench.whole.x - rear[0], bench.whole.z
    load, tyres = trace.part(1, "tyre", "load"), [trace.part(i, "tyre") for i in range(2)]
    thrust, contact = tyres[1]["thrust"], tyres[1]["contact"]
    line = here.contacts[1] - here.contacts[0]
    along = line / np.hypot(*line)
    up = normal_to(along)
    moved = mass * here.cg_acceleration
    felt = moved + np.stack([np.zeros(len(load)), np.full(len(load), mass * gravity)])
    # the centre of mass in the axes of the wheels: along the line of their centres, and square to it
    level = np.array([front[0] - rear[0], front[1] - rear[1]]) / np.hypot(
        front[0] - rear[0], front[1] - rear[1]
    )
    seen = np.array([x0, h0 - rear[1]])
    x_seen, h_seen = float(dot(seen, level)), float(cross(level, seen))
    wheels = (here.centres[1] - here.centres[0]) / here.span
    over = here.cg - here.centres[0]
    shift_x, shift_h = dot(over, wheels) - x_seen, dot(over, normal_to(wheels)) - h_seen
    shifted = cross(shift_x * wheels + shift_h * normal_to(wheels), felt)
    unshifted = x_seen * wheels + h_seen * normal_to(wheels) + here.centres[0] - here.contacts[0]
    rolling = tyres[0]["rolling_moment"] + tyres[1]["rolling_moment"]
    normal, forward = vector(contact["normal"]), vector(contact["along"])
    off_line = load * (here.span - cross(line, normal)) - thrust * cross(line, forward) - rolling
    sine, cosine = along[1], along[0]
    moments = {
        "level": np.full(len(load), mass * gravity * x0),
        "slope": mass * gravity * ((cosine - 1.0) * x0 - sine * h0),
        "acceleration": x0 * dot(moved, up) - h0 * dot(moved, along),
        "inertia": _spin_and_pitch(trace),
        "cg_shift": shifted + load * (base - here.span),
        "contact_shift": cross(unshifted - x0 * along - h0 * up, felt) + off_line,
        "skid": -sum(
            (cross(low - here.contacts[0], push) for push, low in skid_forces(trace)), np.zeros(len(load))
        ),
    }
    return {name: np.asarray(moments[name] / base) for name in TERMS}
