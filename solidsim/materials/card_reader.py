"""Reading a card: every value with its unit, range, source and grade, every fault reported."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from solidsim.errors import QuantityError
from solidsim.materials.material import Property
from solidsim.materials.property_table import PropertyTable
from solidsim.quantities import KINDS, read_quantity, write_quantity

Array = NDArray[np.float64]
Key = tuple[str | int, ...]
Report = Callable[[Key, str, str, str], None]
Standing = Literal["given", "preset", "assumed"]

GRADES = ("measured", "handbook", "estimated")
COMMON = "common practice, no source"
VALUE_KEYS = ("value", "table", "range", "source", "grade")
Bounds = tuple[float, float]
ANY: Bounds = (-np.inf, np.inf)
POSITIVE: Bounds = (np.nextafter(0.0, 1.0), np.inf)


class Want(NamedTuple):
    """What a key should hold: a kind of quantity, an example to write, and bounds in SI.

    A table runs ``against`` another kind.
    """

    kind: str
    example: str
    bounds: Bounds = POSITIVE
    against: str = "temperature"

    @property
    def named(self) -> str:
        """The kind in plain words, e.g. "specific heat"."""
        return self.kind.replace("-", " ")

    @property
    def place(self) -> "Want":
        """What the first column of a table should hold."""
        if self.against == "fraction":
            return SHARE
        return Want("temperature", "20 °C")

    @property
    def said(self) -> str:
        """The bounds in plain words."""
        low, high = (
            write_quantity(bound, self.kind, "metric") if np.isfinite(bound) else ""
            for bound in self.bounds
        )
        least = "above 0" if self.bounds[0] == POSITIVE[0] else f"{low} or more"
        return f"{least}, at most {high}" if high else least


SHARE = Want("fraction", "10 %", (0.0, 1.0))


@dataclass
class CardReader:
    """A card being read.

    Parameters
    ----------
    data : mapping
        The card as written, laid over its base.
    own : mapping
        The part of it that was written here, not in its base.
    standing : {"given", "preset"}
        Of the values written here.
    sourced : bool
        Whether every value written here must state its source and grade.
    report : callable
        Takes each fault: key, what was given, what is allowed, what to write.
    """

    data: Mapping[str, Any]
    own: Mapping[str, Any]
    standing: Standing
    sourced: bool
    report: Report
    properties: list[Property] = field(default_factory=list)
    faults: int = 0

    def fault(self, key: Key, given: object, allowed: str, write: str) -> None:
        """Report one fault."""
        self.faults += 1
        self.report(key, given if isinstance(given, str) else repr(given), allowed, write)

    def needs_source(self, key: str) -> bool:
        """Whether a value under a key must state its source and grade."""
        return self.sourced or key not in self.own

    def standing_of(self, key: str) -> Standing:
        """How the value under a key came into the card."""
        return self.standing if key in self.own else "preset"

    def refuse_unknown(self, given: Iterable[str], known: Iterable[str], at: Key = ()) -> None:
        """Report keys that a card does not have, each with the nearest that it has."""
        names = list(known)
        for key in given:
            if key not in names:
                near = get_close_matches(key, names, n=1)
                self.fault((*at, key), "unknown key", f"one of {', '.join(names)}", *near or [""])

    def text(self, key: str, default: str, choices: tuple[str, ...] = ()) -> str:
        """Words under a key, of a given choice if there is one."""
        found = self.data.get(key, default)
        if not isinstance(found, str) or (choices and found not in choices):
            allowed = f"one of {', '.join(choices)}" if choices else "a text"
            self.fault((key,), found, allowed, f'"{choices[0] if choices else default}"')
            return default
        return found

    def number(self, key: str, want: Want, default: float = np.nan) -> float:
        """One number in SI under a key; where it is left out ``default``, marked as assumed."""
        if key not in self.data:
            self._assume(key, want, default)
            return default
        found = self.table(key, want)
        if found is not None and found.value.size > 1:
            self.fault((key,), "a table", "one number", f'"{want.example}"')
        return default if found is None else float(found.value[0])

    def entries(self, name: str, known: tuple[str, ...], example: str) -> dict[str, Any] | None:
        """Table of this name that states source and grade once for all; None if it is no table."""
        raw = self.data[name]
        if not isinstance(raw, dict):
            self.fault((name,), raw, "a table", example)
            return None
        self.refuse_unknown(raw, (*known, "source", "grade"), (name,))
        if self.sourced and name in self.own:
            self.source_of((name,), raw)
        return raw

    def entry(self, table: str, key: str, want: Want, default: float = np.nan) -> float:
        """One number in SI under a key of a table that states source and grade for all of them.

        Where it is left out ``default``, marked as assumed unless zero; without one it is needed.
        """
        raw, place, name = self.data[table].get(key), (table, key), f"{table}.{key}"
        if raw is None:
            if np.isnan(default):
                self.fault(place, "nothing", f"a {want.named} is needed", f'"{want.example}"')
            elif default:
                self._assume(name, want, default)
            return default
        form = raw if isinstance(raw, Mapping) else {"value": raw}
        self.refuse_unknown(form, VALUE_KEYS, place)
        found = self.values(place, form.get("value"), want)
        spread = self._range((*place, "range"), form.get("range"), want, found)
        here = table in self.own and key in self.own[table]
        standing: Standing = self.standing if here else "preset"
        stated = form.get("source", self.data[table].get("source", "the case"))
        grade = form.get("grade", self.data[table].get("grade", "given"))
        text = str(form.get("value"))
        self.properties.append(Property(name, text, spread, stated, grade, standing))
        return default if found is None else float(found.value[0])

    def table(self, key: str, want: Want) -> PropertyTable | None:
        """Value or table in SI under a key, or None after a fault."""
        if key not in self.data:
            self.fault((key,), "nothing", f"a {want.named} is needed", f'"{want.example}"')
            return None
        raw = self.data[key]
        if isinstance(raw, Mapping):
            return self._sourced(key, raw, want)
        if self.needs_source(key):
            write = f'{{ value = "{want.example}", source = "...", grade = "handbook" }}'
            self.fault((key,), raw, "a card gives the source and grade of every value", write)
        found = self.values((key,), raw, want)
        if found is not None:
            self._keep(key, raw, "", "the case", "given")
        return found

    def values(self, key: Key, raw: object, want: Want) -> PropertyTable | None:
        """One quantity, or rows of it against another, most often a temperature."""
        if not isinstance(raw, list):
            value = self.quantity(key, raw, want)
            return None if value is None else PropertyTable.constant(value)
        rows = [self._row((*key, at), row, want) for at, row in enumerate(raw)]
        whole = [row for row in rows if row is not None]
        if len(whole) < max(len(rows), 2):
            if len(rows) < 2:
                self.fault(
                    key,
                    raw,
                    "two rows or more",
                    f'[["{want.place.example}", "{want.example}"], ...]',
                )
            return None
        temperature, value = np.array(whole).T
        steps = np.diff(temperature)
        if np.any(steps < 0) or np.any((steps[1:] == 0) & (steps[:-1] == 0)):
            allowed = f"rising {want.against}s; one may stand twice to mark a step"
            self.fault(key, "a table that does not rise", allowed, "the rows in order")
            return None
        return PropertyTable(temperature, value)

    def quantity(self, key: Key, raw: object, want: Want) -> float | None:
        """One quantity in SI within bounds, or None after a fault."""
        bare = isinstance(raw, (int, float)) and not isinstance(raw, bool)
        if bare and "" in KINDS[want.kind].units:
            raw = f"{raw}"
        if not isinstance(raw, str):
            self.fault(key, raw, f"a {want.named} with its unit", f'"{want.example}"')
            return None
        try:
            value = read_quantity(raw, want.kind)
        except QuantityError as error:
            self.fault(key, error.given, error.allowed, error.write)
            return None
        if want.bounds[0] <= value <= want.bounds[1]:
            return value
        self.fault(key, f'"{raw}"', want.said, f'"{want.example}"')
        return None

    def source_of(self, key: Key, raw: Mapping[str, Any]) -> tuple[str, str]:
        """Source and grade of a value, with a fault for each that is missing."""
        source, grade = raw.get("source"), raw.get("grade")
        if not isinstance(source, str) or not source.strip():
            allowed = "where the value comes from"
            self.fault((*key, "source"), source or "no source", allowed, '"from memory"')
        if grade not in GRADES:
            allowed = f"one of {', '.join(GRADES)}"
            self.fault((*key, "grade"), grade or "no grade", allowed, '"estimated"')
        return str(source), str(grade)

    def _sourced(self, key: str, raw: Mapping[str, Any], want: Want) -> PropertyTable | None:
        self.refuse_unknown(raw, VALUE_KEYS, (key,))
        form = "table" if "table" in raw else "value"
        if form not in raw or {"table", "value"} <= raw.keys():
            self.fault((key,), dict(raw), "either a value or a table", f'value = "{want.example}"')
            return None
        found = self.values((key, form), raw[form], want)
        source, grade = self.source_of((key,), raw)
        spread = self._range((key, "range"), raw.get("range"), want, found)
        self._keep(key, raw[form], spread, source, grade)
        return found

    def _range(self, key: Key, raw: object, want: Want, found: PropertyTable | None) -> str:
        if raw is None:
            return ""
        if isinstance(raw, str):
            self.quantity(key, raw, SHARE)
            return f"± {raw}"
        if not isinstance(raw, list) or len(raw) != 2:
            self.fault(key, raw, "the two ends of the range, or a share", '"10 %"')
            return ""
        low, high = (self.quantity((*key, at), raw[at], want._replace(bounds=ANY)) for at in (0, 1))
        if found is not None and low is not None and high is not None:
            if not low <= found.value.min() <= found.value.max() <= high:
                self.fault(key, raw, "a range that holds the value", "the lower end first")
        return f"{raw[0]} to {raw[1]}"

    def _row(self, key: Key, row: object, want: Want) -> tuple[float, float] | None:
        if not isinstance(row, list) or len(row) != 2:
            example = f'["{want.place.example}", "{want.example}"]'
            self.fault(key, row, f"a {want.against} and a {want.named}", example)
            return None
        place = self.quantity((*key, 0), row[0], want.place)
        value = self.quantity((*key, 1), row[1], want)
        return None if place is None or value is None else (place, value)

    def _assume(self, key: str, want: Want, value: float) -> None:
        if not np.isnan(value):
            text = write_quantity(value, want.kind, "metric")
            self.properties.append(Property(key, text, "", COMMON, "estimated", "assumed"))

    def _keep(self, key: str, raw: Any, spread: str, source: str, grade: str) -> None:
        text = str(raw)
        if isinstance(raw, list) and raw and all(isinstance(row, list) for row in raw):
            ends = [f"{row[-1]} at {row[0]}" for row in (raw[0], raw[-1])]
            text = f"{' to '.join(ends)} ({len(raw)} points)"
        standing = self.standing_of(key)
        self.properties.append(Property(key, text, spread, source, grade, standing))
