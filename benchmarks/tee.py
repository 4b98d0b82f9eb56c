"""The common problem of the benchmarks: a T of iron in sand, as plain arrays and as a case.

200 x 200 mm, 1 mm cells; flange 120 x 24 mm, boss 40 x 80 mm on it; iron poured at 1350 °C, frozen
between 1190 and 1140 °C, 220 kJ/kg; joint 1000 W/m2K; the outer wall at 20 °C.
"""

import numpy as np

CELLS, CELL = 200, 1e-3
IRON = {"density": 7100.0, "heat": 700.0, "k": 30.0}
SAND = {"density": 1500.0, "heat": 1000.0, "k": 0.7}
LATENT, SOLIDUS, LIQUIDUS = 220e3, 1140.0, 1190.0
POUR, COLD, JOINT = 1350.0, 20.0, 1000.0

METAL = np.zeros((CELLS, CELLS), dtype=bool)
METAL[60:84, 40:160] = METAL[84:164, 80:120] = True

CAPACITY = np.where(METAL, IRON["density"] * IRON["heat"], SAND["density"] * SAND["heat"])
MELT = IRON["density"] * LATENT
H_SOLIDUS = IRON["density"] * IRON["heat"] * SOLIDUS
H_LIQUIDUS = IRON["density"] * IRON["heat"] * LIQUIDUS + MELT
START = np.where(METAL, CAPACITY * POUR + MELT, CAPACITY * COLD)


def temperature(h):
    """T [°C] from enthalpy [J/m3], zero for the solid at 0 °C."""
    sensible = np.where(METAL & (h > H_LIQUIDUS), h - MELT, h) / CAPACITY
    share = np.clip((h - H_SOLIDUS) / (H_LIQUIDUS - H_SOLIDUS), 0.0, 1.0)
    mushy = METAL & (share > 0.0) & (share < 1.0)
    return np.where(mushy, SOLIDUS + share * (LIQUIDUS - SOLIDUS), sensible)


def slope(h):
    """dT/dh, [K m3/J]."""
    mushy = METAL & (h > H_SOLIDUS) & (h < H_LIQUIDUS)
    return np.where(mushy, (LIQUIDUS - SOLIDUS) / (H_LIQUIDUS - H_SOLIDUS), 1.0 / CAPACITY)


def enthalpy(T):
    """Enthalpy [J/m3] from T [°C]."""
    liquid = np.clip((T - SOLIDUS) / (LIQUIDUS - SOLIDUS), 0.0, 1.0)
    return CAPACITY * T + np.where(METAL, liquid * MELT, 0.0)


def face_conductances():
    """G / V of the faces between cells along x and y, and to the walls [W/m3K]."""
    k = np.where(METAL, IRON["k"], SAND["k"])

    def between(one, two, metal_one, metal_two):
        joint = np.where(metal_one != metal_two, 1.0 / JOINT, 0.0)
        return 1.0 / (CELL / 2 / one + CELL / 2 / two + joint) / CELL

    along_x = between(k[:, 1:], k[:, :-1], METAL[:, 1:], METAL[:, :-1])
    along_y = between(k[1:], k[:-1], METAL[1:], METAL[:-1])
    return along_x, along_y, SAND["k"] / (CELL / 2) / CELL


def case_text(stop, cell_mm=1.0):
    """The same as a case; a core of sand over the whole box keeps the cells even."""
    return f"""
title = "T of iron in sand"
[section]
cell = "{cell_mm} mm"
[pour]
alloy = "iron"
temperature = "{POUR} °C"
[mold]
sand = "sand"
temperature = "{COLD} °C"
box = {{ from = ["0 mm", "0 mm"], to = ["200 mm", "200 mm"] }}
[[part]]
name = "even cells"
role = "core"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["200 mm", "200 mm"] }}
[[part]]
name = "flange"
role = "casting"
rectangle = {{ from = ["40 mm", "60 mm"], to = ["160 mm", "84 mm"] }}
[[part]]
name = "boss"
role = "casting"
rectangle = {{ from = ["80 mm", "84 mm"], to = ["120 mm", "164 mm"] }}
[material.iron]
kind = "alloy"
density = "{IRON["density"]} kg/m3"
specific_heat = "{IRON["heat"]} J/kgK"
conductivity = "{IRON["k"]} W/mK"
latent_heat = "{LATENT} J/kg"
solid_fraction = {{ curve = "linear", solidus = "{SOLIDUS} °C", liquidus = "{LIQUIDUS} °C" }}
[material.sand]
kind = "mold"
density = "{SAND["density"]} kg/m3"
specific_heat = "{SAND["heat"]} J/kgK"
conductivity = "{SAND["k"]} W/mK"
[boundary]
left = {{ temperature = "{COLD} °C" }}
right = {{ temperature = "{COLD} °C" }}
top = {{ temperature = "{COLD} °C" }}
bottom = {{ temperature = "{COLD} °C" }}
[[interface]]
between = ["iron", "sand"]
conductance = "{JOINT} W/m2K"
[cooling]
{stop}
"""
