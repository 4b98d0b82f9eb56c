"""The gating system in numbers: a tree of channels from the basin to the ingates."""

import math
from dataclasses import dataclass

from solidsim.case.gating import FIRST, Channel, Gating, Ingate

FILTER_LOSS = 10.0  # velocity heads of the channel, for a coarse ceramic filter; from memory


@dataclass(frozen=True)
class Basin:
    """Pouring basin: area in plan [m2], depth [m], and the ladle's rate [m3/s].

    An endless rate keeps the basin full.
    """

    area: float
    depth: float
    rate: float = math.inf


@dataclass(frozen=True)
class Sprue:
    """Round sprue, evenly tapered: heights of its ends [m], their areas [m2], losses [1].

    The loss at the entry counts velocity heads of the top, that of the bend those of the foot.
    """

    top: float
    foot: float
    top_area: float
    foot_area: float
    entry_loss: float = 0.0
    bend_loss: float = 0.0


@dataclass(frozen=True)
class Stretch:
    """One channel or ingate behind the sprue.

    Parameters
    ----------
    name : str
    kind : {"runner", "choke", "filter", "trap", "ingate"}
    parent : int
        Number of the stretch it comes from, -1 for the sprue; always smaller than its own.
    area : float, [m2]
    length, perimeter : float, [m]
    loss : float, [1]
        Velocity heads lost, besides friction and changes of area.
    """

    name: str
    kind: str
    parent: int
    area: float
    length: float
    perimeter: float
    loss: float


@dataclass(frozen=True)
class Mouth:
    """Where an ingate opens: its stretch, its part, the place in the section and its height [m].

    The height is in the terms of the sprue's: zero in plan.
    """

    stretch: int
    part: str
    x: float
    y: float
    height: float


@dataclass(frozen=True)
class GatingSystem:
    """Basin, sprue and the tree of stretches; mouths in the order of the case.

    ``roughness`` [m] is that of the channel walls; ``weight`` [kg] is that of all metal above
    the mouths, NaN for as much as the section holds.
    """

    basin: Basin
    sprue: Sprue
    stretches: tuple[Stretch, ...]
    mouths: tuple[Mouth, ...]
    roughness: float
    weight: float = math.nan


def gating_system(written: Gating, *, in_plan: bool) -> GatingSystem:
    """The gating system of a case that was checked: parents stand before their children."""
    stretches: list[Stretch] = []
    number = {FIRST: -1}
    waiting: list[Channel | Ingate] = [*written.channel, *written.ingate]
    while waiting:
        ready = next(entry for entry in waiting if entry.source in number)
        waiting.remove(ready)
        if isinstance(ready, Channel):
            number[ready.name] = len(stretches)
        stretches.append(_stretch(ready, number[ready.source]))
    place = {entry.name: n for n, entry in enumerate(stretches)}
    basin, sprue = written.basin, written.sprue
    return GatingSystem(
        basin=Basin(basin.area, basin.depth, math.inf if basin.rate is None else basin.rate),
        sprue=Sprue(
            sprue.top, sprue.foot, sprue.top_area, sprue.foot_area,
            sprue.entry_loss, sprue.bend_loss,
        ),
        stretches=tuple(stretches),
        mouths=tuple(
            Mouth(place[own.name], own.part, *own.at, 0.0 if in_plan else own.at[1])
            for own in written.ingate
        ),
        roughness=written.roughness,
        weight=math.nan if written.weight is None else written.weight,
    )  # fmt: skip


def _stretch(entry: Channel | Ingate, parent: int) -> Stretch:
    kind = entry.kind if isinstance(entry, Channel) else "ingate"
    usual = FILTER_LOSS if kind == "filter" else 0.0
    return Stretch(
        name=entry.name,
        kind=kind,
        parent=parent,
        area=entry.area,
        length=entry.length,
        perimeter=entry.perimeter or 4.0 * math.sqrt(entry.area),
        loss=usual if entry.loss is None else entry.loss,
    )
