"""Where in the text of a TOML file a key stands."""

import tomllib
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tree_sitter import Node

KeyPath = tuple[str | int, ...]


def locate(text: str, path: KeyPath) -> tuple[int, int]:
    """Line and column, from one, of a key or list item, or of its nearest parent in the text."""
    known = _places(text)
    while path not in known:
        path = path[:-1]
    return known[path]


@lru_cache(maxsize=16)
def _places(text: str) -> dict[KeyPath, tuple[int, int]]:
    # only a faulty file pays for the parser: 30 ms of import
    import tree_sitter_toml
    from tree_sitter import Language, Parser

    content = text.encode(errors="replace")
    tree = Parser(Language(tree_sitter_toml.language())).parse(content)
    lines = content.split(b"\n")
    places: dict[KeyPath, tuple[int, int]] = {(): (1, 1)}
    for path, node in _walk(tree.root_node):
        row, byte = node.start_point
        places.setdefault(path, (row + 1, len(lines[row][:byte].decode(errors="replace")) + 1))
    return places


def _walk(document: "Node") -> Iterator[tuple[KeyPath, "Node"]]:
    entries: Counter[KeyPath] = Counter()
    for node in document.named_children:
        if node.type == "pair":
            yield from _walk_pair((), node)
        elif node.type in ("table", "table_array_element"):
            header = list(_key_parts(node.named_children[0]))
            path: KeyPath = ()
            for name, part in header[:-1]:
                path = (*path, name)
                yield path, part
                path = (*path, entries[path] - 1) if entries[path] else path
            path = (*path, header[-1][0])
            yield path, header[-1][1]
            if node.type == "table_array_element":
                entries[path] += 1
                path = (*path, entries[path] - 1)
                yield path, header[-1][1]
            for pair in node.named_children[1:]:
                if pair.type == "pair":
                    yield from _walk_pair(path, pair)


def _walk_pair(path: KeyPath, pair: "Node") -> Iterator[tuple[KeyPath, "Node"]]:
    key, *rest = pair.named_children
    for name, part in _key_parts(key):
        path = (*path, name)
        yield path, part
    yield from _walk_value(path, rest[-1])


def _walk_value(path: KeyPath, value: "Node") -> Iterator[tuple[KeyPath, "Node"]]:
    inner = [child for child in value.named_children if child.type != "comment"]
    if value.type == "inline_table":
        for pair in inner:
            yield from _walk_pair(path, pair)
    elif value.type == "array":
        for index, item in enumerate(inner):
            yield (*path, index), item
            yield from _walk_value((*path, index), item)


def _key_parts(key: "Node") -> Iterator[tuple[str, "Node"]]:
    """Names of a dotted key and where each stands."""
    if key.type == "dotted_key":
        for child in key.named_children:
            yield from _key_parts(child)
    else:
        yield next(iter(tomllib.loads(f"{(key.text or b'').decode()} = 0"))), key
