"""Quantities: reading them as founders write them, writing them back, and naming the fields.

Everything inside solidsim is SI and kelvin; this is the only module that knows other units.
Sizes of the units after Thompson & Taylor 2008, NIST SP 811, appendix B.
"""

import math
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import Any, Literal

from solidsim.errors import QuantityError

Units = Literal["metric", "inch"]

ZERO_CELSIUS = 273.15  # K, definition of the degree Celsius
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2K4, CODATA 2018, exact since the SI of 2019
GRAVITY = 9.80665  # m/s2, standard gravity, 3rd CGPM 1901

_POUND, _INCH = Fraction("0.45359237"), Fraction("0.0254")
_BTU = Fraction("1055.05585262")
_DEGREE_F = Fraction(5, 9)
_SIZES = {
    symbol: Fraction(size)  # type: ignore[call-overload]
    for symbol, size in {
        **{"m": 1, "cm": "0.01", "mm": "0.001", "µm": "1e-6", "in": _INCH, "ft": 12 * _INCH},
        **{"L": "0.001", "cc": "1e-6", "qt": _INCH**3 * 231 / 4, "gal": _INCH**3 * 231},
        **{"kg": 1, "g": "0.001", "t": 1000, "lb": _POUND, "oz": _POUND / 16},
        **{"s": 1, "ms": "0.001", "min": 60, "h": 3600, "d": 86400},
        **{"K": 1, "°C": 1, "C": 1, "°F": _DEGREE_F, "F": _DEGREE_F, "°R": _DEGREE_F},
        **{"J": 1, "kJ": 1000, "MJ": "1e6", "GJ": "1e9", "Wh": 3600, "kWh": "3.6e6", "BTU": _BTU},
        **{"W": 1, "kW": 1000, "MW": "1e6", "Pa": 1, "hPa": 100, "kPa": 1000, "MPa": "1e6"},
        **{"bar": "1e5", "mbar": 100, "atm": 101325},
        **{"N": 1, "kN": 1000, "kgf": str(GRAVITY), "lbf": _POUND * Fraction(str(GRAVITY))},
        "psi": _POUND * Fraction(str(GRAVITY)) / _INCH**2,
        **{"%": "0.01", "rad": 1, "°": math.pi / 180},
    }.items()
}
_ZEROS = {"°C": Fraction("273.15"), "C": Fraction("273.15")} | dict.fromkeys(
    ("°F", "F"), Fraction("459.67") * _DEGREE_F
)
_SYMBOL = re.compile(f"({'|'.join(sorted(_SIZES, key=len, reverse=True))})([23]?)")


def _size(unit: str) -> Fraction:
    """Exact size in SI of a product of powers over another, as ``W/m2K``."""
    above, _, below = unit.partition("/")
    sizes = [
        math.prod(_SIZES[symbol] ** int(power or 1) for symbol, power in _SYMBOL.findall(side))
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
        return {_plain(unit, bool(self.zeros)): unit for unit in self.units}

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


@dataclass(frozen=True)
class Field:
    """One field of a run: its name everywhere, textbook symbol, SI unit, kind and meaning."""

    name: str
    symbol: str
    unit: str
    kind: str
    meaning: str


FIELDS: dict[str, Field] = {
    field.name: field
    for field in (
        Field("temperature", "T", "K", "temperature", "temperature"),
        Field("solid_fraction", "fs", "1", "fraction", "share of the metal that is solid"),
        Field("liquidus_time", "t_l", "s", "time", "time from pour to passing the liquidus"),
        Field("freezing_time", "t_f", "s", "time", "time from pour to fully solid"),
        Field(
            "temperature_gradient",
            "G",
            "K/m",
            "temperature-gradient",
            "temperature gradient on passing the judging temperature",
        ),
        Field(
            "cooling_rate",
            "R",
            "K/s",
            "cooling-rate",
            "cooling rate on passing the judging temperature",
        ),
        Field("niyama", "Ny", "(K s)^1/2/m", "niyama", "gradient over root of cooling rate"),
        Field("part_index", "", "1", "number", "part of the cell; zero is the mold"),
        Field("material_index", "", "1", "number", "material of the cell"),
        Field("depth", "b", "m", "length", "depth of the section out of the page"),
    )
}

_SIGNS = str.maketrans(  # what word processors make of inch, foot, minus, degree and product
    dict.fromkeys("\u2033\u201c\u201d", '"')
    | dict.fromkeys("\u2032\u2018\u2019", "'")
    | dict.fromkeys("·*\u00a0\u2009\u202f", " ")
    | dict.fromkeys("\u2212\u2013", "-")
    | dict.fromkeys("\u00ba\u02da", "°")
    | {"²": "2", "³": "3", "\u2044": "/", "℃": "°C", "℉": "°F", "\u03bc": "µ"}
)
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
_NUMBER = (
    r"(?:(?:(?P<whole>\d+)(?:\s+|-))?(?P<over>\d+)\s*/\s*(?P<under>\d+)"
    r"|(?P<decimal>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,2})?))"
)
_SINGLE = re.compile(r"(?P<sign>[+-]?)\s*" + _NUMBER + r"\s*(?P<unit>.*)", re.ASCII)
_TERM = re.compile(_NUMBER + r"\s*(?P<unit>[A-Za-zµ]+\.?|\"|''|'-?)[\s,]*", re.ASCII)
_LONGEST = 80  # characters; a longer text is no quantity


def read_quantity(text: str | float, kind: str) -> float:
    """SI value of a quantity written with its unit, as ``"1 1/2 in"`` or ``"2500 °F"``.

    Parameters
    ----------
    text : str or float
        A bare number is read only where the kind has no unit.
    kind : str
        A key of ``KINDS``.

    Raises
    ------
    QuantityError
        With what was given, what is allowed and what to write.
    """
    if isinstance(text, str):
        return _read(" ".join(text.split()), kind)
    if isinstance(text, bool) or not isinstance(text, int | float):
        raise _error(kind, f"{text!r} is no quantity")
    if not math.isfinite(text):
        raise _error(kind, f"{text} is no finite number")
    if "" not in KINDS[kind].units:
        raise _error(kind, f"{text} has no unit", f"{text}")
    return float(text)


def write_quantity(value: float, kind: str, units: Units) -> str:
    """Text of a value [SI] for people of these units, rounded to what they can use."""
    if not math.isfinite(value):
        return "unknown" if math.isnan(value) else "endless"
    if kind == "time" and abs(value) >= 59.95:
        return _clock(value)
    if units == "inch" and kind == "mass" and float(_POUND) <= abs(value) < 100 * float(_POUND):
        pounds, ounces = divmod(round(abs(value) / float(_POUND) * 16), 16)
        return ("-" if value < 0 else "") + f"{pounds} lb" + (f" {ounces} oz" if ounces else "")
    unit = display_unit(kind, units, value)
    size = float(in_unit(value, kind, unit))
    if units == "inch" and kind in ("length", "contraction"):
        return f"{_ruler(size, 16 if kind == 'length' else 32)} {unit}"
    return f"{_short(size, KINDS[kind].digits)} {unit}".strip()


def units_of(text: str) -> Units | None:
    """System of units that a quantity is written in; None where both use it, as for time."""
    found = _SINGLE.fullmatch(text.translate(_SIGNS).strip())
    symbols = {
        symbol for symbol, _ in _SYMBOL.findall(_plain(found["unit"], True) if found else "")
    }
    symbols -= {"s", "ms", "min", "h", "d", "%", "rad", "°"}
    if not symbols:
        return None
    inch = {"in", "ft", "lb", "oz", "°F", "F", "°R", "BTU", "psi", "qt", "gal"}
    return "inch" if symbols & inch else "metric"


def display_unit(kind: str, units: Units, size: float = 0.0) -> str:
    """Choose the unit in which values up to about this size [SI] are shown, as on a scale."""
    known = KINDS[kind]
    choices = known.metric if units == "metric" else known.inch
    filled = [unit for unit in choices if abs(size) >= known.units[unit] * (1 - 1e-9)]
    return filled[-1] if filled else choices[0]


def in_unit(value: Any, kind: str, unit: str) -> Any:
    """Value, or array of values, [SI] in a unit of its kind."""
    known = KINDS[kind]
    offset = float((known.zeros or {}).get(unit, 0))
    return (value - offset) / float(known.units[unit])


def phrase(kind: str) -> str:
    """Words for a kind, with the article: ``a temperature difference``."""
    return ("an " if kind[0] in "aeiou" else "a ") + kind.replace("-", " ")


@lru_cache(maxsize=4096)
def _read(text: str, kind: str) -> float:
    known = KINDS[kind]
    clean = re.sub("[¼-¾⅐-⅞]", lambda sign: " " + unicodedata.normalize("NFKC", sign[0]), text)
    found = _SINGLE.fullmatch(clean.translate(_SIGNS).strip()) if len(text) <= _LONGEST else None
    if found is None:
        raise _error(kind, f'"{text[:_LONGEST]}" does not start with a number')
    number, plain = _count(found, kind, text), _plain(found["unit"], bool(known.zeros))
    if plain in known.spellings:
        value = known.to_si(number, known.spellings[plain])
    else:
        value = _sum(found, kind, text)
    if found["sign"] == "-":
        value = known.to_si(-number, known.spellings[plain]) if known.zeros else -value
    if known.zeros and value < 0:
        raise _error(kind, f'"{text}" is below absolute zero', allowed="at least -273.15 °C")
    return float(value)


def _count(found: re.Match[str], kind: str, text: str) -> Fraction:
    if found["decimal"]:
        return Fraction(found["decimal"])
    if int(found["under"]) == 0:
        raise _error(kind, f'"{text}" divides by zero')
    share = Fraction(int(found["over"]), int(found["under"]))
    if found["whole"] and share >= 1:
        raise _error(kind, f'"{text}" is a mixed number whose fraction is not less than one')
    return int(found["whole"] or 0) + share


def _sum(found: re.Match[str], kind: str, text: str) -> Fraction:
    """Value of a sum of terms, largest unit first: ``2'6"``, ``14 lb 5 oz``, ``1 h 30 min``."""
    known, total, last = KINDS[kind], Fraction(0), Fraction(10**9)
    rest = found.string[found.end("sign") :].strip()
    while known.sums and rest and (term := _TERM.match(rest)):
        unit = known.spellings.get(_plain(term["unit"].rstrip("-"), False))
        if unit is None or known.units[unit] >= last:
            break
        total, last = total + known.to_si(_count(term, kind, text), unit), known.units[unit]
        rest = rest[term.end() :]
    if rest or not known.sums:
        raise _unknown_unit(found["unit"], kind, text)
    return total


def _plain(unit: str, absolute: bool) -> str:
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


def _unknown_unit(unit: str, kind: str, text: str) -> QuantityError:
    number = text[: len(text) - len(unit)].strip() if unit and text.endswith(unit) else ""
    if not unit:
        return _error(kind, f'"{text}" has no unit', text.strip())
    if unit[0] in ",.":
        return _error(kind, f'"{text}" has a comma or a second point in its number')
    for other, known in KINDS.items():
        if _plain(unit, bool(known.zeros)) in known.spellings:
            return _error(kind, f'"{text}" is {phrase(other)}, not {phrase(kind)}', number)
    names = {name.casefold(): name for name in KINDS[kind].units}
    near = get_close_matches(unit.casefold(), names, n=1, cutoff=0.5)
    meant = names[near[0]] if near else ""
    return _error(kind, f'"{text}" has the unknown unit "{unit}"', number, meant)


def _error(
    kind: str, given: str, number: str = "", unit: str = "", allowed: str = ""
) -> QuantityError:
    known = KINDS[kind]
    named = [name for name in known.units if name]
    if not allowed:
        allowed = f"{phrase(kind)} in {', '.join(named)}" if named else "a plain number"
    example = f"{number or _EXAMPLES.get(kind, '1')} {unit or known.metric[0]}".strip()
    return QuantityError(given, allowed, f'"{example}"' if named else example)


_EXAMPLES = {"length": "25", "temperature": "20", "time": "90", "fraction": "3", "number": "0.5"}


def _short(value: float, digits: int) -> str:
    """Digits of a number: so many significant ones, whole numbers never rounded."""
    if not 1e-6 <= abs(value) < 1e12:
        return f"{value:.{digits}g}" if value else "0"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if decimals else text
    return "0" if text == "-0" else text


def _ruler(size: float, parts: int) -> str:
    """Mixed fraction where the size lies within 0.002 of one, else a decimal."""
    marks = round(abs(size) * parts)
    if not 0 < marks < 10**6 or abs(abs(size) * parts - marks) > 0.002 * parts:
        return _short(size, 4)
    whole, share = divmod(Fraction(marks, parts), 1)
    text = f"{whole or ''} {share or ''}".strip()
    return f"-{text}" if size < 0 else text


def _clock(seconds: float) -> str:
    """``12 min 30 s`` below an hour, ``2 h 05 min`` from there on."""
    sign, total = "-" if seconds < 0 else "", round(abs(seconds))
    if total < 3600:
        large, small, names = *divmod(total, 60), ("min", "s")
    else:
        large, small, names = *divmod(round(total / 60), 60), ("h", "min")
    return f"{sign}{large} {names[0]}" + (f" {small:02d} {names[1]}" if small else "")
