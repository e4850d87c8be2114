"""Tables as comma-separated values: read back as they were, and no cell is a formula."""

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolsim.report.csv_text import csv_text
from coolsim.report.text.curves import curves_csv
from coolsim.report.text.sweep import sweep_csv
from coolsim.scenario import with_overrides
from coolsim.studies.sweep.sweep import Point, SweptRow


def cells(text):
    return list(csv.reader(io.StringIO(text, newline="")))


@pytest.mark.parametrize(
    "cell", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1", "-", "+cmd", "-2 mm", "- 3"]
)
def test_a_cell_that_a_spreadsheet_would_run_gets_an_apostrophe(cell):
    assert cells(csv_text([cell], [[cell]])) == [[f"'{cell}"], [f"'{cell}"]]


@pytest.mark.parametrize("cell", ["-1.5", "+3", "1e-05", "-2.5e+10", "0", "", "65 °C", "a=b", "Tumbler, bare", 'a "b"'])
def test_numbers_and_other_texts_stay_as_they_are(cell):
    assert cells(csv_text(["x", "y"], [[cell, "z"]]))[1] == [cell, "z"]


@given(st.lists(st.lists(st.text(st.characters(exclude_categories=["Cs"])), min_size=2, max_size=2), min_size=1))
def test_every_text_comes_back_and_none_begins_like_a_formula(rows):
    read = cells(csv_text(["a", "b"], rows))[1:]
    for before, after in zip(rows, read, strict=True):
        for was, now in zip(before, after, strict=True):
            assert now in (was, f"'{was}")
            assert not re.match(r" *[=@\t\r\n]| *[+-](?![\d.]+([eE][+-]?\d+)?$)", now)


def test_titles_probes_and_faults_go_through_it(runs):
    scenario, result = runs[0]
    evil = with_overrides(scenario, {"report.probes": {"=1+1": ["0 mm", "30 mm"]}})
    assert cells(curves_csv(result, points=evil.probes))[0][1] == "'=1+1 [°C]"
    row = SweptRow(
        point=Point(scenario=0, at=(), name="", jar=None, where="=1.toml", fault="=1.toml: wrong"),
        answers=None,
        fault="=1.toml: wrong",
    )
    read = cells(sweep_csv([row], ["@title"], units="metric"))[1]
    assert (read[0], read[-1]) == ("'@title", "'=1.toml: wrong")
