"""The curves of materials: what they conduct, what heat they hold, how they freeze."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from solidsim.materials import CurveSamples, Material, curve_samples, range_factors
from solidsim.pictures.style import FAINT, INK, new_figure, save_figure, settings, write_title
from solidsim.quantities import Units, display_unit, in_unit, write_quantity

Array = NDArray[np.float64]

WIDTH, HEIGHT, LEFT = 11.0, 4.4, 0.7  # in
COLORS, STROKES = ("#0b3c6f", "#7a4f9e"), ("-", (0, (5, 1.5)))
SPIKE = 2.5  # a peak so many times as high as the rest is cut off, and told in words
ZOOM = 0.25  # of the freezing range, beside it on both sides


def draw_materials(
    materials: Sequence[Material], path: str | Path, units: Units = "metric"
) -> Path:
    """Draw conductivity, heat held and, of alloys, solid share of one material or two.

    A shade shows the range that the card gives for the conductivity.

    Raises
    ------
    ResultsError
        If the picture cannot be written.
    """
    samples = [curve_samples(material) for material in materials]
    freezing = any(material.latent_heat for material in materials)
    with settings():
        figure = new_figure(WIDTH, HEIGHT)
        title = " and ".join(material.title for material in materials)
        names = ", ".join(f"{material.name} ({material.kind})" for material in materials)
        write_title(figure, title, f"cards: {names}", LEFT)
        figure.subplots_adjust(left=LEFT / WIDTH, right=0.98, bottom=0.13, top=0.76, wspace=0.22)
        panels = [figure.add_subplot(1, 2 + freezing, n + 1) for n in range(2 + freezing)]
        _draw_conductivity(panels[0], materials, samples, units)
        _draw_heat(panels[1], materials, samples, units)
        if freezing:
            _draw_solid(panels[2], materials, samples, units)
        if len(materials) > 1:
            lines, words = panels[1].get_legend_handles_labels()
            figure.legend(lines, words, loc="upper right", frameon=False, fontsize=9)
        return save_figure(figure, path)


def _draw_conductivity(
    axes: Axes, materials: Sequence[Material], samples: Sequence[CurveSamples], units: Units
) -> None:
    unit = display_unit("conductivity", units, max(s.conductivity.max() for s in samples))
    top, spikes = 0.0, []
    for number, (material, own) in enumerate(zip(materials, samples, strict=True)):
        values = in_unit(own.conductivity, "conductivity", unit)
        low, high = range_factors(material, "conductivity")
        heat = _on_scale(own.temperature, units)
        axes.fill_between(heat, low * values, high * values, color=COLORS[number], alpha=0.15, lw=0)
        _line(axes, number, heat, values, material)
        usual = float(np.median(values))
        if values.max() > SPIKE * usual:
            at = float(own.temperature[np.argmax(values)])
            size = write_quantity(float(own.conductivity.max()), "conductivity", units)
            spikes.append(f"vapor: to {size}\nat {write_quantity(at, 'temperature', units)}")
            top = max(top, SPIKE * high * usual)
        else:
            top = max(top, 1.08 * high * values.max())
    axes.set_ylim(0.0, top)
    for number, text in enumerate(spikes):
        place = (0.12, 0.95 - 0.15 * number)
        axes.text(*place, text, transform=axes.transAxes, va="top", fontsize=9)
    _finish(axes, f"conductivity ({unit})", units, materials)
    words = "shade: range of the card"
    if any(material.latent_heat for material in materials):
        words += "; gray: freezes"
    axes.text(0.98, 0.03, words, transform=axes.transAxes, ha="right", fontsize=9)


def _draw_heat(
    axes: Axes, materials: Sequence[Material], samples: Sequence[CurveSamples], units: Units
) -> None:
    held = [
        (own.enthalpy - own.enthalpy[0]) / material.density
        for material, own in zip(materials, samples, strict=True)
    ]
    unit = display_unit("specific-energy", units, max(values.max() for values in held))
    for number, (material, own) in enumerate(zip(materials, samples, strict=True)):
        values = in_unit(held[number], "specific-energy", unit)
        _line(axes, number, _on_scale(own.temperature, units), values, material)
        if material.dried is not None:
            _note_drying(axes, material, own, values, units)
    axes.set_ylim(bottom=0.0)
    _finish(axes, f"heat held ({unit})", units, materials)


def _note_drying(
    axes: Axes, material: Material, own: CurveSamples, values: Array, units: Units
) -> None:
    step = int(np.argmax(np.diff(own.enthalpy)))
    heat = float(np.diff(own.enthalpy)[step]) / material.density
    axes.annotate(
        f"drying takes {write_quantity(heat, 'specific-energy', units)}",
        (float(_on_scale(own.temperature, units)[step]), float(values[step : step + 2].mean())),
        (0.3, 0.08), textcoords="axes fraction", va="center", fontsize=9,
        arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 0.8},
    )  # fmt: skip


def _draw_solid(
    axes: Axes, materials: Sequence[Material], samples: Sequence[CurveSamples], units: Units
) -> None:
    """Draw the solid share about the freezing ranges only, with their ends in words."""
    ends = []
    for number, (material, own) in enumerate(zip(materials, samples, strict=True)):
        if not material.latent_heat:
            continue
        values = in_unit(own.solid_fraction, "fraction", "%")
        _line(axes, number, _on_scale(own.temperature, units), values, material)
        ends += [(material.solidus, "solidus"), (material.liquidus, "liquidus")]
    low, high = (pick(at for at, _ in ends) for pick in (min, max))
    room = ZOOM * max(high - low, 20.0)
    axes.set_xlim(*_on_scale(np.array([low - room, high + room]), units))
    axes.set_ylim(0.0, 105.0)
    for temperature, word in ends:
        at = float(_on_scale(np.array(temperature), units))
        axes.axvline(at, color=FAINT, linewidth=0.9, zorder=1)
        if len(ends) > 2:  # the words of two alloys would lie on each other
            continue
        axes.text(
            at, 0.06, f" {word} {write_quantity(temperature, 'temperature', units)}",
            transform=axes.get_xaxis_transform(), rotation=90, ha="right", va="bottom", fontsize=9,
        )  # fmt: skip
    _finish(axes, "solid share (%), as it freezes", units, ())


def _line(axes: Axes, number: int, heat: Array, values: Array, material: Material) -> None:
    axes.plot(
        heat, values, color=COLORS[number], linestyle=STROKES[number], linewidth=1.8,
        label=material.title,
    )  # fmt: skip


def _finish(axes: Axes, title: str, units: Units, shaded: Sequence[Material]) -> None:
    axes.set_title(title, loc="left")
    axes.set_xlabel(f"temperature ({display_unit('temperature', units)})")
    axes.grid(color="#dddddd", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.spines[["top", "right"]].set_visible(False)
    for material in shaded:
        if material.latent_heat:
            span = _on_scale(np.array([material.solidus, material.liquidus]), units)
            axes.axvspan(*span, color=FAINT, alpha=0.25, lw=0, zorder=0)


def _on_scale(temperature: Array, units: Units) -> Array:
    scaled: Array = in_unit(temperature, "temperature", display_unit("temperature", units))
    return scaled
