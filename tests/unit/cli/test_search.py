"""The search from the command line."""

import pytest
from bar_case import WIDTH_STUDY

STUDY = f"""{WIDTH_STUDY}\
values = ["10 mm", "20 mm", "30 mm", "40 mm"]
[[limit]]
result = "last-metal-in-feeder.margin"
at_least = "10 s"
"""


@pytest.fixture
def study(case_file):
    path = case_file.with_name("least.toml")
    path.write_text(STUDY, encoding="utf-8")
    return path


def test_a_search_says_what_it_tried_and_found(ask, study):
    result = ask("search", study, "--quick")
    assert result.exit_code == 0, result.output
    for words in ("tried:", "what a little more buys:", "on finer cells:", "best of "):
        assert words in result.stdout


def test_a_search_as_json(ask_json, study):
    document = ask_json("search", study, "--quick")
    assert document["winner"]["inputs"]["width"] in ("20 mm", "30 mm", "40 mm")
    assert document["on_finer_cells"][-1]["results"]["last-metal-in-feeder.margin"] >= 10.0


def test_a_search_without_a_limit_is_refused(ask, study):
    study.write_text(STUDY[: STUDY.index("[[limit]]")], encoding="utf-8")
    result = ask("search", study)
    assert result.exit_code == 2
    assert "no [[limit]]" in result.stderr
