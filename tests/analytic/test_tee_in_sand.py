"""A tee in sand against a general-purpose library.

Problem: iron tee, flange 60 x 12 mm over a boss 20 x 40 mm, in a sand box of 100 mm with its
outer faces at 20 °C; poured at 1350 °C, freezing evenly from 1190 to 1140 °C, constant
properties, 1000 W/m2K between metal and sand. Half of it is computed. Reference: FiPy (Guyer,
Wheeler & Warren 2009, Comput. Sci. Eng. 11:6), finite volumes, backward Euler in temperature with
the latent heat as a linearized source, swept until it settles.

Compared is the whole field of freezing times, twice: cell by cell on the same cells, the library's
steps gone to zero; and with the library's cells gone to zero as well, against the freezing time of
the tee, since the cell at the sharp tip of the flange by itself moves by 4 % from 1 mm to none.
"""

import numpy as np
import pytest
from exact.medium import Medium
from pouring import alloy_card, pour, sand_card

IRON, SAND = Medium(35.0, 750.0, 7000.0), Medium(0.7, 1100.0, 1550.0)
LATENT_HEAT, SOLIDUS, LIQUIDUS, POUR, COLD = 220e3, 1140.0, 1190.0, 1350.0, 20.0
CONDUCTANCE = 1000.0
WIDTH, HEIGHT = 0.05, 0.1  # half box
BOSS, FLANGE = (0.010, 0.028, 0.068), (0.030, 0.068, 0.080)  # half width, bottom, top


def tee_case(cell):
    boss, flange = (
        f'rectangle = {{ from = ["0 m", "{low} m"], to = ["{half} m", "{high} m"] }}'
        for half, low, high in (BOSS, FLANGE)
    )
    cold = f'{{ temperature = "{COLD} °C" }}'
    return f"""
title = "Half a tee in sand"
[section]
cell = "{cell} m"
[pour]
alloy = "iron"
temperature = "{POUR} °C"
[mold]
sand = "sand"
temperature = "{COLD} °C"
box = {{ from = ["0 m", "0 m"], to = ["{WIDTH} m", "{HEIGHT} m"] }}
[[part]]
name = "boss"
role = "casting"
{boss}
[[part]]
name = "flange"
role = "casting"
{flange}
[boundary]
left = "symmetry"
right = {cold}
bottom = {cold}
top = {cold}
[[interface]]
between = ["iron", "sand"]
conductance = "{CONDUCTANCE} W/m2K"
{alloy_card("iron", [IRON, IRON, IRON], LATENT_HEAT, ("linear", [SOLIDUS, LIQUIDUS], ""))}
{sand_card("sand", *SAND)}
"""


def fipy_freezing_times(fipy, cell, dt):
    """Freezing time of the cells of a uniform grid, shape (ny, nx), NaN in the sand, [s]."""
    nx, ny = round(WIDTH / cell), round(HEIGHT / cell)
    mesh = fipy.Grid2D(dx=cell, dy=cell, nx=nx, ny=ny)
    x, y = mesh.cellCenters.value
    metal = np.zeros(x.size, dtype=bool)
    for half, low, high in (BOSS, FLANGE):
        metal |= (x < half) & (y > low) & (y < high)
    k = np.where(metal, IRON.conductivity, SAND.conductivity)
    capacity = np.where(metal, IRON.density * IRON.specific_heat, SAND.density * SAND.specific_heat)
    first, second = mesh.faceCellIDs.filled(-1)
    second = np.where(second < 0, first, second)
    resistance = cell / 2 * (1 / k[first] + 1 / k[second])
    resistance = resistance + np.where(metal[first] != metal[second], 1 / CONDUCTANCE, 0.0)
    conductivity = fipy.FaceVariable(mesh=mesh, value=cell / resistance)
    temperature = fipy.CellVariable(mesh=mesh, value=np.where(metal, POUR, COLD), hasOld=True)
    temperature.constrain(COLD, mesh.facesRight | mesh.facesBottom | mesh.facesTop)
    latent = np.where(metal, IRON.density * LATENT_HEAT, 0.0)
    source, slope = fipy.CellVariable(mesh=mesh), fipy.CellVariable(mesh=mesh)
    equation = fipy.TransientTerm(
        coeff=fipy.CellVariable(mesh=mesh, value=capacity)
    ) == fipy.DiffusionTerm(coeff=conductivity) - source - fipy.ImplicitSourceTerm(coeff=slope)
    solver = fipy.LinearLUSolver()

    def molten(t):
        return np.clip((t - SOLIDUS) / (LIQUIDUS - SOLIDUS), 0.0, 1.0)

    def heat(t):
        return capacity * t + latent * molten(t)

    frozen_below = capacity * SOLIDUS
    times, time = np.full(x.size, np.nan), 0.0
    while np.isnan(times[metal]).any():
        temperature.updateOld()
        old = temperature.value.copy()
        for _ in range(12):
            guess = temperature.value.copy()
            inside = (guess > SOLIDUS) & (guess < LIQUIDUS)
            gradient = latent / dt * inside / (LIQUIDUS - SOLIDUS)
            slope.setValue(gradient)
            source.setValue(latent / dt * (molten(guess) - molten(old)) - gradient * guess)
            equation.solve(var=temperature, dt=dt, solver=solver)
            if np.max(np.abs(temperature.value - guess)) < 0.05:
                break
        before, after = heat(old), heat(temperature.value)
        passing = metal & (before > frozen_below) & (after <= frozen_below)
        share = (before - frozen_below)[passing] / (before - after)[passing]
        times[passing] = time + dt * share
        time += dt
    return times.reshape(ny, nx)


def by_fours(field):
    """Mean of blocks of four cells, NaN where any is."""
    ny, nx = field.shape
    return field.reshape(ny // 2, 2, nx // 2, 2).mean(axis=(1, 3))


def on_even_cells(run, cell):
    """Freezing time of a run on the cells of a uniform grid, where both are metal."""
    grid = run.section.grid
    x, y = (np.arange(cell / 2, length, cell) for length in (WIDTH, HEIGHT))
    columns = np.searchsorted(grid.x_edges, x) - 1
    rows = np.searchsorted(grid.y_edges, y) - 1
    return run.fields["freezing_time"][np.ix_(rows, columns)]


@pytest.fixture(scope="module")
def library():
    """Freezing times on 2 mm in the limit of short steps, and that of fine cells, too, [s].

    Halving the step halves its error; halving the cell divides its error by 3.5, as a further run
    on 0.5 mm showed.
    """
    fipy = pytest.importorskip("fipy")
    with np.errstate(all="warn"):
        coarse = fipy_freezing_times(fipy, 2e-3, 2.0)
        short_steps = 2 * fipy_freezing_times(fipy, 2e-3, 1.0) - coarse
        fine = by_fours(fipy_freezing_times(fipy, 1e-3, 2.0))
    return short_steps, fine + (fine - coarse) / 2.5 + short_steps - coarse


def test_same_cells(library):
    found, known = on_even_cells(pour(tee_case(2e-3)), 2e-3), library[0]
    assert np.array_equal(np.isfinite(found), np.isfinite(known))
    metal = np.isfinite(known)
    assert found[metal] == pytest.approx(known[metal], rel=0.015)


def test_converged(library):
    found, known = by_fours(on_even_cells(pour(tee_case(1e-3)), 1e-3)), library[1]
    assert np.nanmax(np.abs(found - known)) <= 0.015 * np.nanmax(known)
