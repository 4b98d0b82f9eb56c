"""Laying a case over its bases: what holds in the end, and which file said it.

Tables merge key by key; a value, also an inline table or a list, is replaced whole. Parts and
probes are known by their name, interfaces by their two sides: an entry that the base knows
changes it in its place, another is added at the end.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from solidsim.case.description import SHAPES
from solidsim.case.locating import KeyPath, locate
from solidsim.case.wording import as_text

IDENTITY = {"part": "name", "probe": "name", "interface": "between"}


@dataclass(frozen=True)
class Source:
    """One file of a case: its name in results, its name in messages, and what it holds."""

    name: str
    shown: str
    text: str
    data: dict[str, Any]


@dataclass(frozen=True)
class Node:
    """One value, table or list of entries, and the place where it was written.

    ``value`` is a dict or list of nodes where ``inner`` is true, else as TOML gives it.
    """

    value: Any
    source: Source
    path: KeyPath
    inner: bool = False

    def plain(self) -> Any:
        """Value without its places."""
        if not self.inner:
            return self.value
        if isinstance(self.value, dict):
            return {key: node.plain() for key, node in self.value.items()}
        return [node.plain() for node in self.value]

    def place(self, path: KeyPath) -> tuple[str, int, int]:
        """File, line and column of a key, or of its nearest parent."""
        if self.inner and path:
            keys = self.value if isinstance(self.value, dict) else range(len(self.value))
            if path[0] in keys:
                return self.value[path[0]].place(path[1:])
        return self.source.shown, *locate(self.source.text, self.path + path)


def written_keys(written: dict[str, Any], path: KeyPath = ()) -> Iterator[KeyPath]:
    """Paths of all values that were written, also of those in inline tables."""
    for key, value in written.items():
        here = (*path, key)
        if isinstance(value, dict):
            yield from written_keys(value, here)
        elif here[0] in IDENTITY and not path and isinstance(value, list):
            for index, entry in enumerate(value):
                yield from written_keys(entry, (*here, index))
        else:
            yield here


def dotted(written: Any, path: KeyPath) -> str:
    """Write a path as a dotted key, an entry by its name, or by its number from one."""
    names: list[str] = []
    for step in path:
        written = _inside(written, step)
        known = IDENTITY.get(names[0]) if len(names) == 1 else None
        name = written.get(known) if known and isinstance(written, dict) else None
        name = "-".join(map(str, name)) if isinstance(name, list) else name
        number = str(step + 1 if isinstance(step, int) else step)
        word = name if isinstance(name, str) and isinstance(step, int) else number
        names.append(word if re.fullmatch(r"[\w-]+", word) else as_text([word])[1:-1])
    return ".".join(names)


def _inside(written: Any, step: str | int) -> Any:
    try:
        return written[step]
    except (KeyError, IndexError, TypeError):
        return None


def lay_out(source: Source) -> Node:
    """Take one file apart into nodes."""
    tables = {key: _node(value, source, (key,)) for key, value in source.data.items()}
    return Node(tables, source, (), inner=True)


def _node(value: Any, source: Source, path: KeyPath) -> Node:
    head = path[0]
    if isinstance(value, dict) and len(path) <= (2 if head in ("material", *IDENTITY) else 1):
        inner = {key: _node(below, source, (*path, key)) for key, below in value.items()}
        return Node(inner, source, path, inner=True)
    if head in IDENTITY and len(path) == 1 and isinstance(value, list):
        entries = [_node(entry, source, (*path, index)) for index, entry in enumerate(value)]
        return Node(entries, source, path, inner=True)
    return Node(value, source, path)


def lay_over(base: Node, top: Node) -> Node:
    """Merge a case with its base."""
    leave_out = top.value["without"].value if "without" in top.value else []
    merged = {key: node for key, node in base.value.items() if key not in ("base", "without")}
    if "part" in merged:
        merged["part"] = _without(merged["part"], leave_out)
    for key, node in top.value.items():
        below = merged.get(key)
        merged[key] = _merge(below, node, IDENTITY.get(key)) if below else node
    return Node(merged, top.source, (), inner=True)


def _merge(base: Node, top: Node, identity: str | None) -> Node:
    if not (base.inner and top.inner and isinstance(base.value, type(top.value))):
        return top
    if isinstance(top.value, list):
        entries = list(base.value)
        known = {_identity(entry, identity): index for index, entry in enumerate(entries)}
        for entry in top.value:
            index = known.pop(_identity(entry, identity), None)  # once, so that doubles show
            if index is None:
                entries.append(entry)
            else:
                entries[index] = _merge(entries[index], entry, None)
        return Node(entries, top.source, top.path, inner=True)
    kept = dict(base.value)
    if any(shape in top.value for shape in SHAPES):
        kept = {key: node for key, node in kept.items() if key not in SHAPES}
    for key, node in top.value.items():
        kept[key] = _merge(kept[key], node, None) if key in kept else node
    return Node(kept, top.source, top.path, inner=True)


def _identity(entry: Node, key: str | None) -> Any:
    """Key by which an entry is known; an entry without it is only like itself."""
    named = entry.value.get(key) if entry.inner and isinstance(entry.value, dict) else None
    if named is None or not isinstance(named.value, str | list):
        return entry.path, id(entry)
    return named.value if isinstance(named.value, str) else tuple(sorted(map(str, named.value)))


def _without(parts: Node, names: Any) -> Node:
    if not (parts.inner and isinstance(parts.value, list) and isinstance(names, list)):
        return parts
    kept = [entry for entry in parts.value if _identity(entry, "name") not in names]
    return Node(kept, parts.source, parts.path, inner=True)
