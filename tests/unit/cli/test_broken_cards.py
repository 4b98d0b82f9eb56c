"""Broken card files: each refused with its line and reason, by ``materials`` and beside a case."""

from pathlib import Path

import pytest

BROKEN = sorted((Path(__file__).parents[1] / "materials" / "broken").glob("*.toml"))


def marked(path):
    """Line of the one comment in a card, which says what the fault is, and its words."""
    lines = enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
    ((number, line),) = [(number, line) for number, line in lines if "#" in line]
    return number, line.partition("#")[2].strip()


def test_there_are_more_than_ten():
    assert len(BROKEN) > 10


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_a_broken_card_is_refused(ask, path):
    result = ask("materials", path)
    number, words = marked(path)
    assert (result.exit_code, result.stdout) == (3, "")
    (line,) = result.stderr.splitlines()
    assert line.startswith(f"{path}:{number}:")
    assert words in line


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_it_is_refused_beside_a_case_too(ask, case_file, case_text, path):
    alloy = "tin-bronze" in path.read_text(encoding="utf-8")
    before = "gray-iron" if alloy else "dry-silica-sand"
    case_file.write_text(case_text.replace(before, "our-own"), encoding="utf-8")
    Path("our-own.toml").write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    result = ask("pour", case_file)
    number, words = marked(path)
    assert (result.exit_code, result.stdout) == (3, "")
    assert any(
        line.startswith(f"our-own.toml:{number}:") and words in line
        for line in result.stderr.splitlines()
    ), result.stderr
