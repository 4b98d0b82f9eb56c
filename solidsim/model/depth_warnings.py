"""Where a section is a poor picture of its parts, by how much, and what to do about it.

The errors named are those measured against three dimensions: DEVELOPERS.md, "Depth".
"""

from solidsim.quantities import Units, write_quantity
from solidsim.section.layout import METAL_ROLES, Part, Section

DEEP = 16.0  # moduli in plane: from here on the ends of a part hardly reach its middle
POUR_ROLES = frozenset({"feeder", "neck", "sprue"})  # most often round


def depth_warnings(section: Section, units: Units) -> list[str]:
    """Say which parts are drawn without ends though they have some, or are deeper than they need.

    In the round view every part is a full ring and there is nothing to say.
    """
    if section.grid.view == "round":
        return []
    metal = [part for part in section.parts if part.role in METAL_ROLES]
    return [*_endless(section, metal), *_deep(metal, units)]


def _endless(section: Section, metal: list[Part]) -> list[str]:
    endless = [part for part in metal if part.depth == "through"]
    if section.grid.view == "plan" and endless:
        names = ", ".join(part.name for part in endless)
        return [f"{names}: a plan view with no depth loses no heat up or down; give the thickness"]
    return [
        f"{part.name} is drawn as an endless wall; a round one freezes in a third to a half of "
        'the time: write depth = "round", or its depth'
        for part in endless
        if part.role in POUR_ROLES
    ]


def _deep(metal: list[Part], units: Units) -> list[str]:
    return [
        f"{part.name} is {write_quantity(part.depth, 'length', units)} deep, far more than it is "
        'thick: its ends hardly reach the middle, times may be 5 % short; depth = "through" '
        "leaves them out"
        for part in metal
        if isinstance(part.depth, float) and part.depth > DEEP * part.modulus_in_plane
    ]
