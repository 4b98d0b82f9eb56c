"""A block that a covered feeder beside it feeds through a neck; sizes in millimeters."""

CASE = """
title = "A block fed through a neck"
[section]
cell = "{cell} mm"
depth = "{side} mm"
[pour]
alloy = "{alloy}"
temperature = "{temperature} °C"
[mold]
sand = "dry-silica-sand"
[[part]]
name = "block"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["{side} mm", "{side} mm"] }}
[[part]]
name = "neck"
role = "neck"
depth = "{neck} mm"
rectangle = {{ from = ["{side} mm", "{low} mm"], to = ["{left} mm", "{high} mm"] }}
[[part]]
name = "feeder"
role = "feeder"
depth = "60 mm"
rectangle = {{ from = ["{left} mm", "0 mm"], to = ["{right} mm", "90 mm"] }}
[[part]]
name = "cover"
role = "insulation"
rectangle = {{ from = ["{left} mm", "90 mm"], to = ["{right} mm", "102 mm"] }}
"""


def fed_block(neck, side=45, cell=3, length=12, temperature=1560, alloy="carbon-steel-0.25"):
    """The case with a neck so wide and so long, square and at half the height of the block."""
    return CASE.format(
        cell=cell, side=side, alloy=alloy, temperature=temperature, neck=neck,
        low=(side - neck) / 2, high=(side + neck) / 2, left=side + length,
        right=side + length + 60,
    )  # fmt: skip
