"""solidsim against what one would reach for instead, on one problem, in one run, on one machine.

Run with ``python benchmarks/solvers.py`` from the top of the project (some ten minutes), or with
names of solvers to run some of them. Every solver gets the T of ``tee.py`` on the same 1 mm cells:
(a) to 1000 s, just past the last freezing, and (b) to 4 h. Errors are those of the freezing times
against explicit Euler at a quarter of its stable step.
"""

import sys
import time
import tracemalloc
from collections.abc import Callable

import numpy as np
import tee
from numba import njit
from scipy import sparse
from scipy.integrate import solve_ivp
from scipy.sparse.linalg import splu

FROZEN, COOLED = 1000.0, 4 * 3600.0


class Freezing:
    """Freezing times by linear interpolation between steps."""

    def __init__(self):
        self.times = np.full(tee.METAL.shape, np.nan)
        self.h, self.time = tee.START.copy(), 0.0

    def note(self, time, h):
        passed = tee.METAL & (self.h > tee.H_SOLIDUS) & (h <= tee.H_SOLIDUS)
        share = (self.h[passed] - tee.H_SOLIDUS) / (self.h[passed] - h[passed])
        self.times[passed] = self.time + share * (time - self.time)
        self.h, self.time = h.copy(), time


def conduction_matrix():
    """A and b of dh/dt = A T + b."""
    along_x, along_y, wall = tee.face_conductances()
    number = np.arange(tee.METAL.size).reshape(tee.METAL.shape)
    rows, columns, values = [], [], []
    for G, one, two in (
        (along_x, number[:, :-1], number[:, 1:]),
        (along_y, number[:-1], number[1:]),
    ):
        for a, b in ((one, two), (two, one)):
            rows += [a.ravel(), a.ravel()]
            columns += [b.ravel(), a.ravel()]
            values += [G.ravel(), -G.ravel()]
    outside = np.zeros(tee.METAL.shape)
    for edge in (np.s_[0], np.s_[-1], np.s_[:, 0], np.s_[:, -1]):
        outside[edge] += wall
    rows.append(number.ravel())
    columns.append(number.ravel())
    values.append(-outside.ravel())
    A = sparse.csr_matrix((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))))
    return A, outside.ravel() * tee.COLD


@njit(cache=True)
def explicit_steps(h, T, along_x, along_y, wall, capacity, metal, facts, dt, steps, start, times):
    """Explicit Euler, the plainest of all; freezing times on the way."""
    melt, low, high, solidus, liquidus, cold = facts
    ny, nx = h.shape
    for step in range(steps):
        for j in range(ny):
            for i in range(nx):
                at = h[j, i]
                if not metal[j, i] or at <= low:
                    T[j, i] = at / capacity[j, i]
                elif at >= high:
                    T[j, i] = (at - melt) / capacity[j, i]
                else:
                    T[j, i] = solidus + (at - low) / (high - low) * (liquidus - solidus)
        for j in range(ny):
            for i in range(nx):
                gain = 0.0
                gain += (
                    along_x[j, i - 1] * (T[j, i - 1] - T[j, i]) if i else wall * (cold - T[j, i])
                )
                gain += (
                    along_x[j, i] * (T[j, i + 1] - T[j, i])
                    if i < nx - 1
                    else wall * (cold - T[j, i])
                )
                gain += (
                    along_y[j - 1, i] * (T[j - 1, i] - T[j, i]) if j else wall * (cold - T[j, i])
                )
                gain += (
                    along_y[j, i] * (T[j + 1, i] - T[j, i])
                    if j < ny - 1
                    else wall * (cold - T[j, i])
                )
                before = h[j, i]
                h[j, i] = before + dt * gain
                if metal[j, i] and before > low >= h[j, i]:
                    share = (before - low) / (before - h[j, i])
                    times[j, i] = start + (step + share) * dt


def explicit(end, share=0.25):
    along_x, along_y, wall = tee.face_conductances()
    dt = share * tee.CELL**2 / 4.0 * tee.IRON["density"] * tee.IRON["heat"] / tee.IRON["k"]
    steps = int(np.ceil(end / dt))
    h, times = tee.START.copy(), np.full(tee.METAL.shape, np.nan)
    facts = (tee.MELT, tee.H_SOLIDUS, tee.H_LIQUIDUS, tee.SOLIDUS, tee.LIQUIDUS, tee.COLD)
    explicit_steps(
        h, np.zeros_like(h), along_x, along_y, wall, tee.CAPACITY, tee.METAL, facts,
        end / steps, steps, 0.0, times,
    )  # fmt: skip
    return times


def ours(end):
    from solidsim import build_model, simulate
    from solidsim.case import read_case_text

    return simulate(build_model(read_case_text(tee.case_text(f'shake_out = "{end} s"'))))


def solidsim(end):
    return ours(end).fields["freezing_time"]


def superlu(end):
    """Backward Euler by Newton on the enthalpy, SuperLU at every iteration."""
    A, b = conduction_matrix()
    dt = 5.0 if end <= FROZEN else 20.0
    notes, h, now = Freezing(), tee.START.ravel().copy(), 0.0
    shape = tee.METAL.shape
    while now < end - 1e-9:
        new = h.copy()
        for _ in range(12):
            T = tee.temperature(new.reshape(shape)).ravel()
            rest = new - h - dt * (A @ T + b)
            if np.abs(rest).max() < 1e-6 * tee.MELT:
                break
            J = sparse.identity(h.size) - dt * A @ sparse.diags(
                tee.slope(new.reshape(shape)).ravel()
            )
            new = new - splu(J.tocsc()).solve(rest)
        h, now = new, now + dt
        notes.note(now, h.reshape(shape))
    return notes.times


def bdf(end):
    """scipy's BDF on the enthalpy, sparse Jacobian, rtol 1e-3."""
    A, b = conduction_matrix()
    shape = tee.METAL.shape

    def rate(_, h):
        return A @ tee.temperature(h.reshape(shape)).ravel() + b

    def jacobian(_, h):
        return A @ sparse.diags(tee.slope(h.reshape(shape)).ravel())

    found = solve_ivp(
        rate, (0.0, end), tee.START.ravel(), method="BDF", jac=jacobian, rtol=1e-3, atol=1e3
    )
    notes = Freezing()
    for now, h in zip(found.t[1:], found.y.T[1:], strict=True):
        notes.note(now, h.reshape(shape))
    return notes.times


def fipy(end):
    """FiPy, backward Euler with the secant heat capacity, three sweeps a step."""
    import fipy as fp

    mesh = fp.Grid2D(dx=tee.CELL, dy=tee.CELL, nx=tee.CELLS, ny=tee.CELLS)
    T = fp.CellVariable(mesh=mesh, value=tee.temperature(tee.START).ravel(), hasOld=True)
    capacity = fp.CellVariable(mesh=mesh, value=tee.CAPACITY.ravel())
    one, two = mesh.faceCellIDs
    metal = tee.METAL.ravel()
    k = np.where(metal, tee.IRON["k"], tee.SAND["k"])
    one, two = np.ma.filled(one, 0), np.ma.filled(two, np.ma.filled(one, 0))
    joint = np.where(metal[one] != metal[two], 1.0 / tee.JOINT, 0.0)
    face_k = tee.CELL / (tee.CELL / 2 / k[one] + tee.CELL / 2 / k[two] + joint)
    T.constrain(tee.COLD, mesh.exteriorFaces)
    equation = fp.TransientTerm(coeff=capacity) == fp.DiffusionTerm(
        coeff=fp.FaceVariable(mesh=mesh, value=face_k)
    )
    dt = 5.0 if end <= FROZEN else 20.0
    shape = tee.METAL.shape
    notes, h, now = Freezing(), tee.START.copy(), 0.0
    while now < end - 1e-9:
        T.updateOld()
        old = T.value.copy()
        for _ in range(3):
            moved = T.value - old
            still = np.abs(moved) < 1e-6
            secant = (tee.enthalpy(T.value.reshape(shape)) - h).ravel() / np.where(
                still, 1.0, moved
            )
            local = 1.0 / tee.slope(h).ravel()
            capacity.setValue(np.where(still, local, secant))
            equation.sweep(T, dt=dt)
        moved = (T.value - old).reshape(shape)
        h = h + capacity.value.reshape(shape) * moved
        T.setValue(tee.temperature(h).ravel())
        now += dt
        notes.note(now, h)
    return notes.times


def pypde(end):
    """py-pde's explicit stepper on a compiled right-hand side."""
    import pde

    along_x, along_y, wall = tee.face_conductances()

    class Enthalpy(pde.PDEBase):
        def evolution_rate(self, state, t=0):
            T = tee.temperature(state.data)
            heat = np.zeros_like(T)
            flow = along_x * np.diff(T, axis=1)
            heat[:, :-1] += flow
            heat[:, 1:] -= flow
            flow = along_y * np.diff(T, axis=0)
            heat[:-1] += flow
            heat[1:] -= flow
            for edge in (np.s_[0], np.s_[-1], np.s_[:, 0], np.s_[:, -1]):
                heat[edge] += wall * (tee.COLD - T[edge])
            return pde.ScalarField(state.grid, heat)

    grid = pde.UnitGrid(tee.METAL.shape)
    notes = Freezing()
    tracker = pde.CallbackTracker(lambda state, t: notes.note(t, state.data), interrupts=2.0)
    dt = 0.9 * tee.CELL**2 / 4.0 * tee.IRON["density"] * tee.IRON["heat"] / tee.IRON["k"]
    state = pde.ScalarField(grid, tee.START)
    Enthalpy().solve(state, t_range=end, dt=dt, tracker=tracker, backend="numpy")
    return notes.times


SOLVERS: dict[str, Callable] = {
    "solidsim": solidsim,
    "explicit Euler": lambda end: explicit(end, 0.9),
    "FiPy": fipy,
    "SuperLU loop": superlu,
    "scipy BDF": bdf,
    "py-pde": pypde,
}


def measured(solver, end):
    start, spent = time.perf_counter(), time.process_time()
    times = solver(end)
    return times, time.perf_counter() - start, time.process_time() - spent


def main(names):
    reference = explicit(FROZEN)
    print(f"last freezing by the reference: {np.nanmax(reference):.2f} s")
    solidsim(30.0), explicit(1.0)  # compile
    scale = float(np.sqrt(np.nanmean(reference**2)))
    first = {}
    for label, end in (("a", FROZEN), ("b", COOLED)):
        print(f"({label}) to {end:.0f} s\n{'solver':16s} wall s   ratio  error max / L2 s (L2 %)")
        for name in names:
            if name == "py-pde" and end > FROZEN:
                continue
            times, wall, _ = measured(SOLVERS[name], end)
            first.setdefault(label, wall)
            gap = (times - reference)[tee.METAL]
            L2 = float(np.sqrt(np.nanmean(gap**2)))
            print(
                f"{name:16s} {wall:7.2f} {wall / first[label]:7.1f}  "
                f"{np.nanmax(np.abs(gap)):.2f} / {L2:.3f} ({100 * L2 / scale:.3f})",
                flush=True,
            )
    tracemalloc.start()
    ours(FROZEN)
    print(f"peak of Python memory of solidsim: {tracemalloc.get_traced_memory()[1] / 1e6:.0f} MB")


if __name__ == "__main__":
    main(sys.argv[1:] or list(SOLVERS))
