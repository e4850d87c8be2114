"""The one table, as text and as HTML."""

from coolsim.overview import OverviewTable
from coolsim.tables import Column, Table


def test_columns_of_a_printed_table_stand_below_each_other():
    table = OverviewTable(title="t", headings=("a", "bbbb"), rows=(("cccc", "d"), ("e", "f")), notes=("n",))
    assert table.text().splitlines() == ["t", "a     bbbb", "cccc  d", "e     f", "n"]
    assert OverviewTable(title="t", rows=()).text() == "t"


ACROSS = Table(
    title="one\ntwo",
    columns=(Column(width=6), Column(width=4, right=True), Column(width=4, right=True)),
    headings=("a", "b\n[mm]", "c"),
    rows=("all across the table", ("  d e f", "1", "2"), ("g", "none at all")),
    notes=("A note.",),
    gap=1,
    ruled=True,
)
TEXT = """\
one
two
a         b    c
       [mm]
----------------
all across the
table
  d e     1    2
  f
g      none at
       all
----------------
A note."""


def test_cells_are_broken_and_the_last_of_a_short_row_takes_the_columns_that_are_left():
    assert ACROSS.text() == TEXT


def test_a_short_row_goes_across_in_a_notebook_too():
    rows = [row.split("</tr>")[0] for row in ACROSS.html().split("<tr>")[2:]]
    assert [row.count("</t") for row in rows] == [1, 3, 2]
    assert [row.partition('colspan="')[2][:1] for row in rows] == ["3", "", "2"]
