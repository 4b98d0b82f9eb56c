"""A plate with a feeder and a core, in whatever metal, with whatever shop."""

from solidsim.case import read_case_text
from solidsim.model import build_model

PLATE = """
title = "Cover plate of the winch"
units = "{units}"
[section]
cell = "5 mm"
depth = {depth}
[pour]
alloy = "{alloy}"
temperature = "{pour}"
[mold]
sand = "green-sand"
box = {{ from = ["-40 mm", "-50 mm"], to = ["240 mm", "100 mm"] }}
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["200 mm", "20 mm"] }}
[[part]]
name = "feeder"
role = "feeder"
rectangle = {{ from = ["80 mm", "20 mm"], to = ["120 mm", "100 mm"] }}
depth = {feeder}
[[part]]
name = "core"
role = "core"
rectangle = {{ from = ["20 mm", "5 mm"], to = ["40 mm", "15 mm"] }}
[cooling]
shake_out = "450 °C"
{shop}
"""


def plate(
    shop="", alloy="gray-iron", pour="1370 °C", depth='"100 mm"', feeder='"round"', units="metric"
):
    """Case and model of the plate, 100 mm deep."""
    shop = f"[workshop]\n{shop}" if shop else ""
    text = PLATE.format(shop=shop, alloy=alloy, pour=pour, depth=depth, feeder=feeder, units=units)
    case = read_case_text(text)
    return case, build_model(case)
