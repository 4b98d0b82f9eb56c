"""The T of ``tee.py`` by what one would reach for instead; each gives (freezing times, last T).

All know the cells, face conductances and the curve T(h) of the problem; what differs is how they
go through time. Times [s], shape (cells, cells), NaN where nothing has frozen; T [°C].
"""

import numpy as np
import scipy
import tee as problem
from numba import njit

GROWTH, LONGEST = 1.1, 200.0  # steps past the last freezing, where only cooling is left; s
LOOKS = 8  # at the polynomial of a BDF step


class Freezing:
    """Freezing times by linear interpolation between looks at the state."""

    def __init__(self, tee):
        self.tee, self.times = tee, np.full(tee.shape, np.nan)
        self.h, self.time = tee.start.copy(), 0.0

    def note(self, time, h):
        h = h.reshape(self.tee.shape)
        passed = self.tee.metal & (self.h > problem.H_SOLIDUS) & (h <= problem.H_SOLIDUS)
        share = (self.h[passed] - problem.H_SOLIDUS) / (self.h[passed] - h[passed])
        self.times[passed] = self.time + share * (time - self.time)
        self.h, self.time = h.copy(), time

    def result(self):
        return self.times, self.tee.temperature(self.h)


def steps(end, dt):
    """Ends of implicit steps: even while metal freezes, then ever longer."""
    now = 0.0
    while now < end - 1e-9:
        if now >= problem.FROZEN:
            dt = min(GROWTH * dt, LONGEST)
        before, now = now, min(now + dt, end)
        yield now, now - before


def conduction_matrix(tee):
    """A and b of dh/dt = A T + b."""
    along_x, along_y, wall = tee.face_conductances()
    number = np.arange(tee.metal.size).reshape(tee.shape)
    outside = np.zeros(tee.shape)
    for edge in (np.s_[0], np.s_[-1], np.s_[:, 0], np.s_[:, -1]):
        outside[edge] += wall
    rows, columns, values = [number.ravel()], [number.ravel()], [-outside.ravel()]
    for G, one, two in (
        (along_x, number[:, :-1], number[:, 1:]),
        (along_y, number[:-1], number[1:]),
    ):
        for a, b in ((one, two), (two, one)):
            rows += [a.ravel(), a.ravel()]
            columns += [b.ravel(), a.ravel()]
            values += [G.ravel(), -G.ravel()]
    places = (np.concatenate(rows), np.concatenate(columns))
    return scipy.sparse.csr_matrix((np.concatenate(values), places)), outside.ravel() * problem.COLD


def superlu(tee, end, dt):
    """Linearly implicit steps of the enthalpy, each solved by SuperLU.

    That is backward Euler with one iteration of Newton's method; on the T a second one costs
    1.7 times as much and makes the error 1.4 times as large.
    """
    A, b = conduction_matrix(tee)
    notes, h, one = Freezing(tee), tee.start.ravel().copy(), scipy.sparse.identity(tee.metal.size)
    for now, length in steps(end, dt):
        state = h.reshape(tee.shape)
        gain = length * (A @ tee.temperature(state).ravel() + b)
        J = (one - length * A @ scipy.sparse.diags(tee.slope(state).ravel())).tocsc()
        options = {"permc_spec": "MMD_AT_PLUS_A", "options": {"SymmetricMode": True}}
        h = h + scipy.sparse.linalg.splu(J, diag_pivot_thresh=0.0, **options).solve(gain)
        notes.note(now, h)
    return notes.result()


def bdf(tee, end, rtol):
    """scipy's BDF on the enthalpy with its sparse Jacobian."""
    A, b = conduction_matrix(tee)

    def rate(_, h):
        return A @ tee.temperature(h.reshape(tee.shape)).ravel() + b

    def jacobian(_, h):
        return A @ scipy.sparse.diags(tee.slope(h.reshape(tee.shape)).ravel())

    solver = scipy.integrate.BDF(
        rate, 0.0, tee.start.ravel(), end, jac=jacobian, rtol=rtol, atol=1e-3 * 1e6
    )
    notes = Freezing(tee)
    while solver.status == "running":
        if said := solver.step():
            raise RuntimeError(said)
        between = solver.dense_output()
        for now in np.linspace(solver.t_old, solver.t, LOOKS + 1)[1:]:
            notes.note(now, between(now))
    return notes.result()


def fipy(tee, end, dt):
    """FiPy, linearly implicit with the enthalpy put right after each step, conjugate gradients.

    One sweep a step: three cost 2.5 times as much and make the error 1.4 times as large. Its direct
    solver takes three times as long.
    """
    import fipy as fp

    mesh = fp.Grid2D(dx=tee.cell, dy=tee.cell, nx=tee.cells, ny=tee.cells)
    T = fp.CellVariable(mesh=mesh, value=tee.temperature(tee.start).ravel(), hasOld=True)
    capacity = fp.CellVariable(mesh=mesh, value=tee.capacity.ravel())
    one, two = mesh.faceCellIDs
    one, two = np.ma.filled(one, 0), np.ma.filled(two, np.ma.filled(one, 0))
    metal, k = tee.metal.ravel(), tee.k.ravel()
    joint = np.where(metal[one] != metal[two], 1.0 / problem.JOINT, 0.0)
    face_k = tee.cell / (tee.cell / 2 / k[one] + tee.cell / 2 / k[two] + joint)
    T.constrain(problem.COLD, mesh.exteriorFaces)
    equation = fp.TransientTerm(coeff=capacity) == fp.DiffusionTerm(
        coeff=fp.FaceVariable(mesh=mesh, value=face_k)
    )
    notes, h, solver = Freezing(tee), tee.start.copy(), fp.LinearPCGSolver(tolerance=1e-8)
    for now, length in steps(end, dt):
        T.updateOld()
        old = T.value.copy()
        capacity.setValue(1.0 / tee.slope(h).ravel())
        equation.sweep(T, dt=length, solver=solver)
        h = h + (capacity.value * (T.value - old)).reshape(tee.shape)
        T.setValue(tee.temperature(h).ravel())
        notes.note(now, h)
    return notes.result()


def pypde(tee, end, share):
    """py-pde's explicit Euler, compiled, at a share of the stable step.

    It has no implicit scheme that holds here. It compiles an equation for every solution, some
    0.8 s of the time.
    """
    import pde

    equation = _enthalpy_equation(pde, tee)
    notes = Freezing(tee)
    tracker = pde.CallbackTracker(lambda state, t: notes.note(t, state.data), interrupts=1.0)
    state = pde.ScalarField(pde.UnitGrid(tee.shape), tee.start)
    dt = share * tee.explicit_limit
    last = equation.solve(state, t_range=end, dt=dt, tracker=tracker, backend="numba")
    notes.note(end, last.data)
    return notes.result()


def _enthalpy_equation(pde, tee):
    """The problem as an equation of py-pde, its rate in numba as its manual asks for."""
    Gx, Gy = ringed_conductances(tee)
    capacity, metal = tee.capacity, tee.metal

    class Enthalpy(pde.PDEBase):
        def evolution_rate(self, state, t=0):
            T, rate = ring_of_cold(tee), np.empty_like(state.data)
            temperatures(state.data, T, capacity, metal, FACTS)
            rates(T, rate, Gx, Gy)
            return pde.ScalarField(state.grid, rate)

        def make_evolution_rate(self, state, backend):
            T = ring_of_cold(tee)

            @njit
            def rate_of(h, t):
                own, rate = T.copy(), np.empty_like(h)
                temperatures(h, own, capacity, metal, FACTS)
                rates(own, rate, Gx, Gy)
                return rate

            return rate_of

    return Enthalpy()


FACTS = (problem.MELT, problem.H_SOLIDUS, problem.H_LIQUIDUS, problem.SOLIDUS, problem.LIQUIDUS)


def ring_of_cold(tee):
    """T of the cells with a ring around them that stays cold."""
    return np.full((tee.cells + 2, tee.cells + 2), problem.COLD)


def ringed_conductances(tee):
    """G / V of all faces along x (n, n + 1) and y (n + 1, n), walls and all, [W/m3K]."""
    along_x, along_y, wall = tee.face_conductances()
    ends = {"mode": "constant", "constant_values": wall}
    return np.pad(along_x, ((0, 0), (1, 1)), **ends), np.pad(along_y, ((1, 1), (0, 0)), **ends)


@njit(cache=True)
def temperatures(h, T, capacity, metal, facts):
    """T of all cells from h, into a ringed array."""
    melt, low, high, solidus, liquidus = facts
    for j in range(h.shape[0]):
        for i in range(h.shape[1]):
            at = h[j, i]
            if not metal[j, i] or at <= low:
                T[j + 1, i + 1] = at / capacity[j, i]
            elif at >= high:
                T[j + 1, i + 1] = (at - melt) / capacity[j, i]
            else:
                T[j + 1, i + 1] = solidus + (at - low) / (high - low) * (liquidus - solidus)


@njit(cache=True)
def rates(T, rate, Gx, Gy):
    """dh/dt of all cells from a ringed T."""
    for j in range(rate.shape[0]):
        for i in range(rate.shape[1]):
            own = T[j + 1, i + 1]
            rate[j, i] = (
                Gx[j, i] * (T[j + 1, i] - own)
                + Gx[j, i + 1] * (T[j + 1, i + 2] - own)
                + Gy[j, i] * (T[j, i + 1] - own)
                + Gy[j + 1, i] * (T[j + 2, i + 1] - own)
            )


@njit(cache=True)
def explicit_steps(h, T, rate, Gx, Gy, capacity, metal, facts, dt, count, start, times):
    """Explicit Euler, the plainest of all; freezing times on the way."""
    low = facts[1]
    for step in range(count):
        temperatures(h, T, capacity, metal, facts)
        rates(T, rate, Gx, Gy)
        for j in range(h.shape[0]):
            for i in range(h.shape[1]):
                before = h[j, i]
                h[j, i] = before + dt * rate[j, i]
                if metal[j, i] and before > low >= h[j, i]:
                    share = (before - low) / (before - h[j, i])
                    times[j, i] = start + (step + share) * dt


def explicit(tee, end, share):
    """Explicit Euler at a share of its stable step; from the last freezing on at 0.9 of it."""
    h, T, rate = tee.start.copy(), ring_of_cold(tee), np.empty(tee.shape)
    times, now = np.full(tee.shape, np.nan), 0.0
    for stop, own in ((min(end, problem.FROZEN), share), (end, 0.9)):
        count = int(np.ceil((stop - now) / (own * tee.explicit_limit)))
        if count:
            explicit_steps(
                h, T, rate, *ringed_conductances(tee), tee.capacity, tee.metal, FACTS,
                (stop - now) / count, count, now, times,
            )  # fmt: skip
        now = stop
    return times, tee.temperature(h)
