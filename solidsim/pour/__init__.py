"""Metal that comes into a cooling mold: where fill and heat meet.

In: the state of the heat, before its first step. Out: a ``Pouring`` that brings the metal in, piece
by piece, while the mold takes up its heat: quietly rising, or flowing with a free surface.
"""

from solidsim.pour.pouring import Pouring
from solidsim.pour.starting import start_pouring

__all__ = ["Pouring", "start_pouring"]
