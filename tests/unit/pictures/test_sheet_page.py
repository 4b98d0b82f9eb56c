"""The pour sheet on paper: one page, nothing overlaps, large enough letters, no colors."""

import dataclasses
import itertools
import re
from pathlib import Path

import pytest
from matplotlib.colors import to_rgb
from matplotlib.patches import Patch
from matplotlib.text import Text

from solidsim.case import read_case
from solidsim.errors import ResultsError
from solidsim.model import build_model
from solidsim.pictures import sheet_page
from solidsim.pictures.paper_text import SMALL, Pen
from solidsim.pictures.sheet_page import MARGIN, PAPERS, draw_sheet
from solidsim.pictures.style import new_figure, settings
from solidsim.report.pour_sheet import compose_sheet

HOME = Path(__file__).parents[3]
CASES = ["sheave_bracket/case.toml", "sheave_bracket/feeder_and_chills.toml",
         "bushing/case.toml", "junctions/x_filleted.toml", "plate_in_sand/case.toml"]  # fmt: skip
SLACK = 1.0  # px


@pytest.fixture(scope="module")
def compose():
    known = {}

    def compose_case(name):
        if name not in known:
            case = read_case(HOME / "cases" / name)
            known[name] = compose_sheet(case, name, build_model(case))
        return known[name]

    return compose_case


@pytest.fixture
def drawn(tmp_path, monkeypatch):
    """Draw a sheet; gives its figure and its file."""
    kept = []
    save = sheet_page.save_figure

    def keep(figure, path):
        kept.append(figure)
        return save(figure, path)

    monkeypatch.setattr(sheet_page, "save_figure", keep)

    def draw(sheet, paper="a4"):
        path = draw_sheet(sheet, tmp_path / "sheet.pdf", paper)
        return kept[-1], path

    return draw


def texts_of(figure):
    return [text for text in figure.findobj(Text) if text.get_text().strip()]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CASES)
def test_nothing_overlaps_and_all_lies_on_the_page(name, paper, compose, drawn):
    figure, _ = drawn(compose(name), paper)
    width, height = figure.bbox.size
    edge = 0.8 * MARGIN * figure.dpi
    boxes = [(text.get_text(), text.get_window_extent()) for text in texts_of(figure)]
    assert len(boxes) > 40
    for words, box in boxes:
        assert min(box.x0, box.y0, width - box.x1, height - box.y1) >= edge, words
    for (one, first), (two, second) in itertools.combinations(boxes, 2):
        apart = (
            first.x1 <= second.x0 + SLACK or second.x1 <= first.x0 + SLACK
            or first.y1 <= second.y0 + 3 * SLACK or second.y1 <= first.y0 + 3 * SLACK
        )  # fmt: skip
        assert apart, f"{one!r} lies on {two!r}"


@pytest.mark.parametrize("name", CASES)
def test_every_part_is_named_and_every_line_written(name, compose, drawn):
    sheet = compose(name)
    figure, _ = drawn(sheet)
    words = " ".join(" ".join(text.get_text().split()) for text in texts_of(figure))
    for part in sheet.section.parts:
        assert part.name in words
    for block in sheet.blocks:
        for line in block.lines:
            assert line.label in words
            assert all(word in words for word in f"{line.value} {line.note}".split())
    said = words.partition("CAUTION")[2]
    assert all(caution in said for caution in sheet.cautions)


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_page_of_its_paper(paper, compose, drawn):
    _, path = drawn(compose(CASES[0]), paper)
    content = path.read_bytes()
    assert len(re.findall(rb"/Type /Page\b(?!s)", content)) == 1
    sides = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", content).groups()
    assert [float(side) / 72 for side in sides] == pytest.approx(PAPERS[paper], abs=0.01)


def test_letters_are_large_enough_and_black_on_white(compose, drawn):
    figure, _ = drawn(compose(CASES[0]))
    assert min(text.get_fontsize() for text in texts_of(figure)) >= SMALL
    for patch in figure.findobj(Patch):
        for color in (patch.get_facecolor(), patch.get_edgecolor()):
            red, green, blue = to_rgb(color)
            assert red == green == blue


def test_what_finds_no_room_is_told_where_to_find(compose, drawn):
    sheet = compose(CASES[0])
    long = dataclasses.replace(sheet, assumptions=tuple(f"assumption {n}" for n in range(400)))
    words = " ".join(text.get_text() for text in texts_of(drawn(long)[0]))
    left = int(re.search(r"and (\d+)\s+more: solidsim check", words).group(1))
    assert f"assumption {399 - left};" in words
    assert f"assumption {400 - left};" not in words
    assert sheet.cautions[-1].split()[-1] in words


def test_a_sheet_that_cannot_fit_is_refused(compose, drawn):
    long = dataclasses.replace(compose(CASES[0]), title="bracket " * 400)
    with pytest.raises(ResultsError, match="does not fit on one page"):
        drawn(long)


def test_words_are_measured_as_they_are_drawn():
    with settings():
        pen = Pen(new_figure(8.0, 8.0), 11.0)
        words = "shaken out after 1 h 05 min"
        pen.write(1.0, 1.0, words, "bold")
        (text,) = texts_of(pen.figure)
        drawn = text.get_window_extent().width / pen.figure.dpi
    assert pen.width(words, "bold") == pytest.approx(drawn, rel=0.02)
    assert pen.wrap("a bc def", pen.width("a bc")) == ["a bc", "def"]
