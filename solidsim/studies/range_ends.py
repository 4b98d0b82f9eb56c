"""Does feeding stand over the ranges of the values that cards give?"""

import tomllib
from dataclasses import dataclass

from solidsim.case import Case
from solidsim.materials import at_range_end, ranged_keys, read_card
from solidsim.materials.ranges import End
from solidsim.model import build_model
from solidsim.simulation import Progress
from solidsim.studies.changing import with_card
from solidsim.studies.margins import holds, judged

IDLE = ("pattern_allowance", "coherency", "afs_permeability", "gas_ml_per_g")  # feed nothing
ENDS: tuple[End, End] = ("low", "high")


@dataclass(frozen=True)
class RangeEnd:
    """Feeding with one value of a card at an end of its range; the range as the card writes it."""

    material: str
    key: str
    end: End
    range_text: str
    holds: bool


def at_range_ends(case: Case, progress: Progress | None = None) -> tuple[RangeEnd, ...]:
    """Rerun a case with every ranged value of its materials at both ends, one at a time.

    Parameters
    ----------
    case : Case
        As given by ``coarse_case``.
    progress : callable, optional
        Called before each run.
    """
    model = build_model(case)
    materials, texts = model.materials, model.provenance["card_texts"]
    open_air = any(part.role == "air" for part in case.description.part)
    idle = IDLE if open_air else (*IDLE, "emissivity")
    jobs = [
        (material, key, end)
        for material in materials
        for key in ranged_keys(material)
        if key.rpartition(".")[2] not in idle
        for end in ENDS
    ]
    ends = []
    for number, (material, key, end) in enumerate(jobs):
        if progress:
            progress(0.0, number / len(jobs), f"{key} of {material.name}")
        written = case.description.material.get(material.name)
        if written is None and (file := f"{material.name}.toml") in texts:
            written = tomllib.loads(texts[file])
        card = at_range_end(written or read_card(material.name), material, key, end)
        found = judged(with_card(case, material.name, card))
        text = next(own.range_text for own in material.properties if own.key == key)
        if found is not None:
            ends.append(RangeEnd(material.name, key, end, text, holds(found)))
    return tuple(ends)
