"""Slow, obvious twins of what happens to a cell once: cell by cell, in physical units."""


def dried(h, material, curves, rows):
    """Row of a cell after a step: dry for good once it holds more than its moist plateau's end."""
    if curves.get(material) is not None and h > curves[material].zones[-1].enthalpy[0]:
        return rows[material]
    return material


def burnt(length, T, left, ignition, duration, heat):
    """Fuel left and heat given off [J/m3] by a cell after a step: ``heat`` for all its fuel."""
    if left == 0.0:
        return 0.0, 0.0
    if left > 1.0:
        return (1.0 if T >= ignition else left), 0.0
    burning_time = min(length, left * duration)
    return left - burning_time / duration, heat * burning_time / duration
