"""A study of the feeder of a small case."""

import pytest
from bar_case import CASE, WIDTH_STUDY

STUDY = f"""{WIDTH_STUDY}\
range = ["20 mm", "40 mm"]
steps = 3
[[input]]
name = "height"
path = 'part["feeder"].height'
values = ["40 mm", "60 mm"]
[[link]]
path = 'part["cover"].bottom'
equals = 'part["feeder"].top'
[[link]]
path = "mold.box.to.y"
equals = 'part["cover"].top'
plus = "20 mm"
"""


@pytest.fixture(scope="session")
def case_text():
    return CASE


@pytest.fixture
def study_file(tmp_path):
    """A study beside its case."""
    (tmp_path / "bar.toml").write_text(CASE, encoding="utf-8")
    path = tmp_path / "feeder.toml"
    path.write_text(STUDY, encoding="utf-8")
    return path


@pytest.fixture
def changed_study(study_file):
    """The study with a piece of its text replaced."""

    def change(old, new):
        assert old in STUDY
        study_file.write_text(STUDY.replace(old, new), encoding="utf-8")
        return study_file

    return change
