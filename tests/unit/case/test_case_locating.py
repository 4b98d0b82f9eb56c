"""Where a key stands: every key and item of a file is found at its own letters."""

import tomllib
from pathlib import Path

import pytest

from solidsim.case.locating import locate

KNOTTY = """\
# a comment
title = "Büchse" # another
a.b."c d" = 1
'é"x' = [ 1, [2, # comment
  3], { y = 4, z.w = "ü" } ]
[ x . "y z" ]
p = { from = ["1", "2"], q.r = 1 }
[[part]]
name = "a"
[[part.hole]]
d = 1
[part.frame]
k = 1
[[part]]
name = "b"
[[part.hole]]
d = 2
[[part.hole]]
d = 3
[part.hole.rim]
e = '''
name = 3
'''
"""
WHOLE = (Path(__file__).parent / "whole" / "cheek.toml").read_text(encoding="utf-8")


def paths(value, path=()):
    yield path
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from paths(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from paths(inner, (*path, index))


@pytest.mark.parametrize("text", [KNOTTY, WHOLE, KNOTTY.replace("\n", "\r\n")])
def test_every_key_is_found_at_its_own_letters(text):
    lines = text.splitlines()
    for path in paths(tomllib.loads(text)):
        line, column = locate(text, path)
        here = lines[line - 1][column - 1 :]
        if path and isinstance(path[-1], str):
            assert here.lstrip("\"'").startswith(path[-1])


@pytest.mark.parametrize(
    ("path", "place"),
    [
        (("title",), (2, 1)),
        (("a", "b", "c d"), (3, 5)),
        (('é"x', 1, 1), (5, 3)),
        (('é"x', 2, "z", "w"), (5, 18)),
        (("x", "y z", "p", "from", 1), (7, 20)),
        (("part", 0), (8, 3)),
        (("part", 0, "hole", 0, "d"), (11, 1)),
        (("part", 1, "hole", 1, "rim", "e"), (21, 1)),
    ],
)
def test_knotty_places(path, place):
    assert locate(KNOTTY, path) == place


def test_a_key_that_is_not_there_is_sought_at_its_parent():
    assert locate(KNOTTY, ("part", 1, "role")) == (14, 3)
    assert locate(KNOTTY, ("part", 7, "role")) == (8, 3)
    assert locate(KNOTTY, ("pour", "alloy")) == (1, 1)
