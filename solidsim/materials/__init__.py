"""What the metal, the sand and the chills are made of, and how well they touch.

Cards are data files (``cards/NAME.toml``); each value carries its unit, range, source and grade.
`build_material` turns a card, or the same data written in a case, into one enthalpy curve;
`interface_between` says how well two materials in contact pass heat.
"""

from solidsim.materials.building import build_material
from solidsim.materials.card_files import (
    card_name,
    card_text,
    library_names,
    plain_name,
    read_card,
)
from solidsim.materials.facts import Fact, material_facts
from solidsim.materials.interfaces import interface_between
from solidsim.materials.library import (
    card_material,
    library_material,
    own_card_path,
    read_own_card,
)
from solidsim.materials.material import EnthalpyCurve, InterfaceConductance, Material, Property
from solidsim.materials.ranges import at_range_end, range_factors, ranged_keys
from solidsim.materials.samples import CurveSamples, curve_samples
from solidsim.materials.template import card_template

__all__ = [
    "CurveSamples",
    "EnthalpyCurve",
    "Fact",
    "InterfaceConductance",
    "Material",
    "Property",
    "at_range_end",
    "build_material",
    "card_material",
    "card_name",
    "card_template",
    "card_text",
    "curve_samples",
    "interface_between",
    "library_material",
    "library_names",
    "material_facts",
    "own_card_path",
    "plain_name",
    "range_factors",
    "ranged_keys",
    "read_card",
    "read_own_card",
]
