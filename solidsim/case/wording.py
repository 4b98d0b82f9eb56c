"""Faults of a description in the founder's words: what was given, what is allowed, what to write.

pydantic finds that a key is missing, unknown or of the wrong type; the field's own example
says what to write instead.
"""

import json
from collections.abc import Iterator
from difflib import get_close_matches
from typing import Any, get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from solidsim.case.description import CaseDescription, Table
from solidsim.case.locating import KeyPath
from solidsim.errors import QuantityError

Complaint = tuple[KeyPath, str, str, str]
"""Path of the key, what was given, what is allowed, what to write."""

_ALLOWED = {
    "string_type": "a text in quotes",
    "string_too_short": "a text that is not empty",
    "int_type": "a whole number",
    "tuple_type": "a list in square brackets",
    "dict_type": "a table",
    "model_type": "a table",
    "too_long": "two values",
    "date_type": "a date",
    "date_from_datetime_parsing": "a date",
    "less_than_equal": "at most {le}",
    "greater_than_equal": "at least {ge}",
}
_TRADE_WORDS = {"riser": '"feeder"', "gate": '"ingate"', "runner bar": '"runner"'}


def complaints(error: ValidationError, root: type[Table] = CaseDescription) -> Iterator[Complaint]:
    """Everything pydantic found in a file described by ``root``, one complaint each."""
    for found in error.errors(include_url=False):
        kind, context = found["type"], found.get("ctx", {})
        path = _untagged(found["loc"], ends_in_key=kind == "extra_forbidden")
        cause = context.get("error")
        if isinstance(cause, QuantityError):
            yield path, cause.given, cause.allowed, cause.write
        elif kind == "extra_forbidden":
            yield unknown_key(path, root)
        elif kind == "missing":
            yield _missing(path, found["input"], root)
        elif kind == "literal_error":
            expected = context["expected"].replace("'", '"')
            yield path, shown(found["input"]), expected, _nearest_word(found["input"], expected)
        elif kind == "tuple_type" and _tables_at(path, root):
            yield path, shown(found["input"]), f"[[{path[-1]}]] tables", example(path, root)
        else:
            allowed = _ALLOWED[kind].format(**context) if kind in _ALLOWED else found["msg"]
            yield path, shown(found["input"]), allowed, example(path, root)


def _untagged(path: KeyPath, ends_in_key: bool) -> KeyPath:
    """Path without the marks by which the description tells the forms of a value apart."""
    marks = ("<word>", "<value>", "<table>", "<fixed>", "<ambient>")
    kept = tuple(step for step in path[:-1] if step not in marks)
    return kept if path[-1] in marks and not ends_in_key else (*kept, path[-1])


def as_text(value: Any) -> str:
    """Text of a value on one line: a text as it is, anything else as JSON."""
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)


def shown(value: Any) -> str:
    """Value as it was given, texts in quotes, short enough for a message."""
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else text[:57] + "..."


def example(path: KeyPath, root: type[Table] = CaseDescription) -> str:
    """Something that could stand at this path, or nothing where anything could."""
    field = _field(path, root)
    if field and field.examples:
        return str(field.examples[0])
    return _table_example(path, root) if _tables_at(path, root) else ""


def unknown_key(path: KeyPath, root: type[Table] = CaseDescription) -> Complaint:
    """Complaint about a key that nobody knows, with the nearest known one or its right table."""
    name = str(path[-1])
    known = [key for table in _tables_at(path[:-1], root) for key in _keys(table)]
    near = get_close_matches(name, known, n=1, cutoff=0.6)
    homes = [f"[{key}]" for key, field in _keys(root).items() if _holds(field, name)]
    write = near[0] if near else f"it under {' or '.join(homes)}" if homes else ""
    return path, "unknown key", f"known here: {', '.join(dict.fromkeys(known))}", write


def _missing(path: KeyPath, given: Any, root: type[Table]) -> Complaint:
    if isinstance(path[-1], int):
        return path[:-1], shown(given), "two values", example(path[:-1], root)
    write = example(path, root)
    if _tables_at(path, root):
        return path, "missing", "this table is needed", write
    return path, "missing", "this key is needed", f"{path[-1]} = {write}"


def _table_example(path: KeyPath, root: type[Table]) -> str:
    needed = [key for key, inner in _keys(_tables_at(path, root)[0]).items() if inner.is_required()]
    name = [step for step in path if isinstance(step, str)][-1]
    header = f"[[{name}]]" if _lists(path, root) else f"[{name}]"
    return f"{header} with {' and '.join(needed)}" if needed else f"keys under {header}"


def _lists(path: KeyPath, root: type[Table]) -> bool:
    field = _field(path, root)
    return field is not None and get_origin(field.annotation) is tuple


def _nearest_word(given: Any, expected: str) -> str:
    meant = _TRADE_WORDS.get(str(given))
    if meant and meant in expected:
        return meant
    words = expected.replace(" or ", ", ").split(", ")
    near = get_close_matches(shown(given), words, n=1, cutoff=0.5)
    return near[0] if near else words[0]


def _field(path: KeyPath, root: type[Table]) -> FieldInfo | None:
    """Find the field of the description at a path; an item of a list is its list."""
    keys = [step for step in path if isinstance(step, str)]
    if not keys:
        return None
    parents = _tables_at(tuple(keys[:-1]), root)
    return next((_keys(table)[keys[-1]] for table in parents if keys[-1] in _keys(table)), None)


def _tables_at(path: KeyPath, root: type[Table]) -> list[type[Table]]:
    """List the tables of the description that may stand at a path."""
    field = _field(path, root)
    if field:
        return list(_tables(field.annotation))
    return [] if path else [root]


def _keys(table: type[Table]) -> dict[str, FieldInfo]:
    return {field.alias or name: field for name, field in table.model_fields.items()}


def _tables(annotation: Any) -> Iterator[type[Table]]:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        yield annotation
    for inner in get_args(annotation):
        yield from _tables(inner)


def _holds(field: FieldInfo, name: str) -> bool:
    return any(name in _keys(table) for table in _tables(field.annotation))
