"""What does a run mean for the casting? Findings with value, limit, margin, place and source.

`judge` turns a run, fresh or from a file, into findings, the worst first; `feeding_of` gives
what they say of feeding as arrays, for pictures.
"""

from solidsim.judgment.feeding import feeding_of
from solidsim.judgment.judging import judge

__all__ = ["feeding_of", "judge"]
