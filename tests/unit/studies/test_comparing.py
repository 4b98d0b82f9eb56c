"""Layouts side by side: lines, winners by the stated rule, differences, picture, film, page."""

import math
from dataclasses import replace

import av
import pytest
from PIL import Image

from solidsim.case import read_case_text
from solidsim.pictures.comparison import draw_comparison
from solidsim.pictures.comparison_film import make_comparison_film
from solidsim.pictures.panels import best_columns, common_frame
from solidsim.results import open_run
from solidsim.studies.comparing import ABSENT, compare
from solidsim.studies.comparison_page import write_page
from solidsim.studies.paths import read_path
from solidsim.studies.running import run_many
from solidsim.studies.variants import variant_text

NAMES = ("A", "B", "C")


@pytest.fixture(scope="module")
def runs(case_text, tmp_path_factory):
    case = read_case_text(case_text)
    width = read_path('part["feeder"].width')
    texts = [
        variant_text(case, [(width, "16 mm")], note="narrow"),
        variant_text(case, [(width, "40 mm")], note="wide"),
        case_text.replace('name = "feeder"\nrole = "feeder"', 'name = "lump"\nrole = "chill"'),
    ]
    outcomes = run_many(texts, tmp_path_factory.mktemp("runs"))
    return [open_run(outcome.path) for outcome in outcomes]


@pytest.fixture
def comparison(runs):
    return compare(NAMES, runs)


def line(comparison, name):
    return next(line for line in comparison.lines if line.name == name)


def test_the_larger_margin_wins_its_line(comparison, runs):
    own = line(comparison, "last-metal-in-feeder")
    margins = [
        next(one["margin"] for one in run.findings if one["name"] == "last-metal-in-feeder")
        for run in runs
    ]
    assert margins[1] > margins[0]
    assert margins[2] is None
    assert own.winners == (1,)
    assert own.values[:2] == tuple(margins[:2])
    assert math.isnan(own.values[2])


def test_the_least_melt_wins_its_line(comparison):
    own = line(comparison, "melt-weight")
    assert own.winners == (2,)
    assert own.values[2] == min(own.values)


def test_parts_have_times_and_no_winner(comparison):
    own = line(comparison, "part-freezing, feeder")
    assert own.winners == ()
    assert own.texts[2] == ABSENT


def with_verdicts(run, verdicts, margin=None):
    findings = tuple(
        {"name": "spot", "verdict": verdict, "value": 1.0, "limit": 10.0, "margin": margin,
         "kind": "time", "part": None, "place": None}
        for verdict in verdicts
    )  # fmt: skip
    return replace(run, findings=findings)


@pytest.mark.parametrize(
    ("one", "two", "winner"),
    [
        ((["fails", "holds"], 5.0), (["close", "close"], 1.0), 1),
        ((["close"], 5.0), (["holds"], 1.0), 1),
        ((["holds"], 5.0), (["holds"], 1.0), 0),
        ((["holds"], 5.0), (["holds"], 5.0), None),
    ],
)
def test_the_rule(runs, one, two, winner):
    """Fewest failing, fewest close, largest smallest margin, least melt; else no best."""
    pair = [with_verdicts(runs[0], *one), with_verdicts(runs[0], *two)]
    assert compare(NAMES[:2], pair).winner == winner


def test_the_least_melt_decides_last(runs):
    pair = [with_verdicts(run, ["holds"], 5.0) for run in runs[1::-1]]
    assert compare(NAMES[:2], pair).winner == 1


def test_what_differs_is_one_line_a_value_or_part(comparison):
    rows = dict(comparison.differences)
    assert rows["part.lump"] == (ABSENT, ABSENT, "chill")
    assert rows["part.feeder"] == ("feeder", "feeder", ABSENT)
    assert "pour.temperature" not in rows
    assert "title" not in rows


def test_a_size_differs_by_its_shape(runs):
    rows = dict(compare(NAMES[:2], runs[:2]).differences)
    assert rows["part.feeder.rectangle.from"][1] == '["30 mm", "20 mm"]'
    assert set(rows) == {"part.feeder.rectangle.from", "part.feeder.rectangle.to"}


def test_the_picture_is_drawn_at_one_scale(runs, tmp_path):
    path = draw_comparison(runs, NAMES, tmp_path / "side.png", title="Side by side")
    assert Image.open(path).size[0] > 1000
    left, bottom, right, top = common_frame(runs)
    assert left <= 0.0 <= 0.1 <= right
    assert bottom <= 0.0 < 0.08 <= top


@pytest.mark.parametrize(
    ("count", "aspect", "columns"),
    [(2, 1.0, 2), (2, 3.0, 1), (3, 2.0, 2), (3, 0.6, 3), (4, 1.5, 2)],
)
def test_panels_fill_a_usual_sheet(count, aspect, columns):
    assert best_columns(count, aspect) == columns


def test_the_film_has_all_on_one_clock(runs, tmp_path):
    film = make_comparison_film(runs, NAMES, tmp_path / "side.mp4", title="Side", seconds=1.0)
    with av.open(str(film.path)) as file:
        frames = [frame.to_ndarray(format="gray") for frame in file.decode(video=0)]
    assert len(frames) == film.frames == 15
    first, last = frames[0].astype(int), frames[-1].astype(int)
    changed = (abs(first - last) > 60).mean(axis=0)
    middle = changed.size // 2
    assert changed[:middle].max() > 0.02  # bright liquid turned dark on both sides
    assert changed[middle:].max() > 0.02


def test_the_page_stands_alone(comparison, tmp_path):
    picture = tmp_path / "dot.png"
    Image.new("RGB", (2, 2)).save(picture)
    text = write_page(comparison, tmp_path / "side.html", pictures=[picture]).read_text("utf-8")
    assert comparison.judgment in text
    assert "data:image/png;base64," in text
    assert "http" not in text
    assert text.count("<td") > 3 * len(comparison.lines)


def test_a_margin_of_a_temperature_is_a_difference(runs):
    """60 K above the liquidus are 60 °C of room, not -213 °C."""
    met = {**runs[0].findings[0], "name": "cold-shut", "verdict": "holds", "kind": "temperature",
           "value": 1480.0, "limit": 1420.0, "margin": 60.0}  # fmt: skip
    warm = replace(runs[0], findings=(*runs[0].findings, met))
    assert line(compare("ab", [warm, runs[1]]), "cold-shut").texts[0] == "holds, margin 60 °C"


def test_accounts_of_the_computation_are_not_compared(comparison):
    assert not {"heat-account", "volume-account"} & {one.name for one in comparison.lines}


@pytest.mark.parametrize(("name", "winners"), [("pipe", (0,)), ("cavity", (1,))])
def test_lacking_a_feeder_is_no_merit_and_lacking_a_cavity_is(runs, name, winners):
    found = {**with_verdicts(runs[0], ["fails"], -1.0).findings[0], "name": name}
    one, other = replace(runs[0], findings=(found,)), replace(runs[1], findings=())
    assert line(compare("ab", [one, other]), name).winners == winners
