"""A material named in words is the one whose table the case gives."""

from solidsim.case import read_case_text
from solidsim.model import build_model

CASE = """\
title = "Bar"
[section]
cell = "5 mm"
[pour]
alloy = "soft gray iron"
temperature = "1370 °C"
[[part]]
name = "bar"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["100 mm", "20 mm"] }
"""
TABLE = '[material.gray-iron]\nbase = "gray-iron"\ntitle = "June melt"\n'


def test_a_table_is_found_by_a_name_in_words():
    assert build_model(read_case_text(CASE)).materials[0].title == "Gray iron, soft"
    assert build_model(read_case_text(CASE + TABLE)).materials[0].title == "June melt"
