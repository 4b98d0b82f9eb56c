"""Broken cases: each fault in one line, with its place, what was given and what to write."""

import string
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solidsim.case import CaseDescription, read_case, read_case_text
from solidsim.case.description import Table
from solidsim.case.wording import example
from solidsim.errors import CaseError, FaultyInputError

HERE = Path(__file__).parent
BROKEN = sorted((HERE / "broken").glob("*.toml"))
WHOLE = (HERE / "whole" / "cheek.toml").read_text(encoding="utf-8")


def faults_of(text, **more):
    with pytest.raises(CaseError) as caught:
        read_case_text(text, **more)
    return caught.value.faults


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_a_broken_case_has_its_one_fault_where_its_first_line_says(path):
    with pytest.raises(CaseError) as caught:
        read_case(path)
    (fault,) = caught.value.faults
    expected = path.read_text(encoding="utf-8").splitlines()[0].removeprefix("# ")
    assert f"{fault.line}:{fault.column}: {fault.key}: {fault.given}" == expected
    assert str(caught.value).startswith(f"{path}:{expected}; {fault.allowed}")
    assert len(str(caught.value).splitlines()) == 1
    assert fault.allowed


def test_all_faults_are_reported_at_once_in_the_order_of_the_file():
    text = WHOLE.replace('"2 mm"', "2").replace("alloy", "aloy").replace('"25 mm"', '"0 mm"')
    text = text.replace('role = "casting"\ncircle', 'role = "castin"\ncircle')
    keys = [fault.key for fault in faults_of(text)]
    expected = "section.cell pour.alloy pour.aloy part.boss.role part.boss.circle.radius"
    assert keys == expected.split()


def test_an_empty_case_is_told_what_it_needs():
    said = {fault.key: fault.write for fault in faults_of("")}
    assert said["pour"] == "[pour] with alloy and temperature"
    assert said["title"].startswith('title = "')
    assert said["part"] == 'role = "casting"'


@pytest.mark.parametrize(
    ("line", "write"),
    [
        ('[section]\nviw = "plan"', "view"),
        ('[section]\nviw = "plan"\nsand = "dry"', "view"),
        ("[probes]", "probe"),
        ('[judging]\nalloy = "gray-iron"', "it under [pour]"),
        ("[xyzzy]", ""),
    ],
)
def test_an_unknown_key_gets_the_nearest_known_one_or_its_table(line, write):
    text = WHOLE.replace('[section]\ncell = "2 mm"', line)
    unknown = [fault for fault in faults_of(text) if fault.given == "unknown key"]
    assert unknown[0].write == write


def test_the_fault_names_the_unknown_key_and_the_known_ones():
    (fault,) = faults_of(WHOLE.replace("cell", "cel"))
    assert fault.key == "section.cel"
    assert fault.allowed == "known here: view, cell, depth"


@pytest.mark.parametrize(
    ("name", "said"),
    [("nowhere.toml", "no such file"), ("latin.toml", "not a utf-8 text")],
)
def test_a_file_that_cannot_be_read_is_a_fault(tmp_path, name, said):
    (tmp_path / "latin.toml").write_bytes('title = "Büchse"'.encode("latin-1"))
    with pytest.raises(CaseError, match=said):
        read_case(tmp_path / name)


def test_a_fault_of_a_base_stands_in_the_file_of_the_base(tmp_path):
    (tmp_path / "cheek.toml").write_text(WHOLE.replace('"25 mm"', "25"), encoding="utf-8")
    variant = 'base = "cheek.toml"\n[pour]\ntemperature = "13 mm"\n'
    (tmp_path / "variant.toml").write_text(variant, encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_case(tmp_path / "variant.toml")
    places = {(Path(fault.file).name, fault.line, fault.key) for fault in caught.value.faults}
    assert places == {
        ("cheek.toml", 22, "part.boss.circle.radius"),
        ("variant.toml", 3, "pour.temperature"),
    }


def test_a_part_that_a_middle_base_leaves_out_in_vain_is_placed_there(tmp_path):
    (tmp_path / "cheek.toml").write_text(WHOLE, encoding="utf-8")
    middle = '\nbase = "cheek.toml"\nwithout = ["boss", "rim"]'
    (tmp_path / "middle.toml").write_text(middle, encoding="utf-8")
    (tmp_path / "top.toml").write_text('base = "middle.toml"\nwithout = []', encoding="utf-8")
    with pytest.raises(CaseError, match=r'middle\.toml:3:20: without\.2: "rim"; parts of the base'):
        read_case(tmp_path / "top.toml")


def test_bases_that_lead_to_each_other_are_a_fault(tmp_path):
    (tmp_path / "a.toml").write_text('base = "b.toml"', encoding="utf-8")
    (tmp_path / "b.toml").write_text('base = "a.toml"', encoding="utf-8")
    with pytest.raises(CaseError, match=r"b\.toml:1:1: base: .* leads back to itself"):
        read_case(tmp_path / "a.toml")


def test_a_later_fault_is_placed_by_the_case():
    case = read_case(HERE / "whole" / "cheek.toml")
    fault = case.fault(("part", 1, "circle", "radius"), "too big", "less", "less")
    assert (fault.line, fault.key) == (22, "part.boss.circle.radius")
    absent = case.fault(("part", 1, "material"), "nothing", "something", "it")
    assert (absent.line, absent.key) == (19, "part.boss.material")


def test_every_key_has_an_example_for_messages():
    """A fault at any key can say what to write; a choice of words and a table speak alone."""
    silent: list[str] = []

    def look(table, path):
        for name, field in table.model_fields.items():
            key = (*path, field.alias or name)
            if isinstance(field.annotation, type) and issubclass(field.annotation, Table):
                look(field.annotation, key)
            elif not example(key):
                silent.append(key[-1])

    look(CaseDescription, ())
    assert silent == ["view", "fill", "material", "stop"]


# ---- any damage to a case is a CaseError and nothing else ----------------------------------

scalars = (
    st.none().map(lambda _: '"25 mm"')
    | st.integers(-(10**20), 10**20).map(str)
    | st.floats().map(lambda value: repr(value).replace("e+", "e"))
    | st.sampled_from(["true", "1979-05-27", "07:32:00", '"through"', '"round"', '"-1 mm"', "[]"])
    | st.sampled_from(['""', '"1e99 mm"', '"casting"', "{}", '[["0 mm", "0 mm"]]', '"cheek"'])
    | st.text(string.printable, max_size=12).map(lambda text: "'''" + text.replace("'", "") + "'''")
)
values = st.recursive(
    scalars,
    lambda inner: (
        st.lists(inner, max_size=4).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(
            st.sampled_from(["from", "to", "radius", "x y", "é"]), inner, max_size=3
        ).map(
            lambda table: (
                "{" + ", ".join(f"'{key}' = {value}" for key, value in table.items()) + "}"
            )
        )
    ),
    max_leaves=6,
)
keys = st.sampled_from(
    (
        "title base without units view cell depth alloy temperature box cover sand name role "
        "rectangle polygon circle ring fillet material between conductance at shake_out stop left "
        "open frames part pour probe radius from niyama_limit nonsense '<word>'"
    ).split()
)
headers = st.sampled_from(
    (
        "[section] [pour] [mold] [[part]] [boundary] [[interface]] [[probe]] [cooling] [judging] "
        "[output] [material.sand] [part] [section.view] #"
    ).split()
)
lines = st.tuples(headers, keys, values).map(lambda parts: f"{parts[0]}\n{parts[1]} = {parts[2]}")


def read_or_report(text):
    try:
        read_case_text(text, folder=HERE / "whole")
    except FaultyInputError as error:
        return error.faults
    return []


@given(st.lists(lines, min_size=1, max_size=4), st.booleans())
@settings(max_examples=400, deadline=None)
def test_any_table_with_any_value_is_read_or_reported(added, with_base):
    start = 'base = "cheek.toml"\n' if with_base else WHOLE
    text = start + "\n" + "\n".join(added)
    for fault in read_or_report(text):
        assert 1 <= fault.line <= text.count("\n") + 1 or fault.file != "case.toml"
        assert len(str(fault).splitlines()) == 1


@given(
    st.integers(0, len(WHOLE)),
    st.integers(0, 30),
    st.text(string.printable + "é″½\x00\ud800", max_size=8),
)
@settings(max_examples=300, deadline=None)
def test_any_cut_in_the_text_is_read_or_reported(start, length, put):
    text = WHOLE[:start] + put + WHOLE[start + length :]
    for fault in read_or_report(text):
        assert fault.line >= 1
        assert fault.column >= 1
        assert fault.allowed


@pytest.mark.parametrize(
    "text",
    [
        "x = " + "[" * 5000,
        "x = " + "9" * 5000,
        "x = " + "{a=" * 400 + "1" + "}" * 400,
        "\x00",
        "\ufeff",
    ],
    ids=["deep list", "long number", "deep table", "null", "mark"],
)
def test_hostile_text_is_reported(text):
    assert read_or_report(text)
