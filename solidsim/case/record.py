"""What happened: a record beside a case, read and checked as strictly as the case.

The record of ``case.toml`` is ``record.toml``, that of ``NAME.toml`` is ``NAME.record.toml``.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Literal, get_args

from pydantic import Field, ValidationError
from pydantic.fields import FieldInfo

from solidsim.case.merging import lay_out
from solidsim.case.reading import Case, fault_at, source_of, text_of, unreadable
from solidsim.case.table import Table
from solidsim.case.values import Radius, Temperature, Time, Weight
from solidsim.case.wording import Complaint, complaints, shown
from solidsim.errors import CaseError
from solidsim.quantities import Units

Kind = Literal["shrinkage", "gas", "cold-run", "sand", "crack", "hard-edge", "other"]
FROM_POUR = "from the end of the pour"


class Defect(Table):
    """One defect that was found."""

    part: str | None = Field(default=None, examples=['"web"'], description="the part it is in")
    kind: Kind = Field(examples=['"shrinkage"'], description=", ".join(get_args(Kind)))
    note: str | None = Field(
        default=None, examples=['"a pea under the skin"'], description="where, how large"
    )


class RecordDescription(Table):
    """The record as written; every key may be left out."""

    date_: date | None = Field(
        default=None, alias="date", examples=["2024-05-17"], description="of the pour"
    )
    poured: str | None = Field(
        default=None, examples=['"no. 3, scrap brake disks"'], description="what was poured"
    )
    furnace_temperature: Temperature | None = Field(
        default=None, examples=['"1450 °C"', '"2640 °F"'], description="as it was tapped"
    )
    pour_temperature: Temperature | None = Field(
        default=None,
        examples=['"1370 °C"', '"2500 °F"'],
        description="in the ladle, before the pour",
    )
    mold_temperature: Temperature | None = Field(
        default=None, examples=['"20 °C"', '"68 °F"'], description="of the sand"
    )
    fill_time: Time | None = Field(
        default=None, examples=['"9 s"'], description="from the first metal to a full mold"
    )
    shake_out_time: Time | None = Field(default=None, examples=['"2 h"'], description=FROM_POUR)
    shake_out_temperature: Temperature | None = Field(
        default=None,
        examples=['"450 °C"', '"850 °F"'],
        description="hottest place, at shake-out",
    )
    casting_weight: Weight | None = Field(
        default=None, examples=['"12 kg"', '"26 lb"'], description="cleaned, feeders and gates off"
    )
    poured_weight: Weight | None = Field(
        default=None, examples=['"16 kg"', '"35 lb"'], description="casting, feeders and gates"
    )
    pipe_depth: Radius | None = Field(
        default=None,
        examples=['"40 mm"', '"1 1/2 in"'],
        description="by a wire down the feeder",
    )
    wedge: Radius | None = Field(
        default=None, examples=['"5 mm"', '"3/16 in"'], description="width of the white iron"
    )
    note: str | None = Field(default=None, examples=['"cover powder was damp"'])
    defect: tuple[Defect, ...] = ()


@dataclass(frozen=True)
class Record:
    """A record that was read and found whole: where it stands, and what it says in SI."""

    path: Path
    description: RecordDescription


def record_path(case: Path) -> Path:
    """Where the record of a case file stands."""
    return case.with_name("record.toml" if case.stem == "case" else f"{case.stem}.record.toml")


def read_record(path: str | Path, parts: Collection[str]) -> Record:
    """Read the record of a case that has these parts.

    Raises
    ------
    CaseError
        With all faults of the record.
    """
    path = Path(path)
    try:
        text = text_of(path)
    except (OSError, ValueError) as cause:
        raise CaseError([unreadable(str(path), cause, "a record file")]) from cause
    tree = lay_out(source_of(path.name, str(path), text))
    try:
        description = RecordDescription.model_validate(tree.plain())
        found = list(_unknown_parts(description, parts))
    except ValidationError as error:
        found = list(complaints(error, RecordDescription))
    if found:
        raise CaseError([fault_at(tree, complaint, "record") for complaint in found])
    return Record(path, description)


def record_form(case: Case) -> str:
    """A form to fill in, every key behind a ``#``, in the units of the case."""
    parts = ", ".join(part.name for part in case.description.part)
    fields = {field.alias or key: field for key, field in RecordDescription.model_fields.items()}
    del fields["defect"]
    lines = [
        f"# What happened: {case.description.title}",
        "# Take the # off a line and write what you saw; what you did not measure, leave.",
        "",
        *(_form_line(key, field, case.units) for key, field in fields.items()),
        "",
        "# One such table a defect; none, if there was none.",
        f"# Parts: {parts}.",
        "# [[defect]]",
        *(_form_line(key, field, case.units) for key, field in Defect.model_fields.items()),
    ]
    return "\n".join(lines) + "\n"


def _form_line(key: str, field: FieldInfo, units: Units) -> str:
    examples = field.examples or ("",)
    example = examples[-1 if units == "inch" else 0]
    meaning = f"   # {field.description}" if field.description else ""
    return f"# {f'{key} = {example}':42}{meaning}".rstrip()


def _unknown_parts(record: RecordDescription, parts: Collection[str]) -> Iterator[Complaint]:
    for index, defect in enumerate(record.defect):
        if defect.part is not None and defect.part not in parts:
            near = get_close_matches(defect.part, parts, n=1)
            allowed = f"a part of the case: {', '.join(parts)}"
            write = shown(near[0]) if near else ""
            yield ("defect", index, "part"), shown(defect.part), allowed, write
