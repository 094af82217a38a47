"""Every store, every work and every loss of energy of a run, from its table and its rig file alone.

Planes only: the table does not say which way the ground's load points. Stores in J (n,), powers in W (n,), in
the names of the table's columns where there is one. Work and losses are summed by trapezoids.
"""

import math

import numpy as np
from bodies import GRAVITY, SIDES, motions, per_second, turned
from mujoco_laws import flat_load
from mujoco_rig import bench_centres
from scipy.integrate import cumulative_trapezoid

SKIN = 0.001  # m of deflection over which a tyre's damping fades in; m/s over which rolling resistance does


def tyre_energy(radius, stiffness, deflection):
    """Integral of `p dA` over the deflection s: `dA = 2 sqrt(2 R s) ds`, `p = k s/(2 sqrt(2 R s - s^2)) +
    30 k (s/R)^9`; u = s/2R.
    """
    u = deflection / (2.0 * radius)
    soft = 4.0 * radius**2 * stiffness * (2.0 / 3.0 * (1.0 - u) ** 1.5 - 2.0 * np.sqrt(1.0 - u) + 4.0 / 3.0)
    hard = 60.0 * stiffness * math.sqrt(2.0 * radius) / radius**9 * deflection**10.5 / 10.5
    return soft + hard


def rubber(stop, depth):
    """Elastic force and energy of both stops, `k x (1 + (x/l)^2)`."""
    x = np.maximum(depth, 0.0)
    share = x / stop.length
    return 2.0 * stop.rate * x * (1.0 + share**2), 2.0 * stop.rate * x**2 * (0.5 + 0.25 * share**2)


def column(series, name, factor=1.0):
    return factor * series[name].to_numpy()


def moving_stores(rig, series, found):
    """What moves, turns and stands high."""
    stores = {"moving": 0.0, "turning": 0.0, "height": 0.0, "wheels": 0.0}
    for motion in found:
        body = motion.body
        stores["moving"] = stores["moving"] + 0.5 * body.mass * np.sum(motion.velocity**2, axis=1)
        stores["turning"] = stores["turning"] + 0.5 * body.inertia * motion.spin**2
        stores["height"] = stores["height"] + body.mass * GRAVITY * motion.place[:, 1]
    for side in SIDES:
        inertia = 2.0 * getattr(rig, side).tyre.spin_inertia
        spin = per_second(series, f"{side}_wheel_speed_rpm")
        stores["wheels"] = stores["wheels"] + 0.5 * inertia * spin**2
    stores["rotor"] = 0.5 * rig.motor.rotor_inertia * per_second(series, "motor_speed_rpm") ** 2
    return stores


def shaft_lengths(rig, series, side, found, hub):
    """Distance of a drive shaft's joints over time, (n,), m, from the motions of chassis and axle."""
    axle, k = getattr(rig, side), SIDES.index(side)
    if axle.shaft is None:
        return np.zeros(len(series))
    chassis, housing = found[0], found[1 + k]
    top = chassis.place + turned(chassis.turn, np.subtract(axle.shaft.chassis, chassis.body.at))
    joint = hub + turned(housing.turn, np.subtract(axle.shaft.axle, bench_centres(rig)[k]))
    return np.linalg.norm(joint - top, axis=1)


def axle_energies(rig, series, side, hub, hub_velocity, turning, slope):
    """Stores and losing powers of one axle: springs, stops, tyres, shafts; damper, seal, slip and so on."""
    axle, line = getattr(rig, side), rig.driveline
    shock, tyre = axle.shock, axle.tyre

    def of(name, factor=1.0):
        return column(series, f"{side}_{name}", factor)

    travel, speed = of("travel_mm", 1e-3), of("travel_speed_mm_per_s", 1e-3)
    (spring,) = shock.springs  # which always pushes: its energy follows from its force
    bump, in_bump = rubber(shock.bump_stop, travel - shock.stroke + shock.bump_stop.length)
    droop, in_droop = rubber(shock.droop_stop, shock.droop_stop.length - travel)
    height = hub @ [-math.sin(slope), math.cos(slope)]
    rise = hub_velocity @ [-math.sin(slope), math.cos(slope)]
    deflection = of("deflection_mm", 1e-3)
    pressed = np.array([flat_load(tyre.radius, 2.0 * tyre.stiffness, h)[0] for h in height])
    spin = per_second(series, f"{side}_wheel_speed_rpm")
    tread = spin * (tyre.radius - deflection / 3.0)
    stiffness = line.rear_stiffness if side == "rear" else line.front_stiffness
    ratio = line.ratio / (1.0 if side == "rear" else 1.0 + line.overdrive)
    wind_up, relative = np.radians(of("wind_up_deg")), spin + turning
    winding = per_second(series, "motor_speed_rpm") / ratio - relative
    ungeared = stiffness * wind_up + line.damping * winding
    stores = {
        "springs": of("spring_N") ** 2 / (4.0 * spring.rate),
        "stops": in_bump + in_droop,
        "tyres": tyre_energy(tyre.radius, 2.0 * tyre.stiffness, deflection),
        "shafts": 0.5 * stiffness * wind_up**2,
    }
    losses = {
        "damper": of("damper_N") * speed,
        "seal": of("friction_N") * speed,
        "rubber": (of("bump_stop_N") - bump + of("droop_stop_N") + droop) * speed,
        "slip": of("thrust_N") * of("slip_speed_m_per_s"),
        "rolling": tyre.rolling_resistance * of("load_N") * tyre.radius * np.tanh(tread / SKIN) * spin,
        "deflection": (pressed - of("load_N")) * rise,
        "gears": (ungeared - of("wheel_torque_Nm")) * relative,
        "shaft damping": line.damping * winding**2,
    }
    return stores, losses


def energies(scenario, series):
    """Everything that holds, brings or takes energy, J (n,), by name.

    Losses count positive, work negative, so that the sum of all stays what it was.
    """
    rig = scenario.rig
    found, hubs = motions(rig, series)
    time = column(series, "time_s")
    terms = moving_stores(rig, series, found)
    rotor = per_second(series, "motor_speed_rpm")
    powers = {
        "motor": -column(series, "motor_torque_Nmm", 1e-3) * rotor,
        "motor drag": column(series, "motor_drag_Nmm", 1e-3) * rotor,
    }
    for side, hub, motion in zip(SIDES, hubs, found[1:], strict=True):
        rate = np.gradient(hub, time, axis=0, edge_order=2)
        stores, losses = axle_energies(rig, series, side, hub, rate, motion.spin, scenario.ground.slope)
        longer = np.gradient(shaft_lengths(rig, series, side, found, hub), time, edge_order=2)
        losses["splines"] = column(series, f"{side}_shaft_friction_N") * longer
        for own, whole in ((stores, terms), (losses, powers)):
            for name, values in own.items():
                whole[name] = whole.get(name, 0.0) + values
    return terms | {name: cumulative_trapezoid(power, time, initial=0.0) for name, power in powers.items()}
