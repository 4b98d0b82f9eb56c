"""How thick and how thin the metal of a drawing is, and the cell and the cover that follow."""

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from solidsim.section.fillets import close_seams

CELLS_ACROSS = 10
"""Cells across the thinnest metal, unless the case gives the cell."""

COVER = 3.5
"""Sand around the parts over the half thickness of the thickest metal, unless the case gives it.

A plate of half thickness a has frozen when its shells meet, and by then heat is felt to 1 % a
distance 3.64 sqrt(alpha t) into the sand (erfc(1.82) = 0.01). With the sand of 0.6 W/mK and
the metals poured without superheat that is 2.6 a (iron) and 3.0 a (aluminum), by the
half-space solution of Schwarz 1931 (Carslaw & Jaeger 1959, section 11.2); a third more time for
superheat makes 3.5 a.
"""

_SHARE = 0.1
_HALVINGS = 12


def half_thickness(metal: Sequence[BaseGeometry]) -> float:
    """Radius of the largest disk inside the metal, [m], to 1 %."""
    body = close_seams(shapely.union_all(list(metal)))
    left, low, right, high = body.bounds
    tolerance = 0.01 * min(right - left, high - low)
    return float(shapely.length(shapely.maximum_inscribed_circle(body, tolerance)))


def thinnest(metal: Sequence[BaseGeometry]) -> float:
    """Thickness of the thinnest metal, [m].

    Parameters
    ----------
    metal : sequence of shapely geometry
        What shows of each metal part.

    Returns
    -------
    float
        The least thickness such that some part loses a tenth of its area where places thinner
        than that are taken out of the metal as a whole. Found to 1 % between a thousandth of
        the greatest thickness and that.
    """
    body = close_seams(shapely.union_all(list(metal)))
    high = 2.2 * half_thickness(metal)
    low = high / 1000.0
    for _ in range(_HALVINGS):
        middle = (low * high) ** 0.5
        if _loses_a_part(body, metal, middle):
            high = middle
        else:
            low = middle
    return low


def _loses_a_part(body: BaseGeometry, metal: Sequence[BaseGeometry], thickness: float) -> bool:
    """Whether some part is thinner than that for more than a tenth of its area."""
    shrunk = body.buffer(-0.5 * thickness, join_style="mitre")
    thick = shrunk.buffer(0.5 * thickness, join_style="mitre")
    areas = shapely.area(metal)
    return bool((shapely.area(shapely.difference(metal, thick)) > _SHARE * areas).any())
