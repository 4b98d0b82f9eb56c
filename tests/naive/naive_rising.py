"""Slow and plain twins of the kernels of the rising fill."""

from fractions import Fraction


def neighbors(cell, nx, n):
    j, i = divmod(cell, nx)
    places = [(j, i - 1), (j, i + 1), (j - 1, i), (j + 1, i)]
    return [a * nx + b for a, b in places if 0 <= b < nx and 0 <= a < n // nx]


def distances(passable, mouths, nx):
    """Number of cells from the nearest mouth, ring by ring."""
    found = {m: 0 for m in mouths if m >= 0 and passable[m]}
    ring = list(found)
    while ring:
        ahead = {o for c in ring for o in neighbors(c, nx, len(passable)) if passable[o]}
        ring = sorted(ahead - set(found))
        found |= dict.fromkeys(ring, 1 + max(found.values()))
    return [found.get(c, -1) for c in range(len(passable))]


def carried(d, wanted, V, new, h_in, nx, h):
    """Exact enthalpies after the metal has passed, and what each mouth cell lets in."""
    n = len(d)
    nearer = {c: [o for o in neighbors(c, nx, n) if d[o] == d[c] - 1] for c in range(n) if d[c] > 0}
    F = [Fraction(w) for w in wanted]
    for c in sorted(nearer, key=lambda c: -d[c]):
        for o in nearer[c]:
            F[o] += F[c] / len(nearer[c])
    out = [Fraction(value) for value in h]
    for c in sorted((c for c in range(n) if d[c] >= 0 and F[c] > 0), key=lambda c: d[c]):
        if d[c]:
            coming = sum(out[o] for o in nearer[c]) / len(nearer[c])
        else:
            coming = Fraction(h_in[c])
        held = 0 if new[c] else Fraction(V[c])
        out[c] = coming if new[c] else (held * out[c] + F[c] * coming) / (held + F[c])
    return [float(v) for v in out], [float(F[c]) if d[c] == 0 else 0.0 for c in range(n)]
