"""The small table that print shows of an object."""

from coolsim.overview import OverviewTable


def test_columns_of_a_printed_table_stand_below_each_other():
    table = OverviewTable(title="t", headings=("a", "bbbb"), rows=(("cccc", "d"), ("e", "f")), notes=("n",))
    assert table.text().splitlines() == ["t", "a     bbbb", "cccc  d", "e     f", "n"]
    assert OverviewTable(title="t", rows=()).text() == "t"
