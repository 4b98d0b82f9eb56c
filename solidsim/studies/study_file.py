"""Reading a study: which case, which of its values over which range, what is asked of the runs."""

import json
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationError, model_validator

from solidsim.case import Case, read_case
from solidsim.case.description import Table
from solidsim.case.locating import KeyPath, locate
from solidsim.case.wording import shown
from solidsim.errors import CaseError, Fault, QuantityError
from solidsim.quantities import read_quantity
from solidsim.studies.paths import Steps, read_path
from solidsim.studies.ranges import Input, list_input, range_input
from solidsim.studies.variants import ENDS, Link, variant_text

Value = bool | int | float | str | list[Any] | dict[str, Any]


class InputTable(Table):
    """One value of the case that the study changes: by ``values``, ``range`` or ``ends``."""

    path: str = Field(examples=["'part[\"feeder\"].height'"])
    name: str | None = Field(default=None, examples=['"feeder height"'])
    values: list[Value] | None = Field(default=None, min_length=1, examples=['["40 mm", "50 mm"]'])
    range: tuple[float | str, float | str] | None = Field(
        default=None, examples=['["40 mm", "60 mm"]']
    )
    steps: int = Field(default=5, ge=2, examples=["5"])
    ends: bool = Field(default=False, examples=["true"])

    @model_validator(mode="after")
    def _one_way(self) -> "InputTable":
        if (self.values is not None) + (self.range is not None) + self.ends != 1:
            raise ValueError("exactly one of values, range, or ends = true")
        return self


class LinkTable(Table):
    """A value that follows another one."""

    path: str = Field(examples=["'part[\"cover\"].bottom'"])
    equals: str = Field(examples=["'part[\"feeder\"].top'"])
    times: float = 1.0
    plus: str = Field(default="0 mm", examples=['"2 mm"'])


class LimitTable(Table):
    """What a run must come to: at least or at most so much of a result."""

    result: str = Field(examples=['"last-metal-in-feeder.share"'])
    at_least: float | str | None = Field(default=None, examples=['"15 %"'])
    at_most: float | str | None = Field(default=None, examples=['"30 s"'])


class StudyDescription(Table):
    """The whole study file."""

    title: str = Field(min_length=1, examples=['"Feeder of the bracket"'])
    case: str = Field(examples=['"case.toml"'])
    method: Literal["grid", "latin-hypercube"] = Field(default="grid", examples=['"grid"'])
    count: int = Field(default=50, ge=1, examples=["50"])
    seed: int = Field(default=1, ge=0, examples=["1"])
    set: dict[str, Value] = Field(default={})
    input: tuple[InputTable, ...] = Field(min_length=1, examples=["[[input]] with path and range"])
    link: tuple[LinkTable, ...] = ()
    limit: tuple[LimitTable, ...] = ()
    plot: tuple[str, ...] = ()
    smallest: str | dict[str, float] = Field(default="melt-weight", examples=['"melt-weight"'])


@dataclass(frozen=True)
class Limit:
    """A bound on a result, in SI; ``sense`` is +1 for at least and -1 for at most."""

    result: str
    bound: float
    sense: int
    text: str


@dataclass(frozen=True)
class Study:
    """A study that was read and found whole.

    Parameters
    ----------
    settings : tuple of (path, value)
        What is changed alike in all runs.
    prices : mapping
        What a unit [SI] of each result costs; their sum is to be smallest.
    """

    title: str
    text: str
    case: Case
    description: StudyDescription
    settings: tuple[tuple[Steps, Any], ...]
    inputs: tuple[Input, ...]
    links: tuple[Link, ...]
    limits: tuple[Limit, ...]
    prices: dict[str, float]

    def text_of(self, values: tuple[Any, ...], extra: tuple[tuple[Steps, Any], ...] = ()) -> str:
        """Case text of the variant with these values of the inputs."""
        own = [(one.path, value) for one, value in zip(self.inputs, values, strict=True)]
        pairs = zip(self.inputs, values, strict=True)
        note = ", ".join(f"{one.name} {shown_value(value)}" for one, value in pairs)
        return variant_text(self.case, [*self.settings, *extra, *own], self.links, note)


def shown_value(value: Any) -> str:
    """Value of an input in words."""
    return value if isinstance(value, str) else json.dumps(value)


def read_study(path: str | Path) -> Study:
    """Read a study file and its case.

    Raises
    ------
    CaseError
        With all faults of the study, or else of its case.
    """
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8-sig")
        data = tomllib.loads(text)
    except (OSError, ValueError) as cause:
        fault = Fault(str(path), 1, 1, "file", str(cause), "a study file in TOML", "")
        raise CaseError([fault]) from cause
    try:
        description = StudyDescription.model_validate(data)
    except ValidationError as error:
        raise CaseError([_fault(path, text, *found) for found in _complaints(error)]) from error
    return _read(path, text, description, read_case(path.parent / description.case))


def _read(path: Path, text: str, description: StudyDescription, case: Case) -> Study:
    faults: list[Fault] = []

    def reading(key: KeyPath, read: Any, *words: Any) -> Any:
        try:
            return read(*words)
        except QuantityError as error:
            faults.append(_fault(path, text, key, error.given, error.allowed, error.write))
            return None

    settings = [
        (reading(("set", key), read_path, key), own) for key, own in description.set.items()
    ]
    inputs = [reading(("input", n), _input, own, case) for n, own in enumerate(description.input)]
    links = [reading(("link", n), _link, own) for n, own in enumerate(description.link)]
    limits = [reading(("limit", n), _limit, own) for n, own in enumerate(description.limit)]
    smallest = description.smallest
    prices = {smallest: 1.0} if isinstance(smallest, str) else smallest
    if not faults:
        whole = (tuple(settings), tuple(inputs), tuple(links), tuple(limits), prices)
        study = Study(description.title, text, case, description, *whole)
        reading(("input",), study.text_of, tuple(one.values[0] for one in study.inputs))
    if faults:
        raise CaseError(faults)
    return study


def _input(table: InputTable, case: Case) -> Input:
    path, name = read_path(table.path), table.name or table.path
    if table.range is not None:
        return range_input(name, path, table.range, table.steps, case.units)
    return list_input(name, path, list(ENDS) if table.ends else table.values or [])


def _link(table: LinkTable) -> Link:
    plus = read_quantity(table.plus, "length")
    return Link(read_path(table.path), read_path(table.equals), table.times, plus)


def _limit(table: LimitTable) -> Limit:
    low, high = table.at_least, table.at_most
    if (low is None) == (high is None):
        raise QuantityError(f'limit on "{table.result}"', "one of at_least and at_most",
                            'at_least = "15 %"')  # fmt: skip
    bound, word = (low, "at least") if high is None else (high, "at most")
    sense = 1 if high is None else -1
    return Limit(table.result, _any_quantity(bound), sense, f"{table.result} {word} {bound}")


def _any_quantity(value: Any) -> float:
    from_text = list_input("", ("title",), [value]).numbers[0]
    if from_text != from_text:
        raise QuantityError(f'"{value}"', "a number or a quantity with its unit", '"15 %"')
    return from_text


def _complaints(error: ValidationError) -> Iterator[tuple[KeyPath, str, str, str]]:
    for found in error.errors(include_url=False):
        key, kind = found["loc"], found["type"]
        given = "missing" if kind == "missing" else shown(found["input"])
        given = "unknown key" if kind == "extra_forbidden" else given
        allowed = "no such key in a study" if kind == "extra_forbidden" else found["msg"]
        yield key, given, allowed, _example(key)


def _example(key: KeyPath) -> str:
    tables: dict[str, type[Table]] = {"input": InputTable, "link": LinkTable, "limit": LimitTable}
    table = tables.get(str(key[0]), StudyDescription) if len(key) > 1 else StudyDescription
    field = table.model_fields.get(str(key[-1]))
    return f"{key[-1]} = {field.examples[0]}" if field and field.examples else ""


def _fault(path: Path, text: str, key: KeyPath, given: str, allowed: str, write: str) -> Fault:
    words = ".".join(str(step + 1 if isinstance(step, int) else step) for step in key)
    return Fault(str(path), *locate(text, key), words or "study", given, allowed, write)
