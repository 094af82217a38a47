"""A rig in the air derived with SymPy: Lagrange's equations from energies and from forces at points.

Nothing of simcore is used: bodies, pins and mounts are frames and points of `sympy.physics.mechanics`, the
links are distances that must not change, and SymPy differentiates. A parameter is known by its path in a RIG
record, ("axle", 0, "link", 1, "chassis", "x").
"""

from typing import Any

import sympy as sp
from sympy.physics import mechanics as me

N = me.ReferenceFrame("N")  # N.x forward, N.y up; a turn about N.z is nose-up
ORIGIN = me.Point("origin")
ORIGIN.set_vel(N, 0)
T = me.dynamicsymbols._t
Path = tuple[str | int, ...]


class AirborneRig:
    """Chassis, two axles and two wheel pairs under gravity, links, shocks and wheel torques.

    Parameters
    ----------
    arms : for each axle whether it is located by an arm fixed to the housing instead of two links
    mounts : for each axle the link that carries the lower shock mount, or None for the housing

    Attributes
    ----------
    numbers : symbol of every parameter by its path
    equations_of : (q, u, parameters, shock force (2,), wheel torque (2,)) -> matrix and right-hand side of
        the linear equations for the 11 accelerations, then the 4 link forces (compression positive; arm:
        force x, z on the chassis pin)
    held_of : (q, u, parameters) -> error of the 4 constraints, their rates, their Jacobian
    shocks_of : (q, u, parameters) -> lengths of the shocks (2,), rates of these lengths (2,)
    energy_rate_of : (q, u, accelerations, parameters) -> rate of kinetic and potential energy

    Notes
    -----
    q: x, z, angle of chassis, rear axle, front axle, then the angles of both wheel pairs, nose-up positive;
    u are the rates of q.
    """

    def __init__(self, arms: tuple[bool, bool], mounts: tuple[int | None, int | None]) -> None:
        self.numbers: dict[Path, sp.Symbol] = {}
        self.q: list[Any] = []
        self.loads: list[Any] = []
        self.constraints: list[Any] = []
        self.lengths: list[Any] = []
        self.pushes = sp.symbols("link_force:4")
        self.shock_forces, self.wheel_torques = sp.symbols("shock_force:2"), sp.symbols("wheel_torque:2")
        self.drift_rate, self.gravity = self.number("drift_rate"), self.number("gravity")
        self.chassis = self._body("chassis", ("chassis",))
        self.axles = [self._body(f"axle{i}", ("axle", i, "body")) for i in range(2)]
        self.wheels = [self._wheel(i) for i in range(2)]
        for i in range(2):
            hold = self._arm if arms[i] else self._links
            hold(i)
            self._shock(i, mounts[i])
            drive = self.wheel_torques[i] * N.z  # turns the wheels forward, that is nose-down
            self.loads += [(self.axles[i].frame, drive), (self.wheels[i].frame, -drive)]
        self._derive()

    def number(self, *path: str | int) -> sp.Symbol:
        """Symbol of the parameter at a path of the record."""
        return self.numbers.setdefault(path, sp.Symbol("_".join(map(str, path))))

    def _coordinate(self, name: str) -> Any:
        self.q.append(me.dynamicsymbols(name))
        return self.q[-1]

    def _frame(self, name: str) -> Any:
        frame = me.ReferenceFrame(name)
        frame.orient_axis(N, self._coordinate(f"{name}_angle"), N.z)
        return frame

    def _body(self, name: str, path: Path) -> Any:
        centre = self._point(
            f"{name}_centre", self._coordinate(f"{name}_x") * N.x + self._coordinate(f"{name}_z") * N.y
        )
        frame, mass = self._frame(name), self.number(*path, "mass")
        inertia = me.inertia(frame, 0, 0, self.number(*path, "inertia"))
        body = me.RigidBody(name, centre, frame, mass, (inertia, centre))
        body.potential_energy = mass * self.gravity * centre.pos_from(ORIGIN).dot(N.y)
        return body

    def _wheel(self, i: int) -> Any:
        """Both wheels of an axle: their mass counts with the axle, here they only spin."""
        frame, centre = self._frame(f"wheel{i}"), self.axles[i].masscenter
        inertia = me.inertia(frame, 0, 0, self.number("axle", i, "spin_inertia"))
        return me.RigidBody(f"wheel{i}", centre, frame, 0, (inertia, centre))

    def _point(self, name: str, place: Any) -> Any:
        """A point at a place seen from the origin; its velocity by differentiation."""
        point, place = ORIGIN.locatenew(name, place.express(N)), place.express(N)
        point.set_vel(N, place.dt(N))
        return point

    def _pin(self, body: Any, *path: str | int) -> Any:
        """A point fixed to a body, its place given in the axes of the body."""
        x, z = self.number(*path, "x"), self.number(*path, "z")
        centre = body.masscenter.pos_from(ORIGIN)
        return self._point("_".join(map(str, path)), centre + x * body.frame.x + z * body.frame.y)

    def _push_apart(self, upper: Any, lower: Any, force: Any) -> Any:
        """A force between two points, apart when positive; returns their distance."""
        gap = upper.pos_from(lower)
        length = sp.sqrt(gap.dot(N.x) ** 2 + gap.dot(N.y) ** 2)
        self.loads += [(upper, force / length * gap), (lower, -force / length * gap)]
        return length

    def _link_pins(self, i: int, k: int) -> tuple[Any, Any]:
        path = ("axle", i, "link", k)
        return self._pin(self.chassis, *path, "chassis"), self._pin(self.axles[i], *path, "axle")

    def _links(self, i: int) -> None:
        for k in range(2):
            length = self._push_apart(*self._link_pins(i, k), self.pushes[2 * i + k])
            self.constraints.append(length - self.number("axle", i, "link", k, "length"))

    def _arm(self, i: int) -> None:
        """A pin of the chassis stays put in the axes of the axle; the pair of forces acts at that pin."""
        on_chassis, on_axle = self._link_pins(i, 0)
        axle, force = self.axles[i], self.pushes[2 * i] * N.x + self.pushes[2 * i + 1] * N.y
        moment = on_chassis.pos_from(axle.masscenter).cross(force)
        self.loads += [(on_chassis, force), (axle.masscenter, -force), (axle.frame, -moment)]
        gap = on_chassis.pos_from(on_axle)
        self.constraints += [gap.dot(axle.frame.x), gap.dot(axle.frame.y)]

    def _shock(self, i: int, carrier: int | None) -> None:
        upper = self._pin(self.chassis, "axle", i, "shock", "chassis")
        if carrier is None:
            lower = self._pin(self.axles[i], "axle", i, "shock", "axle")
        else:  # the fraction of the way from the link's pin on the chassis to its pin on the axle
            start, end = (pin.pos_from(ORIGIN) for pin in self._link_pins(i, carrier))
            lower = self._point(
                f"mount{i}", start + self.number("axle", i, "shock", "fraction") * (end - start)
            )
        self.lengths.append(self._push_apart(upper, lower, self.shock_forces[i]))

    def _derive(self) -> None:
        bodies = [self.chassis, *self.axles, *self.wheels]
        lagrangian = me.Lagrangian(N, *bodies)
        motion = me.LagrangesMethod(lagrangian, self.q, forcelist=self.loads, frame=N)
        u = [q.diff(T) for q in self.q]
        a = sp.symbols(f"acceleration:{len(u)}")
        plain = dict(zip([v.diff(T) for v in u], a, strict=True))
        errors = sp.Matrix(self.constraints)
        rates = errors.diff(T)
        pull = 2 * self.drift_rate * rates + self.drift_rate**2 * errors  # lets errors die away
        equations = sp.Matrix([*motion.form_lagranges_equations(), *(errors.diff(T, 2) + pull)]).xreplace(
            plain
        )
        unknowns = [*a, *self.pushes]
        matrix = equations.jacobian(unknowns)
        right = -equations.xreplace(dict.fromkeys(unknowns, sp.S.Zero))
        lengths = sp.Matrix(self.lengths)
        energy = me.kinetic_energy(N, *bodies) + me.potential_energy(*bodies)
        numbers = list(self.numbers.values())

        def compiled(arguments: list[Any], *results: Any) -> Any:
            return sp.lambdify(arguments, list(results), cse=True)

        self.equations_of = compiled(
            [self.q, u, numbers, self.shock_forces, self.wheel_torques], matrix, right
        )
        self.held_of = compiled([self.q, u, numbers], errors, rates, errors.jacobian(self.q))
        self.shocks_of = compiled([self.q, u, numbers], lengths, lengths.diff(T))
        self.energy_rate_of = compiled([self.q, u, a, numbers], energy.diff(T).xreplace(plain))
