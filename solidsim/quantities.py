"""Quantities: reading them as founders write them, writing them back, and naming the fields.

Everything inside solidsim is SI and kelvin; only this module and its table of units know others.
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import lru_cache
from typing import Any

from solidsim.errors import QuantityError
from solidsim.units import INCH_SYMBOLS, KINDS, POUND, SHARED_SYMBOLS, SYMBOL, Units, plain_spelling

ZERO_CELSIUS = 273.15  # K, definition of the degree Celsius
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2K4, CODATA 2018, exact since the SI of 2019
GRAVITY = 9.80665  # m/s2, standard gravity, 3rd CGPM 1901

__all__ = [
    "FIELDS",
    "GRAVITY",
    "KINDS",
    "STEFAN_BOLTZMANN",
    "ZERO_CELSIUS",
    "Field",
    "Units",
    "difference_kind",
    "display_unit",
    "in_unit",
    "phrase",
    "read_quantity",
    "units_of",
    "write_quantity",
]


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
        Field("fill_time", "t_p", "s", "time", "time from pour to the metal's coming"),
        Field(
            "arrival_temperature", "T_a", "K", "temperature", "temperature of the metal as it came"
        ),
        Field("exposure_time", "t_x", "s", "time", "time that flowing metal lay open"),
        Field("liquidus_time", "t_l", "s", "time", "time from pour to passing the liquidus"),
        Field("cutoff_time", "t_c", "s", "time", "time from pour until liquid no longer passes"),
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
        Field("filled", "F", "1", "fraction", "share of the cell that metal fills"),
        Field("velocity_x", "u", "m/s", "velocity", "velocity of the metal to the right"),
        Field("velocity_y", "v", "m/s", "velocity", "velocity of the metal upward"),
        Field("niyama", "Ny", "(K s)^1/2/m", "niyama", "gradient over root of cooling rate"),
        Field("part_index", "", "1", "number", "part of the cell; zero is the mold"),
        Field("material_index", "", "1", "number", "material of the cell"),
        Field("depth", "b", "m", "length", "depth of the section out of the page"),
        Field("face_areas", "A", "m2", "area", "surface of metal on one side of the section"),
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


def difference_kind(kind: str) -> str:
    """Kind of the difference between two quantities of a kind, as a margin is."""
    return "temperature-difference" if kind == "temperature" else kind


def write_quantity(value: float, kind: str, units: Units) -> str:
    """Text of a value [SI] for people of these units, rounded to what they can use."""
    if not math.isfinite(value):
        return "unknown" if math.isnan(value) else "endless"
    if kind == "time" and abs(value) >= 59.95:
        return _clock(value)
    if units == "inch" and kind == "mass" and float(POUND) <= abs(value) < 100 * float(POUND):
        pounds, ounces = divmod(round(abs(value) / float(POUND) * 16), 16)
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
        symbol for symbol, _ in SYMBOL.findall(plain_spelling(found["unit"], True) if found else "")
    }
    if symbols <= SHARED_SYMBOLS:
        return None
    return "inch" if symbols & INCH_SYMBOLS else "metric"


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
    number, plain = _count(found, kind, text), plain_spelling(found["unit"], bool(known.zeros))
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
        unit = known.spellings.get(plain_spelling(term["unit"].rstrip("-"), False))
        if unit is None or known.units[unit] >= last:
            break
        total, last = total + known.to_si(_count(term, kind, text), unit), known.units[unit]
        rest = rest[term.end() :]
    if rest or not known.sums:
        raise _unknown_unit(found["unit"], kind, text)
    return total


def _unknown_unit(unit: str, kind: str, text: str) -> QuantityError:
    number = text[: len(text) - len(unit)].strip() if unit and text.endswith(unit) else ""
    if not unit:
        return _error(kind, f'"{text}" has no unit', text.strip())
    if unit[0] in ",.":
        meant = re.sub(r",(?=\d{3}\b)", "", text).replace(",", ".")
        parts = re.fullmatch(r"([+-]?\d*\.?\d+) ?([^\d.]*)", meant)
        given = f'"{text}" has a comma or a second point in its number'
        return _error(kind, given, *(parts.groups() if parts else ()))
    for other, known in KINDS.items():
        if plain_spelling(unit, bool(known.zeros)) in known.spellings:
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
    """Mixed fraction where one lies within 0.002 and half a percent of the size, else a decimal."""
    marks = round(min(abs(size), 1e6) * parts)
    if abs(abs(size) * parts - marks) > min(0.002, 0.005 * abs(size)) * parts or not marks:
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
        large, small, names = *divmod(round(abs(seconds) / 60), 60), ("h", "min")
    return f"{sign}{large} {names[0]}" + (f" {small:02d} {names[1]}" if small else "")
