"""What the pour sheet needs of the shop, as written in the case; values in SI."""

from pydantic import Field

from solidsim.case.table import Table
from solidsim.case.values import Area, Length, Size, Temperature, Time, Weight


class Workshop(Table):
    """What the pour sheet needs of the shop; nothing here changes a run."""

    crucible: Weight | None = Field(default=None, examples=['"30 kg"'])
    """What it holds of this metal, filled to the brim."""
    furnace_temperature: Temperature | None = Field(default=None, examples=['"1450 °C"'])
    """The hottest that the furnace gives."""
    holding_time: Time | None = Field(default=None, examples=['"2 min"'])
    """From tapping to the start of the pour."""
    flask: tuple[Size, Size] | None = Field(default=None, examples=['["450 mm", "200 mm"]'])
    """Length and width of the sand inside the flask."""
    parting: Length = Field(default=0.0, examples=['"0 mm"'])
    """Height of the parting line in the section."""
    cope_height: Size | None = Field(default=None, examples=['"115 mm"'])
    """From the parting line to the highest level of metal in basin and feeders."""
    lifted_area: Area | None = Field(default=None, examples=['"170 cm2"'])
    """Of the casting and rigging under the cope, in plan; by the section without it."""
    gate_area: Area | None = Field(default=None, examples=['"3 cm2"'])
    """All gates together; asked for only where metal must come in quietly."""
