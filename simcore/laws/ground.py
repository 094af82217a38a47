"""The course: straight pieces of ground, and where a disc touches them."""

import math

from simcore.compiled import ContactRecord, PieceRecord, Records, kernel

RIM = 30.0  # share of the stiffness with which a rim, or the body of a skid, holds at last
FADE_IN = 0.001  # m of deflection over which contact damping fades in
TIE = 1e-12  # share of a distance within which two are the same
BESIDE = 1.0 + 1e-9  # radii beside a disc beyond which no piece can touch it, whatever the rounding


@kernel
def first_beyond(pieces: Records[PieceRecord], x: float) -> int:
    """Number of the first piece that ends at or beyond a place along x; a course never turns back."""
    low, high = 0, len(pieces) - 1
    while low < high:
        middle = (low + high) // 2
        piece = pieces[middle]
        if piece.start.x + piece.length * piece.along.x < x:
            low = middle + 1
        else:
            high = middle
    return low


@kernel
def touch(contact: ContactRecord, pieces: Records[PieceRecord], x: float, z: float, radius: float) -> None:
    """Overlap of a disc with the ground, in one pass over the pieces under it.

    ``A = sum (R^2 angle_i - d_i l_i)/2`` and ``S = sum l_i n_i = -dA/d(centre)``

    where piece i has the length ``l_i`` inside the disc, the normal ``n_i``, the distance ``d_i`` from the
    centre, and is seen from the centre under ``angle_i``. A force ``p(A) S`` therefore derives from an
    energy, has no moment about the centre and is continuous over every corner.

    Parameters
    ----------
    contact : filled with area A (m^2), push S (m), unit normal, unit tangent (forward), foot (mean ground
        point in the disc, m) and grip (length-weighted); without overlap: area 0 and the nearest ground point
    pieces : array of PIECE records from the rear to the front
    x, z : centre, m
    radius : R, m

    Source: Gonthier, Lange, McPhee, Multibody System Dynamics 2005 (volumetric contact), written for the
    plane.
    """
    turned, cut, push_x, push_z, grip, wet = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    foot_x, foot_z = 0.0, 0.0
    for i in range(first_beyond(pieces, x - BESIDE * radius), len(pieces)):
        piece = pieces[i]
        t_x, t_z = piece.along.x, piece.along.z
        r_x, r_z = x - piece.start.x, z - piece.start.z
        if r_x + piece.behind * t_x < -BESIDE * radius:
            break
        height = r_z * t_x - r_x * t_z
        if abs(height) >= radius:
            continue
        reach = math.sqrt(radius * radius - height * height)
        middle = r_x * t_x + r_z * t_z
        first, last = max(-piece.behind - middle, -reach), min(piece.length - middle, reach)
        length = last - first
        if length <= 0.0:
            continue
        turned += math.atan2(height * length, first * last + height * height)
        cut += height * length
        push_x -= length * t_z
        push_z += length * t_x
        grip += length * piece.grip
        wet += length
        centre = middle + 0.5 * (first + last)
        foot_x += length * (piece.start.x + centre * t_x)
        foot_z += length * (piece.start.z + centre * t_z)
    if turned < 0.0:  # the centre itself lies in the ground, which winds round it the other way
        turned += 2.0 * math.pi
    area = 0.5 * (radius * radius * turned - cut)
    size = math.sqrt(push_x * push_x + push_z * push_z)
    if area > 0.0 and size > 0.0:
        n_x, n_z = push_x / size, push_z / size
        contact.area, contact.grip = area, grip / wet
        contact.push.x, contact.push.z = push_x, push_z
        contact.foot.x, contact.foot.z = foot_x / wet, foot_z / wet
        contact.normal.x, contact.normal.z = n_x, n_z
        contact.along.x, contact.along.z = n_z, -n_x
    else:
        _nearest(contact, pieces, x, z)


@kernel
def _nearest(contact: ContactRecord, pieces: Records[PieceRecord], x: float, z: float) -> None:
    """A disc in the air: the nearest ground point stands in for the foot, so that directions stay continuous
    at lift-off.
    """
    best = math.inf
    contact.area = 0.0
    contact.push.x, contact.push.z = 0.0, 0.0
    for i in range(len(pieces)):
        piece = pieces[i]
        t_x, t_z = piece.along.x, piece.along.z
        r_x, r_z = x - piece.start.x, z - piece.start.z
        middle = min(max(r_x * t_x + r_z * t_z, -piece.behind), piece.length)
        d_x, d_z = r_x - middle * t_x, r_z - middle * t_z
        distance = math.sqrt(d_x * d_x + d_z * d_z)
        # over a corner both pieces are equally near, and rounding must not choose between their grips
        if 0.0 < distance < (1.0 - TIE) * best:
            best = distance
            contact.foot.x, contact.foot.z = x - d_x, z - d_z
            contact.normal.x, contact.normal.z = d_x / distance, d_z / distance
            contact.along.x, contact.along.z = d_z / distance, -d_x / distance
            contact.grip = piece.grip


@kernel
def deflection_of(area: float, radius: float) -> float:
    """Depth of the flat cut of the same area, m: ``delta = (3A / (4 sqrt(2R)))^(2/3)``, delta << R."""
    return (0.75 * area / math.sqrt(2.0 * radius)) ** (2.0 / 3.0)


@kernel
def pressure(deflection: float, radius: float, stiffness: float) -> float:
    """Force per length of overlap, so that flat ground gives ``N = k delta``.

    ``p = k delta / (2 sqrt(2 R delta - delta^2)) + 30 k (delta/R)^9``, N/m; within 2 % of k delta up to
    delta/R = 0.17. The second term is nothing there and stands for the rim: at half depth it holds with
    twenty times the force of the first, so that no disc falls through the ground.
    """
    if deflection <= 0.0:
        return 0.0
    soft = deflection / (2.0 * math.sqrt(2.0 * radius * deflection - deflection * deflection))
    return stiffness * (soft + RIM * (deflection / radius) ** 9)


@kernel
def overlap_energy(deflection: float, radius: float, stiffness: float) -> float:
    """Energy stored in the overlap, J: the integral of p over A.

    ``U = k R^2 ((8/3) (1-w)^2 (2+w) + (30 sqrt(8)/10.5) (delta/R)^10.5)``, ``w = sqrt(1 - delta/2R)``, from
    ``dA = 2 sqrt(2 R delta) d(delta)``.
    """
    share = deflection / (2.0 * radius)
    w = math.sqrt(1.0 - share)
    low = share / (1.0 + w)
    rim = RIM * math.sqrt(8.0) / 10.5 * (deflection / radius) ** 10.5
    return stiffness * radius * radius * (8.0 / 3.0 * low * low * (2.0 + w) + rim)


@kernel
def normal_force(
    contact: ContactRecord,
    radius: float,
    stiffness: float,
    damping: float,
    velocity_x: float,
    velocity_z: float,
) -> tuple[float, float, float]:
    """Force of the ground on a disc along the contact normal, with damping that fades in over the first
    millimetre.

    Returns
    -------
    load : N, never pulling
    deflection : equivalent depth, m
    lost : power lost in the damping, W
    """
    if contact.area <= 0.0:
        return 0.0, 0.0, 0.0
    deflection = deflection_of(contact.area, radius)
    size = math.sqrt(contact.push.x**2 + contact.push.z**2)
    elastic = pressure(deflection, radius, stiffness) * size
    rise = velocity_x * contact.normal.x + velocity_z * contact.normal.z
    load = max(elastic - damping * min(deflection / FADE_IN, 1.0) * rise, 0.0)
    return load, deflection, (elastic - load) * rise
