"""Irons from their composition, by hand."""

import numpy as np
import pytest

from solidsim.materials import build_material, library_material
from solidsim.materials.irons import Iron
from solidsim.quantities import ZERO_CELSIUS


def build(composition, **more):
    faults = []
    data = {"kind": "alloy", "iron": composition, **more}
    material = build_material(
        "x", data, standing="given", report=lambda *fault: faults.append(fault)
    )
    return material, faults


def test_the_gray_iron_of_the_library_by_hand():
    """CE 3.4 + 2.1/3; TL 1625 - 374 - 50 + 1.8 - 3.5 - 4.26; eutectic carbon 4.26 - .634 - .027."""
    iron = Iron(0.034, 0.020, 0.006, 0.001, 0.0006)
    assert iron.carbon_equivalent == pytest.approx(0.041)
    assert iron.liquidus - ZERO_CELSIUS == pytest.approx(1195.04)
    assert iron.eutectic_carbon == pytest.approx(0.03599)
    assert iron.primary_share == pytest.approx((3.599 - 3.4) / (3.599 - 1.666))
    assert iron.graphite_share == pytest.approx(0.023)
    material = library_material("gray-iron")
    assert material.liquidus == pytest.approx(iron.liquidus, abs=0.05)
    eutectic = material.curve.zones[1]
    assert eutectic.solid_fraction[-1] == pytest.approx(iron.primary_share, abs=1e-3)


def test_the_heat_of_freezing_fits_the_assessed_iron_carbon_system():
    """Fe-C freezing heats less 800 J/kgK of sensible heat, Hallstedt et al. 2010 via pycalphad."""
    for carbon, total, width in ((3.4, 290.8, 104), (3.7, 275.8, 76), (4.1, 251.2, 32)):
        latent = total - 0.8 * width
        assert Iron(carbon / 100, 0.0).latent_heat / 1e3 == pytest.approx(latent, abs=7)


def test_a_hypereutectic_iron_freezes_as_a_eutectic():
    iron = Iron(0.038, 0.025)
    assert iron.is_hypereutectic
    assert iron.liquidus == iron.eutectic_start
    assert iron.graphite_liquidus > iron.liquidus + 50
    material, _ = build({"carbon": "3.8 %", "silicon": "2.5 %"})
    assert len(material.curve.zones) == 3


@pytest.mark.parametrize("graphite", ["flakes", "nodules"])
def test_every_likely_composition_gives_a_whole_material(graphite):
    for carbon in np.linspace(2.6, 4.1, 7):
        for silicon in np.linspace(0.8, 3.6, 7):
            for inoculated in (True, False):
                material, faults = build(
                    {
                        "carbon": f"{carbon:.2f} %",
                        "silicon": f"{silicon:.2f} %",
                        "graphite": graphite,
                        "inoculated": inoculated,
                    }
                )
                assert not faults
                assert 1360 < material.solidus < material.liquidus < 1650
                assert 185e3 < material.latent_heat <= 230e3


def test_more_carbon_freezes_later_and_conducts_better():
    lean, rich = (build({"carbon": c, "silicon": "2 %"})[0] for c in ("3.0 %", "3.5 %"))
    assert lean.liquidus > rich.liquidus
    cold = [m.curve.conductivity_at(m.curve.enthalpy_at(300.0)) for m in (lean, rich)]
    assert cold[1] > cold[0]


def test_nodules_conduct_less_than_flakes():
    flakes, nodules = (
        build({"carbon": "3.6 %", "silicon": "2.4 %", "graphite": form})[0]
        for form in ("flakes", "nodules")
    )
    for temperature in (300.0, 800.0, 1300.0):
        assert nodules.curve.conductivity_at(
            nodules.curve.enthalpy_at(temperature)
        ) < flakes.curve.conductivity_at(flakes.curve.enthalpy_at(temperature))


def test_inoculation_starts_the_eutectic_hotter_and_narrows_it():
    treated, plain = Iron(0.034, 0.02), Iron(0.034, 0.02, inoculated=False)
    assert treated.eutectic_start > plain.eutectic_start > plain.carbide_eutectic
    assert plain.eutectic_start - plain.eutectic_end > treated.eutectic_start - treated.eutectic_end


def test_a_case_changes_one_element_and_one_value_of_a_preset():
    material, _ = build({"carbon": "3.2 %"}, base="gray-iron", latent_heat="210 kJ/kg")
    iron = Iron(0.032, 0.020, 0.006, 0.001, 0.0006)
    assert material.liquidus == pytest.approx(iron.liquidus, abs=0.05)
    assert material.latent_heat == 210e3
    standing = {own.key: own.standing for own in material.properties}
    assert standing["iron.carbon"] == standing["latent_heat"] == "given"
    assert standing["iron.silicon"] == standing["conductivity"] == "preset"


def test_what_the_composition_leaves_open_is_marked_assumed():
    material, _ = build({"carbon": "3.4 %", "silicon": "2 %"})
    standing = {own.key: own.standing for own in material.properties}
    assert standing["iron.carbon"] == "given"
    assert standing["iron.manganese"] == "assumed"


@pytest.mark.parametrize(
    ("composition", "key", "allowed"),
    [
        ({"carbon": "3.4 %"}, ("iron", "silicon"), "a fraction is needed"),
        ({"carbon": "34 %", "silicon": "2 %"}, ("iron", "carbon"), "at most 4.2 %"),
        ({"carbon": "3.4 %", "silicn": "2 %", "silicon": "2 %"}, ("iron", "silicn"), "silicon"),
        (
            {"carbon": "3.4 %", "silicon": "2 %", "graphite": "lumps"},
            ("iron", "graphite"),
            "flakes",
        ),
        (
            {"carbon": "3.4 %", "silicon": "2 %", "inoculated": "yes"},
            ("iron", "inoculated"),
            "true",
        ),
    ],
)
def test_a_faulty_composition_is_named(composition, key, allowed):
    _, faults = build(composition)
    assert [fault[0] for fault in faults] == [key]
    assert allowed in faults[0][2]


def test_an_unknown_base_brings_the_nearest():
    _, faults = build({}, base="gray-irn")
    assert faults[0][0] == ("base",)
    assert faults[0][3] == '"gray-iron"'
