"""A whole case: values in SI, its units, its bases, and what was given and what assumed."""

import json
import math
import pickle
import time
from pathlib import Path

import pytest

from solidsim.case import CaseDescription, read_case, read_case_text, resolved
from solidsim.case.description import AmbientSide, FixedSide
from solidsim.case.merging import dotted, written_keys

HERE = Path(__file__).parent
CHEEK = HERE / "whole" / "cheek.toml"
WHOLE = CHEEK.read_text(encoding="utf-8")
ROUND = WHOLE.replace('cell = "2 mm"', 'view = "round"').replace('"-60 mm", "-60', '"0 mm", "-60')


def read(added=""):
    return read_case_text(WHOLE + added)


def test_values_are_in_si():
    case = read(
        """
        [[part]]
        name = "feeder"
        role = "feeder"
        depth = "round"
        fillet = "1/4 in"
        material = "bronze"
        temperature = "2000 °F"
        rectangle = { from = ["50 mm", "90 mm"], to = ["1 in", "4 1/2 in"] }
        [judging]
        niyama_limit = "0.8 (K s)^1/2/mm"
        [cooling]
        shake_out = "1 h 30 min"
        [[probe]]
        name = "middle"
        at = ["60 mm", "30 mm"]
        """
    )
    description = case.description
    assert description.pour.temperature == 1633.15
    assert description.section.cell == 0.002
    assert description.part[0].shape == ((0, 0), (0.12, 0), (0.12, 0.018), (0, 0.018))
    assert description.part[1].shape.radius == 0.025
    feeder = description.part[2]
    assert feeder.shape.bounds == (0.0254, 0.09, 0.05, 0.1143)
    assert (feeder.depth, feeder.fillet, feeder.material) == ("round", 0.00635, "bronze")
    assert feeder.temperature == pytest.approx(1366.4833333333333)
    assert description.judging.niyama_limit == 800.0
    assert description.cooling.shake_out.time == 5400.0
    assert description.cooling.stops_at == "shake-out"
    assert description.probe[0].at == (0.06, 0.03)
    assert (case.name, case.path) == ("case", None)


def test_every_default_is_filled_in():
    description = read_case_text(
        'title = "x"\npour = { alloy = "a", temperature = "1 K" }\npart = [{ name = "p", '
        'role = "neck", circle = { center = ["0 m", "0 m"], radius = "1 m" } }]'
    ).description
    assert (description.section.view, description.section.depth) == ("upright", "through")
    assert (description.mold.sand, description.mold.temperature) == ("green-sand", 293.15)
    sides = description.boundary
    assert sides.left == sides.right == sides.bottom == sides.top == AmbientSide()
    assert sides.top.model_dump() == {"ambient": 293.15, "coefficient": 10.0, "emissivity": 0.9}
    assert sides.open.emissivity is None
    assert description.cooling.stops_at == "solid"
    assert description.output.frames == 120


@pytest.mark.parametrize(
    ("written", "read_as"),
    [
        ('"insulated"', "insulated"),
        ('"symmetry"', "symmetry"),
        ('{ temperature = "20 °C" }', FixedSide(temperature="20 °C")),
        ('{ coefficient = "50 W/m2K" }', AmbientSide(coefficient="50 W/m2K")),
        ("{}", AmbientSide()),
    ],
)
def test_sides_of_every_sort(written, read_as):
    assert read(f"[boundary]\ntop = {written}").description.boundary.top == read_as


@pytest.mark.parametrize(
    ("written", "read_as"),
    [
        ('"perfect"', "perfect"),
        ('"1000 W/m2K"', 1000.0),
        ('[["0 °C", "100 W/m2K"], ["100 °C", "300 W/m2K"]]', ((273.15, 100.0), (373.15, 300.0))),
    ],
)
def test_interfaces_of_every_sort(written, read_as):
    case = read(f'[[interface]]\nbetween = ["alloy", "mold"]\nconductance = {written}')
    assert case.description.interface[0].conductance == read_as


@pytest.mark.parametrize(("written", "kelvin"), [("450 °C", 723.15), ("900 °F", 755.3722222222223)])
def test_shake_out_may_be_a_temperature(written, kelvin):
    case = read(f'[cooling]\nshake_out = "{written}"\nstop = "solid"')
    assert case.description.cooling.shake_out.temperature == pytest.approx(kelvin)
    assert case.description.cooling.stops_at == "solid"


def test_in_the_round_view_the_left_side_is_the_axis():
    case = read_case_text(ROUND)
    assert case.description.boundary.left == "symmetry"
    assert case.standing("boundary.left") == "assumed"
    given = read_case_text(ROUND + '[boundary]\nleft = "insulated"')
    assert given.description.boundary.left == "insulated"
    assert given.standing("boundary.left") == "given"


def test_a_ball_may_be_drawn_about_the_axis_of_the_round_view():
    ball = read_case_text(ROUND.replace('["60 mm", "30 mm"]', '["0 mm", "30 mm"]'))
    assert ball.description.part[1].shape.center == (0.0, 0.03)


@pytest.mark.parametrize(
    ("old", "new", "units"),
    [
        ("", "", "metric"),
        ('title = "', 'units = "inch"\ntitle = "', "inch"),
        (" mm", " in", "inch"),
        ("°C", "°F", "metric"),
        ('"Hook block cheek"', '"3 in 4 ft 5 lb 6 oz"', "metric"),
    ],
)
def test_answers_come_in_the_units_of_the_case(old, new, units):
    assert read_case_text(WHOLE.replace(old, new)).units == units


def test_a_folder_stands_for_its_case(tmp_path):
    (tmp_path / "case.toml").write_bytes(b"\xef\xbb\xbf" + WHOLE.replace("\n", "\r\n").encode())
    case = read_case(tmp_path)
    assert case.description == read().description
    assert case.path == tmp_path / "case.toml"
    assert case.texts == {"case.toml": WHOLE.replace("\n", "\r\n")}


# ---- bases ----------------------------------------------------------------------------------


@pytest.fixture
def lay(tmp_path):
    """Write cases into a folder and read the last one."""

    def write_and_read(**texts):
        for name, text in {"cheek": WHOLE, **texts}.items():
            path = tmp_path / name.replace("__", "/")
            path.parent.mkdir(exist_ok=True)
            path.with_suffix(".toml").write_text(text, encoding="utf-8")
        return read_case(path.with_suffix(".toml"))

    return write_and_read


def test_a_variant_changes_its_base_key_by_key(lay):
    case = lay(
        hot='base = "cheek.toml"\n[pour]\ntemperature = "1400 °C"\n[cooling]\nshake_out = "2 h"'
    )
    assert case.description.pour.temperature == 1673.15
    assert case.description.pour.alloy == "gray-iron"
    assert case.description.title == "Hook block cheek"
    assert case.description.cooling.shake_out.time == 7200.0
    assert list(case.texts) == ["hot.toml", "cheek.toml"]
    assert case.texts["cheek.toml"] == WHOLE


def test_a_part_of_the_base_is_changed_in_its_place_and_a_new_one_is_added(lay):
    added = """
    base = "cheek.toml"
    [[part]]
    name = "cheek"
    depth = "40 mm"
    rectangle = { from = ["0 mm", "0 mm"], to = ["120 mm", "20 mm"] }
    [[part]]
    name = "feeder"
    role = "feeder"
    rectangle = { from = ["50 mm", "60 mm"], to = ["90 mm", "120 mm"] }
    """
    parts = lay(fed=added).description.part
    assert [part.name for part in parts] == ["cheek", "boss", "feeder"]
    assert (parts[0].role, parts[0].depth) == ("casting", 0.04)
    assert parts[0].polygon is None
    assert parts[0].rectangle.bounds == (0, 0, 0.12, 0.02)


def test_parts_of_the_base_can_be_left_out_and_drawn_anew_on_top(lay):
    bare = lay(bare='base = "cheek.toml"\nwithout = ["boss"]')
    assert [part.name for part in bare.description.part] == ["cheek"]
    again = 'base = "cheek.toml"\nwithout = ["cheek"]\n[[part]]\nname = "cheek"\nrole = "feeder"\n'
    again += 'circle = { center = ["0 mm", "0 mm"], radius = "9 mm" }'
    parts = lay(again=again).description.part
    assert [(part.name, part.role) for part in parts] == [("boss", "casting"), ("cheek", "feeder")]
    assert parts[1].polygon is None


def test_probes_go_by_name_and_interfaces_by_their_two_sides(lay):
    first = 'base = "cheek.toml"\n[[probe]]\nname = "a"\nat = ["1 mm", "1 mm"]\n'
    first += '[[interface]]\nbetween = ["alloy", "mold"]\nconductance = "perfect"\n'
    second = 'base = "first.toml"\n[[probe]]\nname = "a"\nat = ["2 mm", "1 mm"]\n'
    second += '[[probe]]\nname = "b"\nat = ["3 mm", "1 mm"]\n'
    second += '[[interface]]\nbetween = ["mold", "alloy"]\nconductance = "500 W/m2K"\n'
    case = lay(first=first, second=second).description
    assert [(probe.name, probe.at[0]) for probe in case.probe] == [("a", 0.002), ("b", 0.003)]
    assert [joint.conductance for joint in case.interface] == [500.0]


def test_a_value_and_a_material_property_are_replaced_whole(lay):
    first = 'base = "cheek.toml"\n[boundary]\ntop = { ambient = "30 °C" }\n[material.sand]\n'
    first += 'density = { value = "1500 kg/m3", source = "x" }\nkind = "mold"\n'
    second = 'base = "first.toml"\n[boundary]\ntop = { temperature = "20 °C" }\n'
    second += '[material.sand]\ndensity = "1600 kg/m3"\n'
    case = lay(first=first, second=second).description
    assert case.boundary.top == FixedSide(temperature="20 °C")
    assert case.material == {"sand": {"density": "1600 kg/m3", "kind": "mold"}}


def test_bases_are_found_beside_the_file_that_names_them(lay):
    case = lay(variants__hot='base = "../cheek.toml"', variants__hotter='base = "hot.toml"')
    assert list(case.texts) == ["hotter.toml", "hot.toml", "../cheek.toml"]


# ---- standing -------------------------------------------------------------------------------


def test_every_value_has_a_standing(lay):
    case = lay(variant='base = "cheek.toml"\n[boundary]\ntop = { ambient = "86 °F" }')
    rows = {key: (text, standing) for key, text, standing in resolved(case)}
    assert rows["title"] == ("Hook block cheek", "given")
    assert rows["section.cell"] == ("2 mm", "given")
    assert rows["section.depth"] == ("through", "assumed")
    assert rows["mold.temperature"] == ("20 °C", "assumed")
    assert rows["part.boss.circle.radius"] == ("25 mm", "given")
    assert rows["part.boss.fillet"] == ("0 mm", "assumed")
    assert rows["boundary.top.ambient"] == ("86 °F", "given")
    assert rows["boundary.top.coefficient"] == ("10 W/m2K", "assumed")
    assert rows["boundary.left.emissivity"] == ("0.9", "assumed")
    assert rows["judging.niyama_limit"] == ("by the alloy's card", "assumed")
    assert json.loads(json.dumps(resolved(case))) == [list(row) for row in resolved(case)]
    for key, (_, standing) in rows.items():
        assert case.standing(key) == standing


def test_every_value_of_the_description_is_resolved():
    """A row for each value, and rows in words only where the description leaves a choice open."""
    case = read('[[probe]]\nname = "a b"\nat = ["1 mm", "1 mm"]\n[material.m]\nkind = "mold"')
    keys = [key for key, _, _ in resolved(case)]
    dump = case.description.model_dump(by_alias=True, mode="json")
    values = {path: _at(dump, path) for path in written_keys(dump)}
    fixed = {dotted(dump, path) for path, value in values.items() if value not in (None, [])}
    open_ = {dotted(dump, path) for path, value in values.items() if value is None}
    assert len(keys) == len(set(keys))
    assert fixed <= set(keys) <= fixed | open_


def _at(written, path):
    for step in path:
        written = written[step]
    return written


def test_defaults_are_told_in_the_units_of_the_case():
    rows = {key: text for key, text, _ in resolved(read_case_text('units = "inch"\n' + WHOLE))}
    assert rows["mold.temperature"] == "68 °F"
    assert rows["boundary.top.coefficient"] == "1.76 BTU/(h ft2 °F)"
    assert rows["section.cell"] == "2 mm"


def test_a_case_can_be_sent_to_another_process():
    case = read()
    again = pickle.loads(pickle.dumps(case))
    assert again.description == case.description
    assert resolved(again) == resolved(case)


@pytest.mark.slow
def test_a_case_of_thirty_parts_is_read_in_less_than_50_ms():
    part = '[[part]]\nname = "p{}"\nrole = "casting"\nfillet = "3 mm"\npolygon = [{}]\n'
    durations = []
    for attempt in range(5):  # each with numbers that were never read before
        corners = [(60 + 20 * math.cos(a), 60 + (20 + attempt) * math.sin(a)) for a in range(6)]
        outline = ", ".join(f'["{x:.3f} mm", "{y:.3f} mm"]' for x, y in corners)
        text = WHOLE + "".join(part.format(number, outline) for number in range(30))
        start = time.perf_counter()
        read_case_text(text)
        durations.append(time.perf_counter() - start)
    assert min(durations) < 0.05


def test_a_description_can_be_made_without_a_file():
    assert CaseDescription.model_validate(read().written) == read().description
