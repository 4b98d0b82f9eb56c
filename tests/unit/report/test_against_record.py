"""Prediction against record, on a run whose findings are known."""

import pytest
from synthetic_run import POUR, SAND, filled, findings, synthetic_run

from solidsim.case import read_record
from solidsim.criteria.finding import Finding
from solidsim.report.against_record import compare_record
from solidsim.report.cooling import temperature_at


@pytest.fixture
def compare(tmp_path):
    def compare_text(text, *more, run=None):
        run = run or synthetic_run()
        path = tmp_path / "record.toml"
        path.write_text(text, encoding="utf-8")
        record = read_record(path, [part.name for part in run.section.parts])
        found = [*findings(run.section, run.fields["freezing_time"]), *more]
        return run, {(row.name, row.part): row for row in compare_record(run, found, record)}

    return compare_text


def test_an_empty_form_compares_with_nothing(compare):
    assert compare("# date = 2024-05-17\n")[1] == {}


def test_measured_beside_predicted(compare):
    run, rows = compare('pour_temperature = "1350 °C"\nwedge = "5 mm"\nshake_out_time = "10 min"\n'
                        'shake_out_temperature = "900 °C"')  # fmt: skip
    row = rows["pour_temperature", None]
    assert (row.predicted, row.measured) == (POUR, pytest.approx(1623.15))
    assert row.difference == pytest.approx(1623.15 - POUR)
    wedge = rows["wedge", None]
    assert (wedge.predicted, wedge.measured, wedge.difference) == (None, 0.005, None)
    out = rows["shake_out_temperature", None]
    assert out.predicted == pytest.approx(temperature_at(run, 600.0))
    assert ("mold_temperature", None) not in rows
    assert SAND > 0


def test_weights_are_those_of_the_drawing(compare):
    run, rows = compare('casting_weight = "2 kg"\npoured_weight = "3 kg"')
    volumes = {part.role: 0.0 for part in run.section.parts}
    for part in run.section.parts:
        volumes[part.role] += part.drawn_volume
    expected = 7100.0 * volumes["casting"]
    assert rows["casting_weight", None].predicted == pytest.approx(expected)
    expected += 7100.0 * (volumes["feeder"] + volumes["neck"])
    assert rows["poured_weight", None].predicted == pytest.approx(expected)


def test_pipe_beside_the_wire(compare):
    pipe = Finding("pipe", "pipe in feeder", "holds", 0.034, kind="length", part="feeder")
    row = compare('pipe_depth = "40 mm"', pipe)[1]["pipe_depth", None]
    assert row.difference == pytest.approx(0.006)


def test_defects_beside_what_foretold_them(compare):
    text = '[[defect]]\npart = "{}"\nkind = "{}"\nnote = "a pea"\n'
    _, rows = compare(text.format("hub", "shrinkage") + text.format("web", "gas"))
    found = rows["shrinkage", "hub"]
    assert (found.predicted, found.measured) == ("fails", "a pea")
    assert rows["gas", "web"].predicted is None
    _, rows = compare(text.format("web", "shrinkage"))
    assert rows["shrinkage", "web"].predicted == "not predicted"
    assert rows["shrinkage", "hub"].measured == "not recorded"


def test_fill_time_beside_the_watch(compare):
    text = 'fill_time = "9.5 s"'
    row = compare(text, run=filled(synthetic_run(), fill_time=8.0))[1]["fill_time", None]
    assert (row.predicted, row.measured, row.difference) == (8.0, 9.5, 1.5)
    short = filled(synthetic_run(), filled=0.0)
    for run in (synthetic_run(), short):  # poured at once, and a misrun
        assert compare(text, run=run)[1]["fill_time", None].predicted is None


def test_what_a_fill_foretells(compare):
    text = '[[defect]]\npart = "web"\nkind = "{}"\n'
    risks = {
        "cold-run": Finding("misrun", "the metal stops", "fails"),
        "gas": Finding("shut-in-air", "air is shut in", "close"),
    }
    for kind, risk in risks.items():
        run = filled(synthetic_run())
        assert compare(text.format(kind), risk, run=run)[1][kind, "web"].predicted == risk.verdict
        assert compare(text.format(kind), run=run)[1][kind, "web"].predicted == "not predicted"
        assert compare(text.format(kind), risk)[1][kind, "web"].predicted is None
