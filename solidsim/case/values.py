"""Single values of a case: texts with units that become SI numbers, or a fault in words."""

import math
from dataclasses import dataclass
from typing import Annotated, Any, Literal, NoReturn

from pydantic import BeforeValidator, Field, GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from solidsim.errors import QuantityError
from solidsim.quantities import KINDS, phrase, read_quantity


def refuse(written: Any, allowed: str, write: str) -> NoReturn:
    """Refuse a value as it is read, in the words of a fault."""
    given = f'"{written}"' if isinstance(written, str) else f"{written}"
    raise QuantityError(given, allowed, write)


_MOST = {"length": 100.0, "temperature": 6000.0}  # m, K: larger is a slip of the pen


@dataclass(frozen=True)
class Reads:
    """Marks a number of the case as a quantity of a kind, from zero or above it where it must be.

    Parameters
    ----------
    kind : str
        A key of ``solidsim.quantities.KINDS``.
    least : {"any", "zero", "above zero"}
    """

    kind: str
    least: Literal["any", "zero", "above zero"] = "any"

    def __call__(self, written: Any) -> float:
        """SI value of what was written."""
        value, kind = read_quantity(written, self.kind), phrase(self.kind)
        if value < 0 and self.least != "any":
            above = "above zero" if self.least == "above zero" else "of zero or more"
            positive = str(written).strip(" -")
            refuse(
                written,
                f"{kind} {above}",
                f'"{positive}"' if isinstance(written, str) else positive,
            )
        if value == 0 and self.least == "above zero":
            refuse(written, f"{kind} above zero", "a size above zero")
        if abs(value) > _MOST.get(self.kind, math.inf):
            refuse(
                written,
                f"{kind} within {_MOST[self.kind]:g} {KINDS[self.kind].si}",
                "a smaller one",
            )
        return value

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Read before pydantic looks at the value."""
        return core_schema.no_info_before_validator_function(self, handler(source))


Length = Annotated[float, Reads("length")]
Size = Annotated[float, Reads("length", "above zero")]
Radius = Annotated[float, Reads("length", "zero")]
Temperature = Annotated[float, Reads("temperature")]
Weight = Annotated[float, Reads("mass", "above zero")]
Area = Annotated[float, Reads("area", "above zero")]
Time = Annotated[float, Reads("time", "zero")]
Coefficient = Annotated[float, Reads("heat-transfer-coefficient", "zero")]
Conductance = Annotated[float, Reads("heat-transfer-coefficient", "above zero")]
NiyamaLimit = Annotated[float, Reads("niyama", "above zero")]
Emissivity = Annotated[float, Field(le=1.0), Reads("number", "zero")]
PouringTime = Annotated[float, Reads("time", "above zero")]
Point = tuple[Length, Length]


def _depth(written: Any) -> float | str:
    if written in ("through", "round"):
        return str(written)
    try:
        return Reads("length", "above zero")(written)
    except QuantityError as fault:
        refuse(written, 'a length above zero, "through" or "round"', fault.write)


Depth = Annotated[float | Literal["through", "round"], BeforeValidator(_depth)]


def _side_word(written: Any) -> str:
    if written in ("insulated", "symmetry"):
        return str(written)
    allowed = '"insulated", "symmetry", a fixed temperature or an ambient one with a coefficient'
    refuse(written, allowed, '"insulated" or { ambient = "20 °C", coefficient = "10 W/m2K" }')


SideWord = Annotated[Literal["insulated", "symmetry"], BeforeValidator(_side_word)]


@dataclass(frozen=True)
class ShakeOut:
    """When the casting is shaken out: at a time [s], or when its hottest metal is this cool [K]."""

    time: float | None = None
    temperature: float | None = None


def _shake_out(written: Any) -> ShakeOut:
    faults = []
    for kind, least in (("time", "above zero"), ("temperature", "any")):
        try:
            return ShakeOut(**{kind: Reads(kind, least)(written)})  # type: ignore[arg-type]
        except QuantityError as fault:
            faults.append(fault)
    refuse(written, "a temperature, or a time since the pour", faults[1].write)


ShakeOutMoment = Annotated[ShakeOut, BeforeValidator(_shake_out)]
