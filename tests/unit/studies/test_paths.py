"""Values by path, sizes of shapes, links, and case texts that read as they were written."""

import tomllib

import pytest

from solidsim.case import read_case, read_case_text
from solidsim.errors import QuantityError
from solidsim.studies.paths import put, read_path, value_at
from solidsim.studies.shapes import bounds_of
from solidsim.studies.variants import Link, toml_text, variant_text


@pytest.mark.parametrize(
    ("text", "steps"),
    [
        ('part["left chill"].height', ("part", "left chill", "height")),
        ("pour.temperature", ("pour", "temperature")),
        ("mold.box.to.y", ("mold", "box", "to", "y")),
        ('part["web"].polygon[2].x', ("part", "web", "polygon", 1, "x")),
        ('part."left chill".depth', ("part", "left chill", "depth")),
    ],
)
def test_paths_are_read(text, steps):
    assert read_path(text) == steps


@pytest.mark.parametrize("text", ["", "part[", "pour", "pour temperature"])
def test_no_path(text):
    with pytest.raises(QuantityError, match="a path to a value of the case"):
        read_path(text)


def written(text):
    return tomllib.loads(text)


@pytest.mark.parametrize(
    ("path", "value", "read"),
    [
        ("pour.temperature", "1300 °C", lambda d: d.pour.temperature - 273.15 - 1300),
        ("mold.temperature", "50 °C", lambda d: d.mold.temperature - 323.15),
        ("cooling.stop", "solid", lambda d: d.cooling.stop != "solid"),
        ('part["bar"].depth', "40 mm", lambda d: d.part[0].depth - 0.04),
        ("mold.box.to.y", "120 mm", lambda d: d.mold.box.bounds[3] - 0.12),
    ],
)
def test_a_value_arrives_in_the_case(case_text, path, value, read):
    table = written(case_text)
    put(table, read_path(path), value)
    assert value_at(table, read_path(path)) == value
    assert read(read_case_text(toml_text(table)).description) == pytest.approx(0.0, abs=1e-12)


def test_an_unknown_part_names_the_nearest(case_text):
    with pytest.raises(QuantityError, match=r'"feder".*"feeder"'):
        put(written(case_text), read_path('part["feder"].width'), "20 mm")


@pytest.mark.parametrize(
    ("view", "shape", "size", "value", "bounds"),
    [
        ("upright", {"rectangle": [10, 20, 30, 50]}, "width", 40, (0, 20, 40, 50)),
        ("upright", {"rectangle": [10, 20, 30, 50]}, "height", 60, (10, 20, 30, 80)),
        ("plan", {"rectangle": [10, 20, 30, 50]}, "height", 60, (10, 5, 30, 65)),
        ("upright", {"rectangle": [10, 20, 30, 50]}, "top", 0, (10, -30, 30, 0)),
        ("upright", {"rectangle": [10, 20, 30, 50]}, "left", 0, (0, 20, 20, 50)),
        ("round", {"rectangle": [10, 20, 30, 50]}, "width", 40, (10, 20, 50, 50)),
        ("round", {"rectangle": [0, 20, 30, 50]}, "diameter", 40, (0, 20, 20, 50)),
        ("upright", {"circle": [50, 50, 20]}, "diameter", 20, (40, 40, 60, 60)),
    ],
)
def test_sizes_and_sides(view, shape, size, value, bounds):
    (kind, numbers), *_ = shape.items()
    texts = [f"{number} mm" for number in numbers]
    drawn = {"from": texts[:2], "to": texts[2:]}
    if kind == "circle":
        drawn = {"center": texts[:2], "radius": texts[2]}
    table = {"section": {"view": view}, "part": [{"name": "it", kind: drawn}]}
    path = ("part", "it", size)
    put(table, path, f"{value} mm")
    assert bounds_of(table["part"][0]) == pytest.approx([at / 1000 for at in bounds], abs=1e-12)
    assert value_at(table, path) == f"{value} mm"


def test_a_polygon_keeps_its_shape_about_its_foot():
    corners = [["0 mm", "10 mm"], ["20 mm", "10 mm"], ["10 mm", "30 mm"]]
    table = {"part": [{"name": "it", "polygon": corners}]}
    put(table, ("part", "it", "height"), "40 mm")
    assert table["part"][0]["polygon"] == [
        ["0 mm", "10 mm"],
        ["20 mm", "10 mm"],
        ["10 mm", "50 mm"],
    ]


def test_a_circle_has_no_width():
    table = {"part": [{"name": "it", "circle": {"center": ["0 mm", "0 mm"], "radius": "1 mm"}}]}
    with pytest.raises(QuantityError, match="its diameter"):
        put(table, ("part", "it", "width"), "20 mm")


def test_links_follow(tmp_path, case_text):
    link = Link(read_path('part["cover"].bottom'), read_path('part["feeder"].top'), plus=0.002)
    change = (read_path('part["feeder"].height'), "50 mm")
    text = variant_text(read_case_text(case_text), [change], [link])
    assert bounds_of(written(text)["part"][2])[1] == pytest.approx(0.072)


def test_a_variant_stands_alone(tmp_path, case_text):
    """The case with its base, laid out as one text, means the same."""
    (tmp_path / "bar.toml").write_text(case_text, encoding="utf-8")
    above = tmp_path / "variant.toml"
    above.write_text('title = "A \\"bar\\""\nbase = "bar.toml"\nwithout = ["cover"]\n[[part]]\n'
                     'name = "bar"\ndepth = "40 mm"\n', encoding="utf-8")  # fmt: skip
    case = read_case(above)
    alone = read_case_text(variant_text(case, []))
    same = {"base": None, "without": (), "units": "metric"}
    assert alone.description == case.description.model_copy(update=same)


def test_cards_move_to_the_ends_of_their_ranges(case_text):
    path = read_path('material["dry-silica-sand"].conductivity')
    case = read_case_text(case_text)
    texts = [variant_text(case, [(path, end)]) for end in ("low", "as the card says", "high")]
    assert len(set(texts)) == 3
    cards = [read_case_text(text).description.material for text in texts]
    assert [bool(card) for card in cards] == [True, False, True]


def test_a_value_without_a_range_is_refused(case_text):
    path = read_path('material["dry-silica-sand"].title')
    with pytest.raises(QuantityError, match="has no range"):
        variant_text(read_case_text(case_text), [(path, "low")])
