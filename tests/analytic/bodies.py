"""Bodies of depth as cases: one block of iron in sand, seen in a section."""

from pouring import pour

IRON = (7100.0, 700.0, 30.0, 220e3, 1140.0, 1190.0, 1350.0)
SAND = (1500.0, 1000.0, 0.7)
JOINT = 1000.0  # W/m2K


def cards(metal=IRON, sand=SAND):
    density, heat, k, latent_heat, solidus, liquidus, temperature = metal
    return f"""
[pour]
alloy = "metal"
temperature = "{temperature} °C"
[material.metal]
kind = "alloy"
density = "{density} kg/m3"
specific_heat = "{heat} J/kgK"
conductivity = "{k} W/mK"
latent_heat = "{latent_heat} J/kg"
solid_fraction = {{ curve = "linear", solidus = "{solidus} °C", liquidus = "{liquidus} °C" }}
[material.sand]
kind = "mold"
density = "{sand[0]} kg/m3"
specific_heat = "{sand[1]} J/kgK"
conductivity = "{sand[2]} W/mK"
[[interface]]
between = ["metal", "sand"]
conductance = "{JOINT} W/m2K"
"""


def boss_on_plate(plate, thickness, boss, height, cell=2.0, sand=60.0):
    """Run of a square boss through the middle of a square plate, in plan; lengths in mm."""
    parts = ""
    for name, size, depth in (("plate", plate, thickness), ("boss", boss, height)):
        half = size / 2
        parts += f"""
[[part]]
name = "{name}"
role = "casting"
depth = "{depth} mm"
rectangle = {{ from = ["{-half} mm", "{-half} mm"], to = ["{half} mm", "{half} mm"] }}
"""
    edge = plate / 2 + sand
    return pour(f"""
title = "A boss on a plate"
[section]
view = "plan"
cell = "{cell} mm"
[mold]
sand = "sand"
temperature = "20 °C"
box = {{ from = ["{-edge} mm", "{-edge} mm"], to = ["{edge} mm", "{edge} mm"] }}
{parts}
{cards()}
""")


def block(width, height, depth, *, view="upright", cell=1.0, sand=70.0, metal=IRON, faces=None):
    """Run of a rectangle of metal in sand; lengths in mm, depth also "through" or "round".

    In the round view ``width`` is the diameter.
    """
    left, right = (0.0, width / 2) if view == "round" else (-width / 2, width / 2)
    depth = depth if isinstance(depth, str) else f"{depth} mm"
    edge = 0.0 if view == "round" else left - sand
    return pour(f"""
title = "A block in sand"
[section]
view = "{view}"
cell = "{cell} mm"
depth = "{depth}"
[mold]
sand = "sand"
temperature = "20 °C"
box = {{ from = ["{edge} mm", "{-sand} mm"], to = ["{right + sand} mm", "{height + sand} mm"] }}
[[part]]
name = "block"
role = "casting"
rectangle = {{ from = ["{left} mm", "0 mm"], to = ["{right} mm", "{height} mm"] }}
{f"faces = {faces}" if faces else ""}
{cards(metal)}
""")
