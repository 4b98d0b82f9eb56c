import math

import pytest

from solidsim.case.description import CaseDescription
from solidsim.section.building import build_section
from solidsim.sizing.drawn_modulus import part_moduli
from solidsim.sizing.modulus import block_modulus, cylinder_modulus, sphere_modulus
from solidsim.sizing.weight import section_weights


def draw(*parts, **section):
    return build_section(
        CaseDescription.model_validate(
            {
                "title": "drawn",
                "section": {"cell": "2 mm"} | section,
                "pour": {"alloy": "gray-iron", "temperature": "1370 °C"},
                "part": parts,
            }
        )
    )


def block(name, role, low, high, **more):
    corners = {"from": [f"{x} mm" for x in low], "to": [f"{x} mm" for x in high]}
    return {"name": name, "role": role, "rectangle": corners} | more


def test_a_block_with_a_depth_cools_on_six_faces():
    (plate,) = part_moduli(draw(block("plate", "casting", (0, 0), (125, 75), depth="20 mm")))
    assert plate.modulus == pytest.approx(block_modulus(0.125, 0.075, 0.020), rel=1e-6)


def test_a_through_part_has_no_ends():
    (bar,) = part_moduli(draw(block("bar", "casting", (0, 0), (60, 20))))
    assert bar.modulus == pytest.approx(0.06 * 0.02 / 0.16, rel=1e-6)


def test_round_parts_are_bodies_of_revolution():
    (feeder,) = part_moduli(draw(block("feeder", "feeder", (0, 0), (60, 90), depth="round")))
    assert feeder.modulus == pytest.approx(cylinder_modulus(0.06, 0.09), rel=1e-6)
    circle = {"center": ["0 mm", "0 mm"], "radius": "50 mm"}
    (ball,) = part_moduli(
        draw({"name": "b", "role": "casting", "circle": circle, "depth": "round"})
    )
    assert ball.modulus == pytest.approx(sphere_modulus(0.1), rel=1e-4)


def test_the_round_view_turns_about_its_axis():
    (drum,) = part_moduli(draw(block("drum", "casting", (0, 0), (30, 90)), view="round"))
    assert drum.volume == pytest.approx(math.pi * 0.03**2 * 0.09, rel=1e-6)
    assert drum.modulus == pytest.approx(cylinder_modulus(0.06, 0.09), rel=1e-6)


def test_no_part_cools_where_it_joins_other_metal():
    section = draw(
        block("web", "casting", (0, 0), (200, 20), depth="40 mm"),
        block("feeder", "feeder", (70, 20), (130, 110), depth="round"),
        block("core", "core", (20, 5), (30, 15)),
    )
    web, feeder = part_moduli(section)
    outline = 0.2 + 0.2 - 0.06 + 2 * 0.02 + 4 * 0.01
    faces = 2 * (0.2 * 0.02 - 0.01**2)
    assert web.cooling_area == pytest.approx(0.04 * outline + faces, rel=1e-5)
    assert feeder.modulus == pytest.approx(cylinder_modulus(0.06, 0.09, cooling_ends=1), rel=1e-5)


def test_metal_at_the_edge_of_the_box_does_not_cool():
    section = draw(block("half", "casting", (0, 0), (30, 20)))
    box = {"from": ["0 mm", "-50 mm"], "to": ["100 mm", "80 mm"]}
    cut = build_section(
        CaseDescription.model_validate(
            {
                "title": "half",
                "section": {"cell": "2 mm"},
                "pour": {"alloy": "gray-iron", "temperature": "1370 °C"},
                "mold": {"box": box},
                "part": [block("half", "casting", (0, 0), (30, 20))],
            }
        )
    )
    assert part_moduli(section)[0].cooling_area == pytest.approx(0.10, rel=1e-5)
    assert part_moduli(cut)[0].cooling_area == pytest.approx(0.08, rel=1e-5)


def test_weights_of_a_section_by_role():
    section = draw(
        block("web", "casting", (0, 0), (200, 20), depth="40 mm"),
        block("feeder", "feeder", (70, 20), (130, 110), depth="round"),
        block("gate", "ingate", (-30, 5), (0, 15), depth="10 mm"),
    )
    weights = section_weights(section, 7000.0)
    assert weights.casting == pytest.approx(7000.0 * 0.2 * 0.02 * 0.04, rel=1e-6)
    assert weights.feeding == pytest.approx(7000.0 * math.pi * 0.03**2 * 0.09, rel=1e-6)
    assert weights.gating == pytest.approx(7000.0 * 0.03 * 0.01 * 0.01, rel=1e-6)
    assert weights.poured == pytest.approx(sum(weights[:3]))
    assert weights.casting_yield == pytest.approx(weights.casting / weights.poured)
