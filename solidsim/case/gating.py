"""The gating system as written: basin, sprue, channels and ingates, values in SI."""

from typing import Annotated, Literal

from pydantic import Field

from solidsim.case.table import Table
from solidsim.case.values import Length, Point, Radius, Reads, Size

Area = Annotated[float, Reads("area", "above zero")]
Rate = Annotated[float, Reads("flow-rate", "above zero")]
Mass = Annotated[float, Reads("mass", "above zero")]
Loss = Annotated[float, Reads("number", "zero")]

ChannelKind = Literal["runner", "choke", "filter", "trap"]
FIRST = "sprue"
"""What an ingate or channel comes from if it does not say."""


class Basin(Table):
    """The pouring basin on top of the sprue."""

    area: Area = Field(examples=['"60 cm2"'])
    depth: Size = Field(examples=['"50 mm"'])
    rate: Rate | None = Field(
        default=None, description="as much as keeps the basin full", examples=['"0.4 L/s"']
    )


class Sprue(Table):
    """The sprue, round and tapered evenly; ``top`` and ``foot`` are heights of the section."""

    top: Length = Field(examples=['"120 mm"'])
    foot: Length = Field(examples=['"0 mm"'])
    top_area: Area = Field(examples=['"5 cm2"'])
    foot_area: Area = Field(examples=['"3 cm2"'])
    entry_loss: Loss = Field(default=0.1, examples=["0.1"])
    bend_loss: Loss = Field(default=1.1, examples=["1.1"])


class Channel(Table):
    """A stretch of the way from the sprue to the ingates, of even section."""

    name: str = Field(min_length=1, examples=['"runner"'])
    kind: ChannelKind = "runner"
    source: str = Field(default=FIRST, alias="from", examples=['"sprue"'])
    area: Area = Field(examples=['"4 cm2"'])
    length: Radius = Field(default=0.0, examples=['"150 mm"'])
    perimeter: Size | None = Field(
        default=None, description="of a square of the same area", examples=['"80 mm"']
    )
    loss: Loss | None = Field(
        default=None, description="10 for a filter, else none", examples=["1.1"]
    )


class Ingate(Table):
    """The mouth of a channel in a part of the section."""

    name: str = Field(min_length=1, examples=['"left ingate"'])
    source: str = Field(default=FIRST, alias="from", examples=['"runner"'])
    part: str = Field(examples=['"left shoulder"'])
    at: Point = Field(examples=['["0 mm", "0 mm"]'])
    area: Area = Field(examples=['"2 cm2"'])
    length: Radius = Field(default=0.0, examples=['"20 mm"'])
    perimeter: Size | None = Field(
        default=None, description="of a square of the same area", examples=['"60 mm"']
    )
    loss: Loss = Field(default=0.0, examples=["0.5"])


class Gating(Table):
    """How the metal comes in. Losses are shares of the velocity head where they arise."""

    weight: Mass | None = Field(
        default=None, description="the weight of the section's metal", examples=['"6 kg"']
    )
    roughness: Radius = Field(default=0.25e-3, examples=['"0.25 mm"'])
    basin: Basin
    sprue: Sprue
    channel: tuple[Channel, ...] = ()
    ingate: tuple[Ingate, ...] = ()
