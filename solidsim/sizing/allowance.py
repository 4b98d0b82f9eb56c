"""How much larger the pattern is than the finished part: contraction and machining stock."""

from typing import Literal, NamedTuple

from solidsim.errors import SizingError
from solidsim.sizing.checks import check_count, check_known, check_not_negative, check_positive
from solidsim.sizing.kinds import INCH, Contraction, Length, Number

CastAlloy = Literal[
    "gray-iron",
    "malleable-iron",
    "steel",
    "aluminum",
    "magnesium",
    "brass",
    "bronze",
    "copper",
    "zinc",
]
IN_PER_FT = 1.0 / 12.0


class PatternAllowance(NamedTuple):
    """Contraction to allow, the least and most of the tables, and the scale of the model."""

    contraction: Contraction
    least: Contraction
    most: Contraction
    scale: Number


class PatternSize(NamedTuple):
    """Length of the rough casting with its stock, and of the pattern that makes it."""

    casting_length: Length
    pattern_length: Length


class MachiningStock(NamedTuple):
    """Stock to leave on a face that lies in the drag (or stands upright), and in the cope."""

    drag: Length
    cope: Length


# Value: percent table of the Westermann handbook as reprinted ("Shrinkage of Materials"), save
# copper and zinc, whose percentages (1 and 1.5) are those of loose castings: their value is the
# patternmaker's rule. Least and most: that table, Dooley 1919 section 426, and the
# patternmaker's shrink rules (gray iron 1/10-1/8, steel 3/16-1/4, copper 3/16, zinc 5/16 in/ft).
ALLOWANCES: dict[str, tuple[float, float, float]] = {
    "gray-iron": (0.010, 3 / 32 * IN_PER_FT, 1 / 8 * IN_PER_FT),
    "malleable-iron": (0.016, 0.016, 0.016),
    "steel": (0.020, 3 / 16 * IN_PER_FT, 1 / 4 * IN_PER_FT),
    "aluminum": (0.0125, 0.0125, 7 / 32 * IN_PER_FT),
    "magnesium": (0.0125, 0.0125, 0.0125),
    "brass": (0.015, 0.015, 7 / 32 * IN_PER_FT),
    "bronze": (0.015, 5 / 32 * IN_PER_FT, 3 / 16 * IN_PER_FT),
    "copper": (3 / 16 * IN_PER_FT, 0.010, 3 / 16 * IN_PER_FT),
    "zinc": (5 / 16 * IN_PER_FT, 0.015, 5 / 16 * IN_PER_FT),
}

# Longest side up to, stock in the drag, stock in the cope, all in inches: Badger Iron Works,
# "Typical minimum machine finish allowance".
IRON_STOCK = (
    (8.0, 0.125, 0.156),
    (14.0, 0.156, 0.1875),
    (18.0, 0.1875, 0.25),
    (24.0, 0.25, 0.3125),
    (30.0, 0.3125, 0.375),
    (36.0, 0.375, 0.5),
)


def pattern_allowance(alloy: CastAlloy) -> PatternAllowance:
    """Contraction to allow on the pattern, and the scale factor for the drawing.

    A starting value: cores, flanges and stiff molds hold a casting back, and it then
    contracts less.

    Parameters
    ----------
    alloy : str

    Notes
    -----
    scale = 1 + contraction  (the contraction is reckoned on the casting, as on a shrink rule)

    References
    ----------
    Westermann tables, reprint; Dooley 1919, Applied Science for Metal Workers, section 426;
    patternmaker's shrink rules.
    """
    check_known(ALLOWANCES, alloy=alloy)
    contraction, least, most = ALLOWANCES[alloy]
    return PatternAllowance(contraction, least, most, 1.0 + contraction)


def pattern_size(
    finished_length: Length,
    contraction: Contraction,
    stock: Length = 0.0,
    machined_ends: Number = 0.0,
) -> PatternSize:
    """Length of the pattern for a length of the finished part.

    Parameters
    ----------
    finished_length : float, [m]
    contraction : float, [1]
    stock : float, [m]
        Machining stock on each machined end.
    machined_ends : float
        0, 1 or 2.

    Notes
    -----
    casting = finished + machined ends x stock;  pattern = casting (1 + contraction)

    References
    ----------
    Definition of the shrink rule.
    """
    check_positive(finished_length=finished_length)
    check_not_negative(contraction=contraction, stock=stock)
    check_count(0, 2, machined_ends=machined_ends)
    casting = finished_length + machined_ends * stock
    return PatternSize(casting, casting * (1.0 + contraction))


def machining_stock(longest_side: Length) -> MachiningStock:
    """Least machining stock on an iron casting.

    Steel wants 1/4 to 1/2 in, small brass castings 1/16 to 1/8 in (Dooley 1919, section 428).

    Parameters
    ----------
    longest_side : float, [m]

    Notes
    -----
    table: up to 8 in: 1/8 in the drag, 5/32 in the cope; 14 in: 5/32, 3/16; 18 in: 3/16, 1/4;
    24 in: 1/4, 5/16; 30 in: 5/16, 3/8; 36 in: 3/8, 1/2

    References
    ----------
    Badger Iron Works, typical minimum machine finish allowance.
    """
    check_positive(longest_side=longest_side)
    for reach, drag, cope in IRON_STOCK:
        if longest_side <= reach * INCH * (1.0 + 1e-9):
            return MachiningStock(drag * INCH, cope * INCH)
    raise SizingError(
        f"the table of stock ends at a longest side of 36 in; given {longest_side / INCH:g} in"
    )
