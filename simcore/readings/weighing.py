"""Mass, centre of mass and pitch inertia of a whole rig, from scales, tape and stopwatch."""

from math import pi

from uncertainties import umath

from simcore.readings.uncertain import Number
from simcore.units import GRAVITY


def centre_ahead_of_rear(rear: Number, front: Number, wheelbase: Number) -> Number:
    """How far the centre of mass lies ahead of the rear axle: ``b = L W_f / (W_r + W_f)``, m.

    Parameters
    ----------
    rear, front : what scales show under each axle, kg
    wheelbase : L, m

    Source: moments about the rear contact; Jazar, Vehicle Dynamics (2008), eq (2.1) to (2.5), level road.
    """
    return wheelbase * front / (rear + front)


def height_by_raised_axle(
    ahead: Number, wheelbase: Number, height: Number, share: Number, hubs: tuple[Number, Number]
) -> Number:
    """Height of the centre of mass over the table, m, from the load on the low axle, the other one raised.

    The rig turns by a about the low contact, ``sin(a + a0) = (H + r_2 - r_1)/l``, where
    ``tan(a0) = (r_2 - r_1)/L``, ``l^2 = L^2 + (r_2 - r_1)^2``. Moments about that contact:
    ``h = r_1 + [b cos(a) - (1 - p) l cos(a + a0)]/sin(a)``. With hubs of one height that is
    ``h = r + [b - L (1 - p)] cot(a)``. The short form ``L^2 dW/(H W)`` takes tan(a) for H/L and comes out
    1/cos(a) too high, 5.3 % at 18 deg.

    Parameters
    ----------
    ahead : b, of the centre of mass from the low axle, along the rig, m
    wheelbase : L, m
    height : H, by which the other axle's centre was raised, m
    share : p, share of the weight that the scale under the low axle shows
    hubs : r_1 and r_2, height of the low and of the raised axle's centre when level, m

    Valid for a locked suspension and round rigid tyres.
    Source: R. N. Jazar, Vehicle Dynamics (2008), eq (2.32), for hubs of one height.
    """
    low, raised = hubs
    length, first = ((raised - low) ** 2 + wheelbase**2) ** 0.5, umath.atan((raised - low) / wheelbase)
    then = umath.asin((height + raised - low) / length)
    turn = then - first
    return low + (ahead * umath.cos(turn) - (1.0 - share) * length * umath.cos(then)) / umath.sin(turn)


def height_by_tipping(width: Number, angle: Number) -> Number:
    """Height of the centre of mass from the sideways tilt at which the rig balances: ``h = (w/2)/tan(a)``, m.

    Parameters
    ----------
    width : w, over the outer edges of the tyres, m
    angle : a, of its floor against the level, rad

    Valid for a rig that is alike left and right.
    Source: the weight's line passes through the edge of support.
    """
    return 0.5 * width / umath.tan(angle)


def inertia_by_two_cords(mass: Number, top: Number, bottom: Number, length: Number, period: Number) -> Number:
    """Moment of inertia about the upright from a bifilar swing: ``I = m g d1 d2 T^2/(4 pi^2 h)``, kg*m^2.

    Parameters
    ----------
    mass : m, kg
    top, bottom : whole spacing of the cords there, m; d1 and d2 are half of them
    length : h, height of the upper ends over the lower ends, m
    period : T, of one full swing, s

    Valid for small swings, the centre of mass midway between the cords.
    Source: bifilar pendulum, laboratory manual of the University of Hyderabad, experiment 8.
    """
    return mass * GRAVITY * (0.5 * top) * (0.5 * bottom) * period**2 / (4.0 * pi**2 * length)


def inertia_by_pendulum(mass: Number, arm: Number, period: Number) -> Number:
    """Moment of inertia about the centre of mass from a swing about a pivot: ``m g s T^2/(4 pi^2) - m s^2``.

    Parameters
    ----------
    mass : m, kg
    arm : s, from the pivot to the centre of mass, m
    period : T, of one full swing, s

    Valid for small swings.
    Source: compound pendulum; any mechanics text, as HyperPhysics.
    """
    return mass * GRAVITY * arm * period**2 / (4.0 * pi**2) - mass * arm**2


def box_inertia(mass: Number, length: Number, height: Number) -> Number:
    """Pitch inertia of a box about its middle: ``m (l^2 + h^2)/12``, kg*m^2.

    Source: any mechanics text.
    """
    return mass * (length**2 + height**2) / 12.0


def drum_inertia(mass: Number, diameter: Number) -> Number:
    """Inertia of a drum about its axis: ``m d^2/8``, kg*m^2.

    Source: any mechanics text.
    """
    return mass * diameter**2 / 8.0
