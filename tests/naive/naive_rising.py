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


def carried(d, wanted, parts, h_in, nx, held, h):
    """Exact enthalpies after the metal has passed, and what each mouth cell lets in."""
    n = len(d)
    nearer = {c: [o for o in neighbors(c, nx, n) if d[o] == d[c] - 1] for c in range(n) if d[c] > 0}
    F = [Fraction(w) / parts for w in wanted]
    for c in sorted(nearer, key=lambda c: -d[c]):
        for o in nearer[c]:
            F[o] += F[c] / len(nearer[c])
    out, there = [Fraction(value) for value in h], [Fraction(value) for value in held]
    moving = sorted((c for c in range(n) if d[c] >= 0 and F[c] > 0), key=lambda c: d[c])
    for _ in range(parts):
        for c in moving:
            mean = sum(out[o] for o in nearer[c]) / len(nearer[c]) if d[c] else Fraction(h_in[c])
            out[c] = (there[c] * out[c] + F[c] * mean) / (there[c] + F[c])
            there[c] += Fraction(wanted[c]) / parts
    through = [float(parts * F[c]) if d[c] == 0 else 0.0 for c in range(n)]
    return [float(v) for v in out], through
