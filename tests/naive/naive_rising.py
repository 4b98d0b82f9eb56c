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


def carried(potential, across, wanted, parts, h_in, nx, held, h):
    """Exact enthalpies after the metal has passed, and what enters at each cell.

    across maps pairs of neighbors to the conductance of their face; potential has None in cells
    that no metal reaches.
    """
    n = len(potential)
    cells = sorted((c for c in range(n) if potential[c] is not None), key=lambda c: potential[c])
    F, shares = [Fraction(w) for w in wanted], {}
    for c in cells:
        over = {
            o: Fraction(across[min(o, c), max(o, c)]) * (Fraction(potential[o]) - potential[c])
            for o in neighbors(c, nx, n)
            if potential[o] is not None and potential[o] > potential[c]
        }
        shares[c] = {o: value / sum(over.values()) for o, value in over.items() if value}
        for o, share in shares[c].items():
            F[o] += F[c] * share
    out, there = [Fraction(value) for value in h], [Fraction(value) for value in held]
    for _ in range(parts):
        for c in reversed(cells):
            if F[c]:
                mean = sum(out[o] * share for o, share in shares[c].items())
                comes = F[c] / parts
                mean = mean if shares[c] else Fraction(h_in[c])
                out[c] = (there[c] * out[c] + comes * mean) / (there[c] + comes)
                there[c] += Fraction(wanted[c]) / parts
    enters = [float(F[c]) if c in shares and not shares[c] else 0.0 for c in range(n)]
    return [float(v) for v in out], enters
