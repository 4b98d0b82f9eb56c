"""A second process draws the pictures of a pour; whatever becomes of it, none is lost."""

import sys
from pathlib import Path

import pytest

from solidsim.cli import drawing

WRITTEN = ("", "_section", "_feeding", "_niyama", "_edges")
HELPERS = {  # programs to stand in for it
    "gone at once": "",
    "gone with a picture in hand": "import sys; sys.stdin.buffer.read(10)",
    "talks nonsense": "print('done', flush=True); input()",
    "knows no picture": ("from solidsim.cli import drawing; drawing.DRAW.clear(); drawing.serve()"),
    "gone after the section": (
        "from solidsim.cli import drawing; drawing._load_for_runs = sys.exit; drawing.serve()"
    ),
}


@pytest.fixture
def pictures_of(ask_json, case_file):
    """Pour, and give the pictures that the answer names; they are there, and no others."""

    def pour():
        written = ask_json("pour", case_file)["written"]
        assert next(iter(written)) == "run"
        paths = [Path(path) for name, path in written.items() if name != "run"]
        assert sorted(paths) == sorted(Path("runs").glob("*.png"))
        assert all(path.read_bytes().endswith(b"IEND\xaeB`\x82") for path in paths)
        return [path.stem.removeprefix("bar") for path in paths]

    return pour


def test_the_section_is_one_of_them(pictures_of):
    assert set(pictures_of()) == set(WRITTEN)


@pytest.mark.parametrize("kind", HELPERS)
def test_nothing_is_lost_with_the_helper(pictures_of, monkeypatch, kind):
    monkeypatch.setattr(drawing, "SERVE", HELPERS[kind])
    assert set(pictures_of()) == set(WRITTEN)


def test_nothing_is_lost_without_a_helper(pictures_of, monkeypatch, tmp_path):
    monkeypatch.setattr(sys, "executable", str(tmp_path / "none"))
    assert set(pictures_of()) == set(WRITTEN)


def test_the_helper_draws(pictures_of, monkeypatch):
    """With nothing to draw here, all pictures must come from there."""
    drawn = []
    monkeypatch.setattr(drawing, "_draw", drawn.append)
    monkeypatch.setattr(drawing.Pictures, "finish", _wait)
    assert set(pictures_of()) == set(WRITTEN)
    assert drawn == []


def _wait(pictures):
    for thread in pictures._threads:
        thread.join()
    assert not pictures._left
    return pictures._drawn


def test_what_it_cannot_draw_is_said_once(ask, case_file, case_text):
    """A folder stands where the section should, and no metal freezes in a second."""
    case_file.write_text(f'{case_text}\n[cooling]\nshake_out = "1 s"\n', encoding="utf-8")
    Path("runs/bar_section.png").mkdir(parents=True)
    result = ask("pour", case_file)
    assert result.exit_code == 0, result.output
    assert result.stderr.count("warning: cannot draw bar_section.png") == 1
    assert result.stderr.count("warning: no freezing map") == 1
    assert not Path("runs/bar.png").exists()
    assert Path("runs/bar.h5").is_file()


def test_no_pictures_start_nothing(ask, case_file, monkeypatch):
    def refuse(*words, **options):
        raise AssertionError(words)

    monkeypatch.setattr(drawing.subprocess, "Popen", refuse)
    assert ask("pour", case_file, "--no-pictures").exit_code == 0
