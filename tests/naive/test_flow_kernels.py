"""The kernels of flowing metal against their plain twins, on small random cavities."""

from types import SimpleNamespace

import naive_flow as naive
import numpy as np
import pytest
from shapely.geometry import box

from solidsim.fill.free_surface_kernels import (
    bring,
    largest_share,
    move,
    pour,
    settle,
    share_passed,
    sweep,
)
from solidsim.fill.gas_kernels import find_near, find_pockets, let_out, share_out_air
from solidsim.fill.momentum_kernels import (
    clear,
    extend,
    predict,
    resist,
    watch_surface,
)
from solidsim.fill.pressure_kernels import System, assemble, factor, press, solve

SEEDS = pytest.mark.parametrize("seed", range(12))


def cavity(seed):
    """A random cavity in a ring of closed cells, with metal that moves through it."""
    rng = np.random.default_rng(seed)
    ny, nx = rng.integers(5, 10, 2)
    open_ = np.zeros((ny, nx), bool)
    open_[1:-1, 1:-1] = rng.random((ny - 2, nx - 2)) < 0.9
    V = np.where(open_, rng.uniform(0.5, 1.0, (ny, nx)), 0.0)
    Ax, Ay = np.zeros((ny, nx)), np.zeros((ny, nx))
    Ax[:, 1:] = np.minimum(V[:, 1:], V[:, :-1])
    Ay[1:] = np.minimum(V[1:], V[:-1])
    F = np.where(open_, np.clip(rng.uniform(-0.7, 1.7, (ny, nx)), 0.0, 1.0), 0.0)
    u, v = (np.where(A > 0.0, rng.uniform(-1.0, 1.0, A.shape), 0.0) for A in (Ax, Ay))
    kind = np.where(open_, np.where(F >= 0.5, 2, 1), 0).astype(np.int8)
    cells = np.arange(nx + 1, F.size - nx - 1, dtype=np.uint64)
    return SimpleNamespace(
        cells=cells, rng=rng, nx=int(nx), open=open_, V=V, Ax=Ax, Ay=Ay, F=F, u=u, v=v, kind=kind
    )


def flat(*arrays):
    return [np.ascontiguousarray(array).ravel() for array in arrays]


@SEEDS
def test_share_in_a_strip(seed):
    c = cavity(seed)
    F, V = flat(c.F, c.V)
    s = 0.3
    for j, i in np.argwhere((c.F > 0.0) & (c.F < 1.0)):
        k = j * c.nx + i
        for a, b, upward, strip in (
            (1, c.nx, True, box(1.0 - s, 0.0, 1.0, 1.0)),
            (1, c.nx, False, box(0.0, 0.0, s, 1.0)),
            (c.nx, 1, True, box(0.0, 1.0 - s, 1.0, 1.0)),
            (c.nx, 1, False, box(0.0, 0.0, 1.0, s)),
        ):
            exact = naive.share_passed(c.F, c.V, j, i, strip)
            assert share_passed(F, V, k, s, upward, a, b) == pytest.approx(exact, abs=1e-7)


@SEEDS
def test_sweeps_along_x_and_y(seed):
    c = cavity(seed)
    M, H = c.F * c.V, c.F * c.V * c.rng.uniform(1.0, 2.0, c.F.shape)
    for turn, (q, A) in enumerate(((c.u, c.Ax), (c.v, c.Ay))):
        arrays = [array.T if turn else array for array in (c.F, c.kind, M, H, q, A, c.V)]
        exact = naive.sweep_x(*arrays, 0.4)
        F2, M2, H2, q2, A2, V2 = (array.copy() for array in flat(c.F, M, H, q, A, c.V))
        strides = (c.nx, 1) if turn else (1, c.nx)
        work = np.zeros(F2.size), np.zeros(F2.size)
        sweep(F2, c.kind.ravel(), M2, H2, q2, A2, V2, *strides, c.cells, 0.4, *work)
        assert not np.any(work)
        for found, known in zip((F2, M2, H2), exact, strict=True):
            found = found.reshape(c.F.shape)
            np.testing.assert_allclose(found.T if turn else found, known, atol=1e-7)
        assert M2.sum() == pytest.approx(M.sum(), rel=1e-13)
        assert H2.sum() == pytest.approx(H.sum(), rel=1e-13)


@SEEDS
def test_crumbs_go_to_the_fullest_neighbor(seed):
    c = cavity(seed)
    M = c.F * c.V
    crumbs = c.open & (c.rng.random(M.shape) < 0.3)
    M[crumbs] = 1e-10 * c.V[crumbs]
    H = 2.0 * M
    F2, M2, H2 = (array.copy() for array in flat(c.F, M, H))
    assert settle(F2, M2, H2, c.V.ravel(), c.nx, c.cells, 1e-9) == 0.0
    for j, i in np.argwhere(c.open & ~crumbs):
        assert M2[j * c.nx + i] >= M[j, i]
    for j, i in np.argwhere(crumbs):
        if max(M[o] for o in naive.around(j, i)) > 1e-3 * c.V.max():
            assert M2[j * c.nx + i] == 0.0
    assert M2.sum() == pytest.approx(M.sum(), rel=1e-13)
    np.testing.assert_allclose(H2, 2.0 * M2, rtol=1e-12)
    np.testing.assert_allclose(F2 * c.V.ravel(), M2, rtol=1e-12)


@SEEDS
def test_what_mouths_want_to_bring(seed):
    c = cavity(seed)
    rng, n = c.rng, c.F.size
    cell, mouth = (
        rng.choice(c.cells.astype(np.int64), 6, replace=False),
        np.array([0, 0, 1, 1, 1, 2]),
    )
    share, V, flow = rng.random(6), rng.random(6), rng.uniform(-1.0, 1.0, 3)
    yields, p = rng.random(3), rng.random(3)
    faces, owners = rng.choice(n, (2, 3), replace=False), rng.integers(0, 3, (2, 3))
    per, (u, v) = rng.random((2, 3)), np.full((2, n), 7.0)
    total, source, soft = np.empty(3), np.empty(6), np.empty(6)
    walls = [q for axis in range(2) for q in (faces[axis], owners[axis], per[axis])]
    kind = c.kind.ravel()
    most = bring(
        cell, mouth, share, V, kind, flow, yields, p, *walls, u, v, total, source, soft
    )  # fmt: skip
    there = kind[cell] > 0
    sums = np.bincount(mouth, share * there, 3)
    own = np.where(there, share, 0.0) / np.where(sums > 0.0, sums, 1.0)[mouth]
    np.testing.assert_allclose(soft, yields[mouth] * own * (kind[cell] == 2), rtol=1e-12)
    np.testing.assert_allclose(source, flow[mouth] * own + soft * p[mouth], rtol=1e-12)
    assert most == pytest.approx((np.abs(flow[mouth] * own) / V).max(), rel=1e-12)
    for q, axis in ((u, 0), (v, 1)):
        through = np.where(sums > 0.0, flow, 0.0)[owners[axis]] * per[axis]
        np.testing.assert_allclose(q[faces[axis]], through, rtol=1e-12)
        assert np.count_nonzero(q == 7.0) == n - 3


@SEEDS
def test_what_comes_from_mouths(seed):
    c = cavity(seed)
    rng, n = c.rng, c.F.size
    cell = rng.choice(np.flatnonzero(c.open), 6, replace=False)
    mouth, enthalpy = np.array([0, 0, 1, 1, 1, 2]), rng.uniform(1.0, 2.0, 6)
    source, soft, p = rng.uniform(-1.0, 1.0, 6), rng.random(6), rng.uniform(-1.0, 1.0, n)
    M, H = c.F * c.V, c.F * c.V * 1.5
    M2, H2, V, entered = *(q.copy() for q in flat(M, H, c.V)), np.zeros(3)
    heat = pour(
        cell, mouth, source, soft, enthalpy, p, 0.5, 1.05, 0.5, M2, H2, V, entered
    )  # fmt: skip
    expected, volume = 0.0, np.zeros(3)
    for i, (k, own, warm) in enumerate(zip(cell, mouth, enthalpy, strict=True)):
        held = M.ravel()[k]
        comes = np.clip(0.5 * (source[i] - soft[i] * p[k]), -0.5 * held, 1.05 * V[k] - held)
        gain = comes * (warm if comes > 0.0 else 1.5)
        assert M2[k] == pytest.approx(held + comes, rel=1e-12)
        assert H2[k] == pytest.approx(1.5 * held + gain, rel=1e-12)
        expected, volume[own] = expected + gain, volume[own] + comes
    assert heat == pytest.approx(expected, rel=1e-12)
    np.testing.assert_allclose(entered, volume, rtol=1e-12, atol=1e-99)
    others = np.setdiff1d(np.arange(n), cell)
    assert (M2[others] == M.ravel()[others]).all()


@pytest.mark.parametrize("turned", [True, False])
@SEEDS
def test_metal_moves_in_parts(seed, turned):
    c = cavity(seed)
    n, none = c.F.size, np.zeros(0, np.int64)
    F, V, Ax, Ay, u, v = (q.copy() for q in flat(c.F, c.V, c.Ax, c.Ay, c.u, c.v))
    M, H, room = np.zeros(n), F * V * 2.0, np.zeros((2, n))
    zeros, nothing = np.zeros(n), np.zeros(0)
    M2, H2, F2 = F * V, H.copy(), F.copy()
    share = largest_share(M2, u, v, Ax, Ay, V, c.nx, c.cells)
    for asked, parts in ((0.4, 1), (0.9, 2), (2.0, 2)):
        dt = min(asked, 1.0) / share
        found = move(
            F, c.kind.ravel(), M, H, u, v, Ax, Ay, V, c.nx, c.cells, asked / share, 0.5, 2, turned,
            1e-9, none, none, zeros, zeros, nothing, zeros, 1.05, 0.5, np.zeros(0), *room,
        )  # fmt: skip
        assert found == pytest.approx((dt, parts, share, 0.0, 0.0), rel=1e-12)
        for part in range(parts):
            order = ((u, Ax, 1, c.nx), (v, Ay, c.nx, 1))
            for q, A, a, b in order[:: 1 if turned == (part == 0) else -1]:
                sweep(F2, c.kind.ravel(), M2, H2, q, A, V, a, b, c.cells, dt / parts, *room)
            settle(F2, M2, H2, V, c.nx, c.cells, 1e-9)
        np.testing.assert_allclose(F, F2, rtol=1e-12)
        np.testing.assert_allclose(H, H2, rtol=1e-12)
        share = largest_share(M2, u, v, Ax, Ay, V, c.nx, c.cells)


@SEEDS
def test_pockets_and_their_air(seed):
    c = cavity(seed)
    n = c.F.size
    kind, owner = np.zeros(n, np.int8), np.zeros(n, np.int64)
    F, V, Ax, Ay = flat(c.F, c.V, c.Ax, c.Ay)
    openings = c.rng.integers(c.nx, n - c.nx, 3)
    is_open = np.empty(n, bool)
    count = find_pockets(
        F, c.open.ravel(), Ax, Ay, c.nx, c.cells, openings, kind, owner, np.zeros(n, np.int64),
        is_open,
    )  # fmt: skip
    exact, bodies = naive.pockets(c.F, c.open, c.Ax, c.Ay)
    assert (kind.reshape(c.F.shape) == exact).all()
    assert count == len(bodies)
    owner2 = owner.reshape(c.F.shape)
    for number, (air, _) in enumerate(bodies, start=1):
        assert {owner2[cell] for cell in air} == {number}
    rims = set().union(*(rim for _, rim in bodies))
    for cell in map(tuple, np.argwhere((exact == 2) & (owner2 > 0))):
        assert cell in bodies[owner2[cell] - 1][1]
    assert {cell for cell in rims if owner2[cell] == 0} == set()

    for number in range(count + 1):
        air = [k for k in openings if kind[k] == 1 and owner[k] == number]
        assert is_open[number] == (number == 0 or bool(air))

    before, was_open = c.rng.integers(0, 4, n), np.array([True, False, False, True])
    now_open = np.append(True, c.rng.random(count) < 0.3)
    amount, p, leak = np.array([0.0, 5.0, 7.0, 0.0]), c.rng.uniform(-1.0, 1.0, n), c.rng.random(n)
    held, volume, drain = now = np.zeros((3, count + 1))
    share_out_air(
        c.cells, owner, now_open, before, was_open, amount, F, V, p, 10.0, 0.4, 1.0, leak,
        np.zeros(4), now,
    )  # fmt: skip
    void = np.maximum(1.0 - F, 1e-9) * V
    owned = owner > 0
    for number in np.flatnonzero(~now_open):
        own = owner == number
        share = 0.0
        for old in (1, 2):
            both = own & (before == old)
            if both.any():
                share += amount[old] * void[both].sum() / void[owned & (before == old)].sum()
        share += ((10.0 + p) * void)[own & was_open[before]].sum()
        bounded = np.clip(share, 0.4 * 10.0 * void[own].sum(), 10.0 * void[own].sum())
        assert held[number] == pytest.approx(bounded, rel=1e-12)
        assert volume[number] == pytest.approx(void[own].sum(), rel=1e-12)
        assert drain[number] == pytest.approx(leak[own].sum(), rel=1e-12)


@SEEDS
def test_cells_near_metal(seed):
    """No farther than 2 rows and columns from a mouth, or from or between metal of a row."""
    c = cavity(seed)
    F, (ny, nx) = np.where(c.rng.random(c.F.shape) < 0.1, c.F, 0.0), c.F.shape
    cells = np.flatnonzero(c.open).astype(np.uint64)
    mouths = np.sort(c.rng.choice(cells, 2)).astype(np.int64)
    marked = F > 0.0
    marked.flat[mouths] = True
    rows = np.searchsorted(cells, nx * np.arange(ny + 1))
    low, high = np.zeros((2, ny), np.int64)
    near = np.zeros(cells.size, np.uint64)
    count = find_near(F.ravel(), cells, rows, nx, mouths, 2, low, high, near)
    expected = []
    for j, i in np.argwhere(c.open):
        there = [np.flatnonzero(row) for row in marked[max(j - 2, 0) : j + 3] if row.any()]
        west, east = (
            min(row[0] for row in there) if there else 99,
            max((row[-1] for row in there), default=-99),
        )
        if west - 2 <= i <= east + 2:
            expected.append(j * nx + i)
    assert near[:count].tolist() == expected


@SEEDS
def test_eddies_and_shear(seed):
    c = cavity(seed)
    ix, iy = c.rng.uniform(5.0, 9.0, c.F.shape), c.rng.uniform(5.0, 9.0, c.F.shape)
    mix2, still, rough = (c.rng.uniform(0.0, 1.0, c.F.shape) for _ in range(3))
    eddy, shear = np.zeros((2, c.F.size))
    resist(
        *flat(c.u, c.v, c.F, c.V, ix, iy, mix2, still, rough), c.nx, c.cells, eddy, shear
    )  # fmt: skip
    exact = naive.resistance(c.u, c.v, c.F, c.V, ix, iy, mix2, still, rough)
    np.testing.assert_allclose(eddy.reshape(c.F.shape), exact[0], rtol=1e-12)
    np.testing.assert_allclose(shear.reshape(c.F.shape), exact[1], rtol=1e-12)


@SEEDS
def test_motion_is_cleared_where_it_was(seed):
    c = cavity(seed)
    q, passing, grows = np.ones((3, c.F.size))
    known, some = np.ones(c.F.size, np.int8), c.rng.choice(c.cells, 5)
    clear(some, q, known, passing, grows)
    for field in (q, known, passing, grows):
        assert (field == 0).nonzero()[0].tolist() == sorted(set(some.tolist()))


def test_air_that_leaves_pockets():
    amount, volume, leak = np.array([0.0, 8.0, 6.0]), np.array([0.0, 4.0, 2.0]), np.full(3, 0.5)
    let_out(np.array([1, 2]), amount, volume, leak, np.array([3.0, -2.0]), 0.1)
    assert amount == pytest.approx([0.0, 8.0 / (1.0 + 0.1 * 0.5 * 3.0 / 4.0), 6.0 * (1.0 + 0.05)])


@pytest.mark.parametrize("slip", [True, False])
@SEEDS
def test_velocity_before_the_pressure(seed, slip):
    c = cavity(seed)
    h, dt, least = 0.1, 0.03, 0.1
    nu, rho, g = metal = (1e-3, 7.0, -9.0)
    eddy, shear, mush = (c.rng.uniform(0.0, top, c.F.shape) for top in (1e-2, 1.0, 3.0))
    for turn, (q, w, A, B) in enumerate(((c.u, c.v, c.Ax, c.Ay), (c.v, c.u, c.Ay, c.Ax))):
        known = np.where(A > 0.0, c.rng.integers(0, 5, A.shape), 0).astype(np.int8)
        q, w = np.where((known > 0) | (A == 0.0), q, 0.0), np.where(B > 0.0, w, 0.0)
        growth = c.rng.uniform(-0.3, 0.3, A.shape)
        fields = [
            array.T if turn else array
            for array in (q, w, known, growth, A, c.kind, c.F, eddy, shear, mush)
        ]
        exact = naive.predicted_x(*fields[:7], h, *fields[7:], metal, dt, slip, least)
        n = c.F.size
        found = np.zeros(n), np.zeros(n, np.int8), np.zeros(n)
        Q, W, K, D, S, kind, F, mixed, held, soft = flat(
            q, w, known, growth, A, c.kind, c.F, eddy, shear, mush
        )
        steps = np.full(n, 1.0 / h)
        strides = (c.nx, 1) if turn else (1, c.nx)
        predict(
            Q, W, K, K, D, S, kind, F, steps, steps, steps, steps, mixed, held, soft, nu, rho, g,
            dt, slip, least, *strides, c.cells, *found,
        )  # fmt: skip
        for one, other in zip(found, exact, strict=True):
            one = one.reshape(c.F.shape)
            np.testing.assert_allclose(one.T if turn else one, other, rtol=1e-9, atol=1e-12)


@SEEDS
def test_velocity_reaches_into_the_air(seed):
    c = cavity(seed)
    known = np.where(c.Ax > 0.0, c.rng.integers(0, 3, c.Ax.shape), 0).astype(np.int8)
    q, sort = c.u.copy().ravel(), known.copy().ravel()
    before, known_before = c.v.ravel(), c.rng.integers(0, 3, q.size).astype(np.int8)
    grows = np.zeros(q.size)
    extend(q, c.Ax.ravel(), sort, before, known_before, 1, c.nx, c.cells, grows)
    both = (known.ravel() == 1) & (known_before == 1)
    growth = np.where(both, (c.u.ravel() - before) / 2.0, 0.0)
    np.testing.assert_allclose(grows, growth, rtol=1e-12)
    exact, layer = c.u.copy(), known.copy()
    for near, new in ((1, 3), (3, 4)):
        old = layer.copy()
        for cell in map(tuple, np.argwhere((c.Ax > 0.0) & ~np.isin(old, (1, 3)))):
            values = [exact[o] for o in naive.around(*cell) if max(o) < 99 and old[o] == near]
            if values:
                exact[cell], layer[cell] = np.mean(values), new
    np.testing.assert_allclose(q.reshape(c.u.shape), exact, rtol=1e-12)
    assert (sort.reshape(c.u.shape) == layer).all()


@SEEDS
def test_fastest_places(seed):
    c = cavity(seed)
    x, y = c.u * c.Ax, c.v * c.Ay
    out = [np.maximum(q, 0.0) for q in (-x, np.roll(x, -1, 1), -y, np.roll(y, -1, 0))]
    V = np.where(c.open, c.V, 1.0)
    most = (np.where(c.F > 0.05, sum(out), 0.0) / V).max()
    arrays = flat(c.F * c.V, c.u, c.v, c.Ax, c.Ay, c.V)
    assert largest_share(*arrays, c.nx, c.cells) == pytest.approx(most, rel=1e-12)

    owner = c.rng.integers(0, 2, c.F.shape)
    kind = np.where(c.open & (c.rng.random(c.F.shape) < 0.2), 2, c.kind)
    arrival, exposure = np.full(c.F.size, np.nan), np.zeros(c.F.size)
    speed, cell = watch_surface(
        *flat(kind, owner, c.F, c.u, c.v), c.nx, c.cells, 0.5, 2.0, arrival, exposure
    )  # fmt: skip
    middle = np.hypot(0.5 * (c.u + np.roll(c.u, -1, 1)), 0.5 * (c.v + np.roll(c.v, -1, 0))) * (
        (kind == 2) & (owner > 0) & (c.F >= 0.5)
    )
    assert speed == pytest.approx(middle.max(), rel=1e-12)
    assert cell == middle.argmax() or middle.max() == 0.0
    assert ((arrival == 2.0) == (c.F >= 0.5).ravel()).all()
    assert (exposure == 0.5 * ((kind == 2) & (owner > 0) & (c.F > 0.0)).ravel()).all()


@SEEDS
def test_pressure_of_metal_and_pockets(seed):
    c = cavity(seed)
    n, rng = c.F.size, c.rng
    F, V, Ax, Ay, u, v = flat(c.F, c.V, c.Ax, c.Ay, c.u.copy(), c.v.copy())
    kind, owner = np.zeros(n, np.int8), np.zeros(n, np.int64)
    count = find_pockets(
        F, c.open.ravel(), Ax, Ay, c.nx, c.cells, np.zeros(0, np.int64), kind, owner,
        np.zeros(n, np.int64), np.empty(n, bool),
    )  # fmt: skip
    metal = kind == 2
    wet_x, wet_y = (metal | np.roll(metal, s) for s in (1, c.nx))
    cx, cy = (rng.uniform(0.1, 2.0, n) * A * wet for A, wet in ((Ax, wet_x), (Ay, wet_y)))
    shut = [number for number in range(1, count + 1) if rng.random() < 0.6]
    unknown = np.full(count + 1, -1)
    unknown[shut] = np.arange(len(shut))
    own, own_right = rng.uniform(0.1, 1.0, len(shut)), rng.uniform(-1.0, 1.0, len(shut))
    source, soft, p = rng.uniform(-1.0, 1.0, n), rng.random(n), rng.uniform(-1.0, 1.0, n)
    ease, most, suction, squeeze, air, dt = 0.5, 0.02, -0.5, 0.01, 9.0, 0.1

    system = System(
        np.zeros((3, n + 2), np.int64), np.zeros((12, n + 2)), np.zeros((2, 4 * n), np.int64),
        np.zeros(4 * n),
    )  # fmt: skip
    number, before = np.full(n, -1), p.copy()
    cells, links, volume = assemble(
        kind, owner, unknown, F, V, Ax, Ay, cx, cy, u, v, np.arange(n), source, soft, p, own,
        own_right,
        np.zeros(len(shut)), ease, most, suction, squeeze, air, dt, c.nx, c.cells, number, system,
    )  # fmt: skip
    factor(cells, len(shut), links, 0.97, system)
    assert volume == pytest.approx(V[metal & (number >= 0)].sum(), rel=1e-12)
    turns, left = solve(cells, len(shut), links, 1e-24, 500, system)
    assert left <= 1e-24
    assert turns < 500
    press(
        kind, owner, unknown, Ax, Ay, cx, cy, number, cells, c.nx,
        np.arange(n, dtype=np.uint64), c.cells, system, p, u, v, np.zeros(len(shut)),
    )  # fmt: skip

    inside = owner == 0
    voids = np.where(inside, np.maximum(1.0 - F, 0.0), 0.0)
    stiff = V * (squeeze + voids / (air + np.maximum(before, 0.0))) / dt
    right = V / dt * np.clip(ease * (F - 1.0), -most, most)
    right[~((F > 1.0) | (inside & (before > suction)))] = 0.0
    x, y = c.u * c.Ax, c.v * c.Ay
    inflow = source + right + (x - np.roll(x, -1, 1) + y - np.roll(y, -1, 0)).ravel()
    inflow += stiff * before
    own_right = own_right.copy()
    for place, pocket in enumerate(shut):
        for j, i in np.argwhere((owner.reshape(c.F.shape) == pocket) & (c.kind == 1)):
            for (k, m), flow in zip(
                naive.around(j, i), (x[j, i], -x[j, i + 1], y[j, i], -y[j + 1, i]), strict=True
            ):
                own_right[place] += flow if c.kind[k, m] == 2 else 0.0
    grids = [array.reshape(c.F.shape) for array in (cx, cy, inflow, soft + stiff)]
    exact = naive.pressures(c.kind, owner.reshape(c.F.shape), shut, *grids, own, own_right)
    alone = metal & (number < 0)
    np.testing.assert_allclose(p[~alone], exact.ravel()[~alone], rtol=1e-8, atol=1e-9)
    fall = np.roll(p, 1) - p
    moved = np.divide(cx * fall, Ax, out=np.zeros(n), where=Ax > 0.0)
    np.testing.assert_allclose(u, c.u.ravel() + moved, rtol=1e-12, atol=1e-12)
