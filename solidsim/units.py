"""Kinds of quantities, the units each is written in, and the size of every unit.

Sizes after Thompson & Taylor 2008, NIST SP 811, appendix B; kept as fractions, so that
``"1/2 in"`` and ``"12.7 mm"`` are the same number.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any, Literal

Units = Literal["metric", "inch"]

POUND, INCH = Fraction("0.45359237"), Fraction("0.0254")
BTU, _G = Fraction("1055.05585262"), Fraction("9.80665")
_DEGREE_F = Fraction(5, 9)
SIZES = {
    symbol: Fraction(size)  # type: ignore[call-overload]
    for symbol, size in {
        **{"m": 1, "cm": "0.01", "mm": "0.001", "µm": "1e-6", "in": INCH, "ft": 12 * INCH},
        **{"L": "0.001", "cc": "1e-6", "qt": INCH**3 * 231 / 4, "gal": INCH**3 * 231},
        **{"kg": 1, "g": "0.001", "t": 1000, "lb": POUND, "oz": POUND / 16},
        **{"s": 1, "ms": "0.001", "min": 60, "h": 3600, "d": 86400},
        **{"K": 1, "°C": 1, "C": 1, "°F": _DEGREE_F, "F": _DEGREE_F, "°R": _DEGREE_F},
        **{"J": 1, "kJ": 1000, "MJ": "1e6", "GJ": "1e9", "Wh": 3600, "kWh": "3.6e6", "BTU": BTU},
        **{"W": 1, "kW": 1000, "MW": "1e6", "Pa": 1, "hPa": 100, "kPa": 1000, "MPa": "1e6"},
        **{"bar": "1e5", "mbar": 100, "atm": 101325},
        **{"N": 1, "kN": 1000, "kgf": _G, "lbf": POUND * _G},
        "psi": POUND * _G / INCH**2,
        **{"%": "0.01", "rad": 1, "°": math.pi / 180},
    }.items()
}
_ZEROS = {"°C": Fraction("273.15"), "C": Fraction("273.15")} | dict.fromkeys(
    ("°F", "F"), Fraction("459.67") * _DEGREE_F
)
SYMBOL = re.compile(f"({'|'.join(sorted(SIZES, key=len, reverse=True))})([23]?)")


def _size(unit: str) -> Fraction:
    """Exact size in SI of a product of powers over another, as ``W/m2K``."""
    above, _, below = unit.partition("/")
    sizes = [
        math.prod(SIZES[symbol] ** int(power or 1) for symbol, power in SYMBOL.findall(side))
        for side in (above, below)
    ]
    return Fraction(sizes[0]) / sizes[1]


def _root_size(unit: str) -> Fraction:
    """Size in SI of a square root over a length, as ``(K s)^1/2/mm``."""
    inside, _, length = unit.partition("^1/2/")
    return Fraction(math.sqrt(_size(inside))) / _size(length)


@dataclass(frozen=True)
class Kind:
    """One kind of quantity.

    Parameters
    ----------
    si : str
        The unit of the value in the program.
    units : mapping of str to Fraction
        Size of each unit in SI, by the spelling shown to people.
    metric, inch : tuple of str
        Units to write in, rising; the largest one that the value fills is taken.
    digits : int
        Significant digits written; whole numbers are never rounded.
    zeros : mapping of str to Fraction
        Where the unit's zero stands in SI, for the one kind with an absolute zero.
    sums : bool
        May be written as a sum, largest unit first, as ``2 ft 6 in``.
    """

    si: str
    units: Mapping[str, Fraction]
    metric: tuple[str, ...]
    inch: tuple[str, ...]
    digits: int = 3
    zeros: Mapping[str, Fraction] | None = None
    sums: bool = False

    @cached_property
    def spellings(self) -> dict[str, str]:
        """The shown unit for each plain spelling that is read."""
        return {plain_spelling(unit, bool(self.zeros)): unit for unit in self.units}

    def to_si(self, number: Fraction, unit: str) -> Fraction:
        """Exact SI value of a number of a unit."""
        return number * self.units[unit] + (self.zeros or {}).get(unit, 0)


def _kind(si: str, units: str, metric: str, inch: str, **more: Any) -> Kind:
    size = _root_size if "^" in si else _size
    return Kind(
        si,
        {unit: size(unit) for unit in units.split(", ")},
        tuple(metric.split(", ")),
        tuple(inch.split(", ")),
        **more,
    )


KINDS: dict[str, Kind] = {
    "length": _kind("m", "mm, cm, m, µm, in, ft", "mm", "in", digits=4, sums=True),
    "area": _kind("m2", "mm2, cm2, m2, in2, ft2", "mm2, cm2", "in2"),
    "volume": _kind("m3", "mm3, cm3, cc, L, m3, in3, ft3, qt, gal", "cm3, L", "in3"),
    "mass": _kind("kg", "g, kg, t, oz, lb", "g, kg", "oz, lb", sums=True),
    "time": _kind("s", "ms, s, min, h, d", "s", "s", sums=True),
    "velocity": _kind(
        "m/s", "mm/s, cm/s, m/s, m/min, in/s, ft/s, ft/min", "mm/s, m/s", "in/s, ft/s"
    ),
    "temperature": _kind("K", "K, °C, C, °F, F, °R", "°C", "°F", digits=1, zeros=_ZEROS),
    "temperature-difference": _kind("K", "K, °C, °F, °R", "°C", "°F", digits=2),
    "density": _kind("kg/m3", "kg/m3, g/cm3, kg/L, t/m3, lb/in3, lb/ft3", "kg/m3", "lb/in3"),
    "conductivity": _kind(
        "W/mK", "W/mK, W/cmK, BTU/(h ft °F), BTU in/(h ft2 °F)", "W/mK", "BTU/(h ft °F)"
    ),
    "specific-heat": _kind("J/kgK", "J/kgK, kJ/kgK, J/gK, BTU/(lb °F)", "J/kgK", "BTU/(lb °F)"),
    "specific-energy": _kind("J/kg", "J/kg, kJ/kg, MJ/kg, J/g, BTU/lb", "kJ/kg", "BTU/lb"),
    "volumetric-energy": _kind(
        "J/m3", "J/m3, kJ/m3, MJ/m3, GJ/m3, J/cm3, BTU/ft3, BTU/in3", "MJ/m3", "BTU/in3"
    ),
    "heat-transfer-coefficient": _kind(
        "W/m2K", "W/m2K, kW/m2K, W/cm2K, BTU/(h ft2 °F)", "W/m2K", "BTU/(h ft2 °F)"
    ),
    "energy": _kind("J", "J, kJ, MJ, Wh, kWh, BTU", "J, kJ, MJ", "BTU"),
    "power": _kind("W", "W, kW, MW, BTU/h", "W, kW", "BTU/h"),
    "force": _kind("N", "N, kN, kgf, lbf", "N, kN", "lbf"),
    "pressure": _kind("Pa", "Pa, hPa, kPa, MPa, mbar, bar, atm, psi", "Pa, kPa, MPa", "psi"),
    "flow-rate": _kind("m3/s", "m3/s, L/s, L/min, cm3/s, in3/s, ft3/s", "cm3/s, L/s", "in3/s"),
    "contraction": _kind("1", "%, mm/m, in/ft, mm/mm, in/in", "%", "in/ft"),
    "fraction": _kind("1", "%, ", "%", "%"),
    "angle": _kind("rad", "°, rad", "°", "°"),
    "number": _kind("1", "", "", "", digits=4),
    "temperature-gradient": _kind("K/m", "K/m, K/cm, K/mm, °C/mm, °F/in", "°C/mm", "°F/in"),
    "mold-constant": _kind("s/m2", "s/m2, s/mm2, s/cm2, min/cm2, min/in2", "min/cm2", "min/in2"),
    "cooling-rate": _kind(
        "K/s",
        "K/s, K/min, K/h, °C/s, °C/min, °C/h, °F/s, °F/min, °F/h",
        "°C/h, °C/min, °C/s",
        "°F/h, °F/min, °F/s",
    ),
    "niyama": _kind(
        "(K s)^1/2/m",
        "(K s)^1/2/m, (K s)^1/2/cm, (K s)^1/2/mm, (K min)^1/2/cm, (°F min)^1/2/in",
        "(K s)^1/2/mm",
        "(°F min)^1/2/in",
    ),
}


INCH_SYMBOLS = frozenset(
    {"in", "ft", "lb", "lbf", "oz", "°F", "F", "°R", "BTU", "psi", "qt", "gal"}
)
SHARED_SYMBOLS = frozenset({"s", "ms", "min", "h", "d", "%", "rad", "°"})
_WORDS = {
    word: unit
    for unit, words in {
        "°": "deg degree degrees",
        "°C": "degC",
        "°F": "degF",
        "in": "inch inches",
        "ft": "foot feet",
        "lb": "lbs pound pounds",
        "oz": "ounce ounces",
        "s": "sec secs second seconds",
        "min": "mins minute minutes",
        "h": "hr hrs hour hours",
        "d": "day days",
        "L": "l liter liters litre litres",
        "µm": "um",
        "BTU": "Btu btu",
        "%": "percent",
    }.items()
    for word in words.split()
}


def plain_spelling(unit: str, absolute: bool) -> str:
    """One spelling of a unit: no spaces, brackets, carets or second slashes, K for every °C.

    In an absolute temperature °C and K stay apart.
    """
    unit = unit.replace("''", "in").replace('"', "in").replace("'", "ft")
    unit = re.sub(r"\b(sq|cu)\.?\s*([a-z]+)", lambda m: m[2] + "23"[m[1] == "cu"], unit)
    unit = re.sub("[A-Za-zµ]+", lambda word: _WORDS.get(word[0], word[0]), unit)
    head, slash, tail = re.sub(r"[()^.\s]", "", unit).partition("/")
    plain = head + slash + tail.replace("/", "")
    if absolute:
        return plain
    return re.sub("°?C", "K", plain).replace("°F", "F").replace("°R", "R").replace("°K", "K")
