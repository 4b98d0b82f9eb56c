"""The curves of a material: what it conducts, what heat it holds, how it freezes."""

from pathlib import Path

from matplotlib.axes import Axes

from solidsim.materials import Material, curve_samples
from solidsim.pictures.style import INK, new_figure, save_figure, settings, write_title
from solidsim.quantities import Units, display_unit, in_unit

WIDTH, HEIGHT, LEFT = 10.0, 3.8, 0.7  # in


def draw_material(material: Material, path: str | Path, units: Units = "metric") -> Path:
    """Draw conductivity, heat held and, of an alloy, solid fraction against temperature."""
    samples = curve_samples(material)
    curves = [
        ("conductivity", samples.conductivity, "conductivity"),
        ("heat held", samples.enthalpy, "volumetric-energy"),
    ]
    if material.latent_heat:
        curves.append(("solid share", samples.solid_fraction, "fraction"))
    scale = display_unit("temperature", units)
    temperature = in_unit(samples.temperature, "temperature", scale)
    with settings():
        figure = new_figure(WIDTH, HEIGHT)
        write_title(figure, material.title, f"{material.kind}; card {material.name}", LEFT)
        figure.subplots_adjust(left=LEFT / WIDTH, right=0.98, bottom=0.14, top=0.76, wspace=0.25)
        for place, (name, values, kind) in enumerate(curves, start=1):
            axes: Axes = figure.add_subplot(1, len(curves), place)
            unit = display_unit(kind, units, float(abs(values).max()))
            axes.plot(temperature, in_unit(values, kind, unit), color=INK, linewidth=1.5)
            axes.set_title(f"{name} ({unit})", loc="left")
            axes.set_xlabel(f"temperature ({scale})")
            axes.grid(linewidth=0.4)
            axes.set_ylim(bottom=0.0)
            for limit in (material.solidus, material.liquidus):
                if material.latent_heat:
                    at = in_unit(limit, "temperature", scale)
                    axes.axvline(at, color=INK, linewidth=0.8, linestyle=":")
        return save_figure(figure, path)
