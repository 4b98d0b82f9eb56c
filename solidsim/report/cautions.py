"""The cautions of every pour sheet, from public guides on molten metal.

Water, segregation and dry tools: HSE (UK), Safety topics in the molten metal industries.
Silica: OSHA 29 CFR 1910.1053. Carbon monoxide: OSHA 29 CFR 1910.1000, table Z-1. Clothing: FIAC
1985, Protective clothing and footwear for molten metal.
"""

CAUTIONS = (
    "Water under molten metal explodes: everything it may touch dry and preheated, no damp floor.",
    "Weight or clamp the cope before the pour: metal lifts it.",
    "Nobody in the path of the pour; the way out clear.",
    "Wool or leather, no synthetics; boots, gaiters, gloves, face shield.",
    "Binders, oil sand and sea coal give off carbon monoxide and may flare: moving air, light "
    "the vents.",
    "Castings burn for hours. Shake-out dust holds silica: respirator, and wet it only when cold.",
    "This is an engineering estimate from a 2-D section: local codes and a competent founder "
    "decide.",
)
COPPER_CAUTION = "Copper alloys give off zinc, and some lead, fume: stay upwind."
