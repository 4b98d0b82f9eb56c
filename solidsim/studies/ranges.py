"""The values that a study gives to one input: a list, or a range in even steps.

Every input is also a number between zero and one, so that a plan of runs can be drawn up without
knowing what it means.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from solidsim.errors import QuantityError
from solidsim.quantities import KINDS, Units, display_unit, in_unit, read_quantity, units_of
from solidsim.studies.paths import Steps

PREFERRED = ("length", "temperature", "time", "mass", "fraction")  # where a unit fits several kinds


@dataclass(frozen=True)
class Input:
    """One input of a study.

    Parameters
    ----------
    values : tuple
        As the case would write them, for a grid.
    numbers : tuple of float
        The same in SI; for words NaN.
    kind : str
        Kind of quantity; ``"word"`` for what is none.
    low, high : float, [SI]
        Ends of a range, both NaN for a list.
    """

    name: str
    path: Steps
    values: tuple[Any, ...]
    numbers: tuple[float, ...]
    kind: str
    low: float = math.nan
    high: float = math.nan
    units: Units = "metric"

    @property
    def is_list(self) -> bool:
        """Whether only the listed values are allowed."""
        return math.isnan(self.low)

    def at(self, share: float) -> Any:
        """Value at a share from zero to one of the range, or in that part of the list."""
        if self.is_list:
            return self.values[min(int(share * len(self.values)), len(self.values) - 1)]
        value = self.low + share * (self.high - self.low)
        return _text(value, self.kind, self.units, digits=4)  # as closely as sand is cut

    def number_of(self, value: Any) -> float:
        """A value in SI; of a word, its place in the list from one."""
        if self.kind == "word":
            return 1.0 + self.values.index(value)
        return number_in(value, self.kind)


def list_input(name: str, path: Steps, values: list[Any]) -> Input:
    """Input of listed values."""
    kind = _kind_of(values)
    numbers = tuple(math.nan if kind == "word" else number_in(one, kind) for one in values)
    return Input(name, path, tuple(values), numbers, kind)


def range_input(name: str, path: Steps, ends: tuple[Any, Any], steps: int, units: Units) -> Input:
    """Input over a range, for a grid in even steps.

    Raises
    ------
    QuantityError
        If the ends are not two quantities of one kind, the lower one first.
    """
    kind = _kind_of(list(ends))
    if kind == "word":
        given = f'from "{ends[0]}" to "{ends[1]}"'
        raise QuantityError(given, "two quantities of one kind", '["40 mm", "60 mm"]')
    low, high = (number_in(end, kind) for end in ends)
    if not low < high:
        raise QuantityError(f'from "{ends[0]}" to "{ends[1]}"', "the lower end first",
                            f'["{ends[1]}", "{ends[0]}"]')  # fmt: skip
    written = units_of(str(ends[0])) or units
    values = [_text(float(number), kind, written) for number in np.linspace(low, high, steps)]
    numbers = tuple(number_in(value, kind) for value in values)
    return Input(name, path, tuple(values), numbers, kind, low, high, written)


def number_in(value: Any, kind: str) -> float:
    """SI value of a value of a kind; of a bare number, itself."""
    return read_quantity(value, kind) if isinstance(value, str) else float(value)


def _kind_of(values: list[Any]) -> str:
    """The one kind that all values can be read as."""
    if all(isinstance(value, int | float) and not isinstance(value, bool) for value in values):
        return "number"
    for kind in (*PREFERRED, *KINDS):
        if all(isinstance(value, str) and _reads(value, kind) for value in values):
            return kind
    return "word"


def _reads(value: str, kind: str) -> bool:
    try:
        read_quantity(value, kind)
    except QuantityError:
        return False
    return True


def _text(number: float, kind: str, units: Units, digits: int = 7) -> Any:
    if kind == "number":
        return float(f"{number:.{digits}g}")
    unit = display_unit(kind, units, number)
    return f"{in_unit(number, kind, unit):.{digits}g} {unit}".strip()
