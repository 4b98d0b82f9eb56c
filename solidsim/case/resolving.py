"""The whole case as it was understood: every value with its standing, for the record of a run."""

from collections.abc import Iterator
from typing import Any, Literal

from pydantic.fields import FieldInfo

from solidsim.case.description import Table
from solidsim.case.locating import KeyPath
from solidsim.case.merging import dotted
from solidsim.case.reading import Case
from solidsim.case.values import Reads
from solidsim.case.wording import as_text
from solidsim.quantities import Units, write_quantity

Row = tuple[str, str, Literal["given", "assumed"]]


def resolved(case: Case) -> list[Row]:
    """Dotted key, value and standing of everything in a case.

    A given value stands as it was written, a default in the units of the case; where a key was
    left out and has no fixed default, the row says in words what the program does.
    """
    rows = _rows(case.description, case.written, (), case.units)
    return [(dotted(case.written, path), text, standing) for path, text, standing in rows]


def _rows(
    table: Table, written: dict[str, Any], path: KeyPath, units: Units
) -> Iterator[tuple[KeyPath, str, Literal["given", "assumed"]]]:
    for name, field in type(table).model_fields.items():
        key, value = field.alias or name, getattr(table, name)
        here, raw = (*path, key), written.get(key)
        if isinstance(value, Table):
            yield from _rows(value, raw if isinstance(raw, dict) else {}, here, units)
        elif isinstance(raw, list) and isinstance(value[0] if value else None, Table):
            for index, (entry, inner) in enumerate(zip(value, raw, strict=True)):
                yield from _rows(entry, inner, (*here, index), units)
        elif isinstance(raw, dict):
            for name_of, card in raw.items():
                for inner_key, inner_value in card.items():
                    yield (*here, name_of, inner_key), as_text(inner_value), "given"
        elif raw is not None:
            yield here, as_text(raw), "given"
        elif value is not None and value not in ((), {}):
            yield here, _default(value, field, units), "assumed"
        elif field.description:
            yield here, field.description, "assumed"


def _default(value: Any, field: FieldInfo, units: Units) -> str:
    kinds = [mark.kind for mark in field.metadata if isinstance(mark, Reads)]
    return write_quantity(value, kinds[0], units) if kinds else str(value)
