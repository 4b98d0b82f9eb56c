"""Graphitic irons from their composition: what a card need not say because carbon and silicon do.

Carbon and silicon place the iron beside the eutectic; austenite (or, past it, a little graphite)
freezes first, then the eutectic. All formulas in weight percent and degrees Celsius.
"""

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from solidsim.materials.iron_formulas import (
    austenite_liquidus,
    austenite_liquidus_classical,
    carbide_eutectic_temperature,
    carbon_equivalent,
    eutectic_graphite,
    eutectic_volume_change,
    graphite_eutectic_temperature,
    graphite_growth,
)
from solidsim.quantities import ZERO_CELSIUS

MIXED = (
    "iron, graphite and silicon of McBride, Gordon and Reno 1993 (NASA TM-4513), mixed by mass; "
    "the peak holds the change from ferrite to austenite and 10 kJ/kg for dissolving carbon (from "
    "memory)"
)
NODES = (20, 100, 200, 300, 400, 500, 600, 680, 740, 800, 1000, 1200)
# J/kgK at NODES; iron's change of 16 kJ/kg at 911 °C is spread over 680-800 °C with its own peak
IRON = (447, 486, 529, 563, 597, 645, 731, 847, 2005, 613, 616, 649)
GRAPHITE = (696, 916, 1158, 1356, 1511, 1626, 1712, 1768, 1807, 1834, 1914, 1979)
SILICON = (699, 775, 832, 865, 888, 908, 927, 940, 947, 957, 984, 1010)
LIQUID = (824, 2020, 968)  # iron, carbon, silicon
DISSOLVING = 167.0  # J/kgK on the peak's top: 10 kJ/kg over 120 K
# conductivity over its value at 20 °C; shapes from memory
SHAPE = {
    "flakes": ((20, 1.0), (200, 0.96), (400, 0.875), (600, 0.77), (800, 0.67), (1000, 0.65)),
    "nodules": ((20, 1.0), (200, 1.03), (400, 1.0), (600, 0.91), (800, 0.83), (1000, 0.83)),
}
LIQUID_CONDUCTIVITY = 30.0  # W/mK, from memory; pure liquid iron is put at 33 to 39
UNDERCOOLING = {True: 10.0, False: 20.0}  # K below the stable eutectic where it starts; memory
EUTECTIC_RANGE = {"flakes": 18.0, "nodules": 35.0}  # K, from memory
UNINOCULATED_SPREAD = 7.0  # K more where the iron is not inoculated; from memory
PRIMARY_SHRINKAGE = 0.035  # of volume, liquid to austenite; from memory
LEAST_PRIMARY = 0.005


@dataclass(frozen=True)
class Iron:
    """Composition of a graphitic iron, mass fractions [1], and how it was treated."""

    carbon: float
    silicon: float
    manganese: float = 0.006
    phosphorus: float = 0.0008
    sulfur: float = 0.0006
    nickel: float = 0.0
    chromium: float = 0.0
    graphite: Literal["flakes", "nodules"] = "flakes"
    inoculated: bool = True

    @property
    def carbon_equivalent(self) -> float:
        """Carbon equivalent C + (Si + P)/3, [1]."""
        return carbon_equivalent(self.carbon, self.silicon, self.phosphorus)

    @property
    def eutectic_carbon(self) -> float:
        """Carbon [1] at which this iron would be all eutectic: 4.26 - 0.317 Si - 0.27 P.

        From memory; the Fe-C eutectic of Hallstedt et al. 2010 lies at the same 4.26 %.
        """
        return 0.0426 - 0.317 * self.silicon - 0.27 * self.phosphorus

    @property
    def austenite_carbon(self) -> float:
        """Carbon [1] of the austenite at the eutectic: 2.1 - 0.217 Si, from memory."""
        return 0.021 - 0.217 * self.silicon

    @property
    def is_hypereutectic(self) -> bool:
        """Whether graphite freezes before austenite."""
        return self.carbon >= self.eutectic_carbon

    @property
    def primary_share(self) -> float:
        """Solid fraction [1] that freezes before the eutectic, by the lever rule."""
        if self.is_hypereutectic:
            return (self.carbon - self.eutectic_carbon) / (1.0 - self.eutectic_carbon)
        span = self.eutectic_carbon - self.austenite_carbon
        return (self.eutectic_carbon - self.carbon) / span

    @property
    def freezes_primary(self) -> bool:
        """Whether enough austenite freezes before the eutectic to be followed."""
        return not self.is_hypereutectic and self.primary_share >= LEAST_PRIMARY

    @property
    def liquidus(self) -> float:
        """Temperature [K] where freezing starts: of austenite, or of the eutectic.

        Austenite: 1625 - 110 C - 25 Si + 3 Mn - 35 P - 71 S - 2 Ni - 7 Cr (Koriyama, Kanno et al.
        2020). The few tenths of a percent of graphite that freeze first in a hypereutectic iron
        carry no heat worth following.
        """
        if not self.freezes_primary:
            return self.eutectic_start
        found = austenite_liquidus(
            self.carbon,
            self.silicon,
            self.manganese,
            self.phosphorus,
            self.sulfur,
            self.nickel,
            self.chromium,
        )
        return max(found, self.eutectic_start + 1.0)

    @property
    def graphite_liquidus(self) -> float:
        """Temperature [K] where graphite first forms in a hypereutectic iron.

        389.1 (C + Si/3) - 503.2, from memory.
        """
        return 38910.0 * (self.carbon + self.silicon / 3.0) - 503.2 + ZERO_CELSIUS

    @property
    def eutectic_start(self) -> float:
        """Temperature [K] where the graphite eutectic begins to grow."""
        stable = graphite_eutectic_temperature(self.silicon)
        return stable - UNDERCOOLING[self.inoculated]

    @property
    def eutectic_end(self) -> float:
        """Temperature [K] where the last of it is solid."""
        spread = EUTECTIC_RANGE[self.graphite]
        return self.eutectic_start - spread - (0.0 if self.inoculated else UNINOCULATED_SPREAD)

    @property
    def carbide_eutectic(self) -> float:
        """Temperature [K] below which white iron may form."""
        return carbide_eutectic_temperature(self.silicon)

    @property
    def latent_heat(self) -> float:
        """Heat of freezing [J/kg]: 230 for eutectic, 190 kJ/kg for primary austenite.

        Fitted to Fe-C of 3.4 to 4.26 % carbon of Hallstedt et al. 2010 within 5 kJ/kg.
        """
        return 230e3 - 40e3 * (self.primary_share if self.freezes_primary else 0.0)

    @property
    def graphite_share(self) -> float:
        """Graphite when the eutectic is frozen [1]: C - 1.30 + 0.1 Si (Heine), from memory."""
        return eutectic_graphite(self.carbon, self.silicon)

    def graphite_growth_at(self, solid_fraction: NDArray[np.float64]) -> NDArray[np.float64]:
        """Volume [1] that graphite has added by a solid fraction [1]: evenly over the eutectic."""
        primary = self.primary_share if self.freezes_primary else 0.0
        frozen = np.clip((solid_fraction - primary) / (1.0 - primary), 0.0, 1.0)
        return graphite_growth(self.graphite_share) * frozen


def iron_card(iron: Iron) -> dict[str, Any]:
    """Entries of a card that follow from the composition, as a card would write them."""
    end = iron.eutectic_end - ZERO_CELSIUS
    return {
        "density": _sourced(
            _density(iron),
            "2 %",
            "from memory, 140 kg/m3 less for each percent of graphite, 50 of silicon",
        ),
        "specific_heat": _sourced(_specific_heat(iron), "8 %", MIXED, "handbook"),
        "conductivity": _sourced(
            _conductivity(iron, end), "15 %", "from memory, by the form and amount of graphite"
        ),
        "latent_heat": {
            "value": f"{iron.latent_heat / 1e3:.0f} kJ/kg",
            "range": ["185 kJ/kg", "250 kJ/kg"],
            "source": "Fe-C of 3.4 to 4.26 % carbon, Hallstedt et al. 2010, Calphad 34:129, "
            "computed with pycalphad 0.11; handbooks give 200 to 250 (from memory)",
            "grade": "handbook",
        },
        "solid_fraction": _solid_fraction(iron),
        "liquid_contraction": {
            "value": "1.5 %",
            "range": ["1.2 %", "1.8 %"],
            "source": "common practice for 100 K, from memory",
            "grade": "estimated",
        },
        "freezing_volume": _sourced(
            _freezing_volume(iron),
            "1 %",
            "primary austenite shrinks 3.5 % (from memory); the eutectic grows by 2 (Gr - 2.80) "
            "percent, graphite Gr = C - 1.30 + 0.1 Si (Heine, from memory)",
        ),
    }


def _sourced(rows: list[list[str]], spread: str, source: str, grade: str = "estimated") -> Any:
    return {"table": rows, "range": spread, "source": source, "grade": grade}


def _density(iron: Iron) -> list[list[str]]:
    cold = 7150.0 - 14000.0 * (iron.graphite_share - 0.023) - 5000.0 * (iron.silicon - 0.02)
    end, liquidus = iron.eutectic_end, iron.liquidus
    rows = [(293.15, cold), (end, cold - 250), (liquidus, cold - 200), (liquidus + 220, cold - 350)]
    return [[f"{t - ZERO_CELSIUS:.0f} °C", f"{value:.0f} kg/m3"] for t, value in rows]


def _specific_heat(iron: Iron) -> list[list[str]]:
    metal = 1.0 - iron.carbon - iron.silicon
    shares = (metal, iron.carbon, iron.silicon)
    end, liquidus = (t - ZERO_CELSIUS for t in (iron.eutectic_end, iron.liquidus))
    rows: list[tuple[float, float]] = []
    for at, *parts in zip(NODES, IRON, GRAPHITE, SILICON, strict=True):
        if at < end:
            mixed = sum(share * part for share, part in zip(shares, parts, strict=True))
            rows.append((at, mixed + (DISSOLVING if at == 740 else 0.0)))
    last = sum(s * p[-1] for s, p in zip(shares, (IRON, GRAPHITE, SILICON), strict=True))
    liquid = sum(share * part for share, part in zip(shares, LIQUID, strict=True))
    rows += [(end, last), (liquidus, liquid), (1600.0, liquid)]
    return [[f"{t:.0f} °C", f"{value:.0f} J/kgK"] for t, value in rows]


def _conductivity(iron: Iron, end: float) -> list[list[str]]:
    if iron.graphite == "flakes":
        cold = 48.0 + 1200.0 * (iron.carbon - 0.034)
    else:
        cold = 35.0 - 500.0 * (iron.silicon - 0.025)
    rows = [(float(t), cold * factor) for t, factor in SHAPE[iron.graphite]]
    liquidus = iron.liquidus - ZERO_CELSIUS
    rows += [(end, rows[-1][1]), (liquidus, LIQUID_CONDUCTIVITY), (1600.0, LIQUID_CONDUCTIVITY)]
    return [[f"{t:.0f} °C", f"{value:.1f} W/mK"] for t, value in rows]


def _freezing_volume(iron: Iron) -> list[list[str]]:
    share = iron.primary_share if iron.freezes_primary else 0.0
    start = 1.0 - PRIMARY_SHRINKAGE * share
    end = start + eutectic_volume_change(iron.graphite_share)
    rows = [(0.0, 1.0), (share, start), (1.0, end)]
    return [[f"{100 * a:.2f} %", f"{100 * b:.2f} %"] for a, b in rows if a > 0 or b == 1.0]


def _solid_fraction(iron: Iron) -> dict[str, Any]:
    start, end, liquidus = (
        f"{t - ZERO_CELSIUS:.1f} °C"
        for t in (iron.eutectic_start, iron.eutectic_end, iron.liquidus)
    )
    share = iron.primary_share
    entry: dict[str, Any] = {"grade": "estimated"}
    if not iron.freezes_primary:
        said = "stable eutectic 1153 + 5 Si, undercooling and range from memory"
        return entry | {"curve": "linear", "solidus": end, "liquidus": start, "source": said}
    partition = iron.austenite_carbon / iron.eutectic_carbon
    rise = (iron.liquidus - iron.eutectic_start) / ((1.0 - partition) * share)
    classical = austenite_liquidus_classical(iron.carbon, iron.silicon, iron.phosphorus)
    return entry | {
        "curve": "lever",
        "liquidus": liquidus,
        "pure_melting": f"{iron.eutectic_start + rise - ZERO_CELSIUS:.1f} °C",
        "partition": round(partition, 4),
        "eutectic": start,
        "eutectic_end": end,
        "source": "liquidus of Koriyama, Kanno et al. 2020 (the classical formula gives "
        f"{classical - ZERO_CELSIUS:.0f} °C); lever rule between eutectic and austenite carbon, "
        "eutectic range from memory",
    }
