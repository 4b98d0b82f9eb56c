"""Reading a case: from a TOML file and its bases to a checked description, or all its faults."""

import os
import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

from pydantic import ValidationError

from solidsim.case.checking import check_case, check_without
from solidsim.case.description import CaseDescription
from solidsim.case.locating import KeyPath
from solidsim.case.merging import Node, Source, dotted, lay_out, lay_over, written_keys
from solidsim.case.wording import Complaint, complaints
from solidsim.errors import CaseError, Fault
from solidsim.quantities import Units, units_of


@dataclass(frozen=True)
class Case:
    """A case that was read and found whole.

    Parameters
    ----------
    path : Path or None
        None for a case that was read from a text.
    name : str
        The file's name without its ending.
    description : CaseDescription
        In SI, with every fixed default filled in.
    texts : dict of str to str
        Exact text of each file, the case first, then its bases, by name relative to the case.
    units : {"metric", "inch"}
        As the case says, else those that most of its quantities are written in.
    tree : Node
        What was written, bases merged in, and where.
    """

    path: Path | None
    name: str
    description: CaseDescription
    texts: dict[str, str]
    units: Units
    tree: Node = field(repr=False)

    @cached_property
    def written(self) -> dict[str, Any]:
        """The merged case as written, its quantities as texts."""
        return self.tree.plain()

    @cached_property
    def given(self) -> frozenset[str]:
        """Dotted keys that were written in the case or its bases."""
        return frozenset(dotted(self.written, path) for path in written_keys(self.written))

    def standing(self, key: str) -> Literal["given", "assumed"]:
        """Whether a dotted key, or anything in it, was written in the case or its bases."""
        wanted = f"{key}."
        for known in self.given:
            if wanted.startswith(f"{known}.") or known.startswith(wanted):
                return "given"
        return "assumed"

    def fault(self, key: KeyPath, given: str, allowed: str, write: str) -> Fault:
        """Make a fault at a key of the merged case, placed in the file that holds it."""
        return fault_at(self.tree, (key, given, allowed, write))


def read_case(path: str | Path) -> Case:
    """Read a case file, or ``case.toml`` of a folder, with its bases.

    Raises
    ------
    CaseError
        With all faults of the case.
    """
    path = Path(path)
    path = path / "case.toml" if path.is_dir() else path
    try:
        text = text_of(path)
    except (OSError, ValueError) as cause:
        raise CaseError([unreadable(str(path), cause)]) from cause
    return _read(source_of(path.name, str(path), text), path.parent, path)


def read_case_text(text: str, name: str = "case.toml", folder: str | Path | None = None) -> Case:
    """Read a case from its text; bases are looked for in the folder.

    Raises
    ------
    CaseError
        With all faults of the case.
    """
    return _read(source_of(name, name, text), Path(folder) if folder is not None else None, None)


def _read(source: Source, folder: Path | None, path: Path | None) -> Case:
    seen = (path.resolve(),) if path else ()
    tree, sources, faults = _with_bases(lay_out(source), folder, folder, seen)
    written = tree.plain()
    units = _units(written)
    found = list(check_case(written, units))
    try:
        description = CaseDescription.model_validate(written)
    except ValidationError as error:
        found += complaints(error)
    faults += [fault_at(tree, complaint) for complaint in found]
    if faults:
        raise CaseError(faults)
    texts = {source.name: source.text for source in sources}
    return Case(path, Path(source.name).stem, description, texts, units, tree)


def _with_bases(
    layer: Node, folder: Path | None, home: Path | None, seen: tuple[Path, ...]
) -> tuple[Node, list[Source], list[Fault]]:
    """Lay a file over its chain of bases; names of files are relative to the home folder."""
    source, without = layer.source, layer.source.data.get("without")
    base = source.data.get("base")
    if not isinstance(base, str):
        return layer, [source], [fault_at(layer, found) for found in check_without(without, None)]
    allowed, write = "another case file, relative to this one", 'base = "bracket.toml"'
    if folder is None or home is None:
        given = "a base, but this case has no folder"
        raise CaseError([fault_at(layer, (("base",), given, allowed, write))])
    path = Path(os.path.normpath(folder / base))
    try:
        resolved, text = path.resolve(), text_of(path)
    except (OSError, ValueError) as cause:
        given = f'"{base}": {unreadable("", cause).given}'
        raise CaseError([fault_at(layer, (("base",), given, allowed, write))]) from cause
    if resolved in seen:
        given = f'"{base}" leads back to itself'
        raise CaseError([fault_at(layer, (("base",), given, allowed, write))])
    below = lay_out(source_of(Path(os.path.relpath(path, home)).as_posix(), str(path), text))
    below, sources, faults = _with_bases(below, path.parent, home, (*seen, resolved))
    faults += [fault_at(layer, found) for found in check_without(without, below.plain())]
    return lay_over(below, layer), [source, *sources], faults


def text_of(path: Path) -> str:
    """Text of a file in UTF-8."""
    return path.read_bytes().decode("utf-8-sig")


def source_of(name: str, shown: str, text: str) -> Source:
    """Take apart a text of TOML, or say where it is none."""
    try:
        text.encode()  # a lone surrogate would fail later on
        return Source(name, shown, text, tomllib.loads(text))
    except (ValueError, RecursionError) as cause:
        said, _, place = str(cause).partition(" (at ")
        numbers = [int(number) for number in re.findall(r"\d+", place)]
        end = text.count("\n") + 1, len(text) - text.rfind("\n")
        line, column = numbers if len(numbers) == 2 else end
        write = 'key = value, texts and quantities in quotes, as cell = "1.5 mm"'
        fault = Fault(shown, line, column, "syntax", said, "a TOML 1.0 file", write)
        raise CaseError([fault]) from cause


def unreadable(shown: str, cause: Exception, wanted: str = "a case file") -> Fault:
    """Fault of a file that cannot be read at all."""
    said = str(getattr(cause, "strerror", None) or "Not a UTF-8 text").lower()
    return Fault(shown, 1, 1, "file", said, wanted, "the path of a TOML file")


def fault_at(tree: Node, complaint: Complaint, whole: str = "case") -> Fault:
    """Complaint at its place in the file that holds its key."""
    path, given, allowed, write = complaint
    return Fault(*tree.place(path), dotted(tree.plain(), path) or whole, given, allowed, write)


def _units(written: dict[str, Any]) -> Units:
    said = written.get("units")
    if said in ("metric", "inch"):
        return said
    tables = ("section", "pour", "mold", "part", "probe", "cooling", "workshop")
    counts = Counter(units_of(text) for key in tables for text in _texts(written.get(key)))
    return "inch" if counts["inch"] > counts["metric"] else "metric"


def _texts(value: Any) -> Iterator[str]:
    """All texts in a value, names left out."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _texts(inner) if key != "name" else ()
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)
