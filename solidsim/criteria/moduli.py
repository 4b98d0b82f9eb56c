"""How thick does a part look to the heat, by the time it took to freeze?"""

import math


def thermal_modulus(
    freezing_time: float, heat_content: float, mold_effusivity: float, excess_temperature: float
) -> float:
    """Half thickness of the wide plate that would freeze in the same time in the same mold, [m].

    Parameters
    ----------
    freezing_time : float, [s]
    heat_content : float, [J/m3]
        Given off from the pour to the solidus.
    mold_effusivity : float, [W s^1/2/m2K]
        Root of conductivity times density times specific heat.
    excess_temperature : float, [K]
        Of the freezing metal above the mold.

    Notes
    -----
    M = (2 / sqrt(pi)) b (T_f - T_0) sqrt(t) / H: flat mold, metal at one temperature; Flemings
    (1974), Solidification Processing, p. 12.
    """
    flow = 2.0 / math.sqrt(math.pi) * mold_effusivity * excess_temperature
    return flow * math.sqrt(freezing_time) / heat_content
