"""The common problem of the benchmarks: a T of iron in sand, as plain arrays and as a case.

200 x 200 mm; flange 120 x 24 mm, boss 40 x 80 mm on it; iron poured at 1350 °C, frozen between
1190 and 1140 °C, 220 kJ/kg; joint 1000 W/m2K; the outer wall at 20 °C. 200 x 200 cells of 1 mm
unless said otherwise. The properties are round numbers of gray iron and silica sand, from memory.
"""

import numpy as np

SIDE = 200  # mm
IRON = {"density": 7100.0, "heat": 700.0, "k": 30.0}
SAND = {"density": 1500.0, "heat": 1000.0, "k": 0.7}
LATENT, SOLIDUS, LIQUIDUS = 220e3, 1140.0, 1190.0
POUR, COLD, JOINT = 1350.0, 20.0, 1000.0
MELT = IRON["density"] * LATENT
H_SOLIDUS = IRON["density"] * IRON["heat"] * SOLIDUS
H_LIQUIDUS = IRON["density"] * IRON["heat"] * LIQUIDUS + MELT
FROZEN, COOLED = 1000.0, 4 * 3600.0  # s: (a) just past the last freezing, (b)


class Tee:
    """The T on so many cells a side, a divisor or multiple of 50: arrays of shape (cells, cells).

    Enthalpies h are in J/m3, zero for the solid at 0 °C; temperatures in °C.
    """

    def __init__(self, cells=200):
        if cells % 50:
            raise ValueError(f"{cells} cells a side: the sides of the T lie on no grid line")
        self.cells, self.cell = cells, SIDE / 1000.0 / cells
        self.shape = (cells, cells)
        self.metal = np.zeros(self.shape, dtype=bool)
        for left, low, right, high in ((40, 60, 160, 84), (80, 84, 120, 164)):
            left, low, right, high = (at * cells // SIDE for at in (left, low, right, high))
            self.metal[low:high, left:right] = True
        self.capacity = np.where(
            self.metal, IRON["density"] * IRON["heat"], SAND["density"] * SAND["heat"]
        )
        self.k = np.where(self.metal, IRON["k"], SAND["k"])
        self.start = np.where(self.metal, self.capacity * POUR + MELT, self.capacity * COLD)
        self.explicit_limit = self.cell**2 / 4.0 * IRON["density"] * IRON["heat"] / IRON["k"]

    def temperature(self, h):
        """T [°C] from enthalpy."""
        sensible = np.where(self.metal & (h > H_LIQUIDUS), h - MELT, h) / self.capacity
        share = np.clip((h - H_SOLIDUS) / (H_LIQUIDUS - H_SOLIDUS), 0.0, 1.0)
        mushy = self.metal & (share > 0.0) & (share < 1.0)
        return np.where(mushy, SOLIDUS + share * (LIQUIDUS - SOLIDUS), sensible)

    def slope(self, h):
        """dT/dh, [K m3/J]."""
        mushy = self.metal & (h > H_SOLIDUS) & (h < H_LIQUIDUS)
        return np.where(mushy, (LIQUIDUS - SOLIDUS) / (H_LIQUIDUS - H_SOLIDUS), 1 / self.capacity)

    def face_conductances(self):
        """G / V of the faces between cells along x and y, and to the walls, [W/m3K]."""
        half = self.cell / 2

        def between(k_one, k_two, one, two):
            return 1.0 / (half / k_one + half / k_two + np.where(one != two, 1 / JOINT, 0.0))

        k, metal = self.k, self.metal
        along_x = between(k[:, 1:], k[:, :-1], metal[:, 1:], metal[:, :-1]) / self.cell
        along_y = between(k[1:], k[:-1], metal[1:], metal[:-1]) / self.cell
        return along_x, along_y, SAND["k"] / half / self.cell

    def case_text(self, cooling, frames=120):
        """The same as a case; a core of sand over the whole box keeps the cells even."""
        return CASE.format(cell=SIDE / self.cells, cooling=cooling, frames=frames)


CASE = f"""
title = "T of iron in sand"
[section]
cell = "{{cell}} mm"
[pour]
alloy = "iron"
temperature = "{POUR} °C"
[mold]
sand = "sand"
temperature = "{COLD} °C"
box = {{{{ from = ["0 mm", "0 mm"], to = ["{SIDE} mm", "{SIDE} mm"] }}}}
[[part]]
name = "even cells"
role = "core"
rectangle = {{{{ from = ["0 mm", "0 mm"], to = ["{SIDE} mm", "{SIDE} mm"] }}}}
[[part]]
name = "flange"
role = "casting"
rectangle = {{{{ from = ["40 mm", "60 mm"], to = ["160 mm", "84 mm"] }}}}
[[part]]
name = "boss"
role = "casting"
rectangle = {{{{ from = ["80 mm", "84 mm"], to = ["120 mm", "164 mm"] }}}}
[material.iron]
kind = "alloy"
density = "{IRON["density"]} kg/m3"
specific_heat = "{IRON["heat"]} J/kgK"
conductivity = "{IRON["k"]} W/mK"
latent_heat = "{LATENT} J/kg"
solid_fraction = {{{{ curve = "linear", solidus = "{SOLIDUS} °C", liquidus = "{LIQUIDUS} °C" }}}}
[material.sand]
kind = "mold"
density = "{SAND["density"]} kg/m3"
specific_heat = "{SAND["heat"]} J/kgK"
conductivity = "{SAND["k"]} W/mK"
[boundary]
left = {{{{ temperature = "{COLD} °C" }}}}
right = {{{{ temperature = "{COLD} °C" }}}}
top = {{{{ temperature = "{COLD} °C" }}}}
bottom = {{{{ temperature = "{COLD} °C" }}}}
[[interface]]
between = ["iron", "sand"]
conductance = "{JOINT} W/m2K"
[cooling]
{{cooling}}
[output]
frames = {{frames}}
"""
