"""The plan of a box: each jar is where it stands, with its time, and the scale of colour beside it."""

from dataclasses import replace

import pytest
from drawn_texts import beyond_the_page, overlaps
from matplotlib.colors import to_hex
from matplotlib.patches import Circle

from coolsim import Places, draw_box, save_figure, simulate_box, with_overrides
from coolsim.model.jar import Change
from coolsim.report.wording import hours_minutes
from tests.support.pair import closed_pair

QUICK = with_overrides(closed_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
PITCH = 0.09


def run(rows, columns, **other):
    changes = {name: other.pop(name) for name in ("name", "horizon", "changes") if name in other}
    size = {"length": columns * PITCH, "width": rows * PITCH, "pitch_along": PITCH, "pitch_across": PITCH}
    return simulate_box(replace(QUICK, places=Places(rows=rows, columns=columns, **size, **other), **changes))


@pytest.fixture(scope="module")
def six():
    return run(2, 3, empty=((2, 1),), dividers=True)


@pytest.fixture(scope="module")
def drawn(six):
    return draw_box(six)


def jars(axes):
    return {patch.get_gid(): patch for patch in axes.findobj(Circle)}


def test_each_jar_is_drawn_to_scale_where_it_stands(six, drawn):
    for axes in drawn.axes[:2]:
        found = jars(axes)
        assert len(found) == 6
        for place in six.places:
            patch = found[f"jar-{place[0]}-{place[1]}"]
            assert patch.radius == pytest.approx(39.0)  # mm
            column, row = place[1] - 0.5, place[0] - 0.5
            assert patch.center == (pytest.approx(90.0 * column), pytest.approx(90.0 * row))
        # The first row is above, as in the table.
        assert axes.get_ylim()[0] > axes.get_ylim()[1]


def test_each_jar_has_its_time_and_jars_of_one_time_one_colour(six, drawn):
    axes = drawn.axes[0]
    written = [text.get_text() for text in axes.texts]
    for place in six.places:
        if place != (2, 1):
            assert hours_minutes(six.at(place).events.fully_set) in written
    assert "empty" in written
    colours = {to_hex(patch.get_facecolor()) for name, patch in jars(axes).items() if name != "jar-2-1"}
    assert len(colours) == len(six.kinds)
    assert jars(axes)["jar-2-1"].get_facecolor()[3] == 0.0


def test_it_says_what_is_drawn_with_units(six, drawn):
    titles = [axes.get_title() for axes in drawn.axes[:2]]
    assert titles[0].startswith("fully set [h:mm]")
    assert titles[1].startswith("dish + hole [mm] (estimates)")
    assert "270 mm × 180 mm inside" in titles[0]
    top = six.results[0].shrinkage
    dish, hole = (f"{1e3 * one:.1f}".removesuffix(".0") for one in (top.dish, top.hole))
    assert f"{dish} + {hole}" in [text.get_text() for text in drawn.axes[1].texts]
    curves = drawn.axes[2]
    assert curves.get_ylabel() == "temperature [°C]"
    assert curves.get_xlabel() == "time since the pour [h:mm]"
    names = [text.get_text() for text in drawn.legends[0].get_texts()]
    assert names[-2:] == ["air over the jars", "room"]


def test_units_are_those_of_the_workshop(six):
    figure = draw_box(six, units="us")
    assert "[in]" in figure.axes[1].get_title()
    assert figure.axes[2].get_ylabel() == "temperature [°F]"


def test_many_kinds_show_the_first_and_the_last_curve():
    found = run(4, 5)
    assert len(found.kinds) > 4
    names = [text.get_text() for text in draw_box(found).legends[0].get_texts()]
    assert len(names) == 4
    assert "inner" in names[1]


def test_a_jar_that_does_not_set_says_so():
    figure = draw_box(run(1, 2, horizon=3600.0))
    assert [text.get_text() for text in figure.axes[0].texts].count("not set") == 2
    # No scale of colour: two plans and the curves.
    assert len(figure.axes) == 3


@pytest.mark.parametrize("shape", [(1, 8), (8, 1), (2, 2)])
def test_everything_stays_on_the_page_and_nothing_lies_on_anything(shape):
    figure = draw_box(run(*shape, name="A box with a $long$ title " * 5))
    assert beyond_the_page(figure) == []
    assert overlaps(figure) == []


def test_equal_runs_are_equal_bytes(six, tmp_path):
    files = [save_figure(draw_box(six), tmp_path / name).read_bytes() for name in ("a.svg", "b.svg")]
    assert files[0] == files[1]


def test_what_happens_on_the_way_is_marked():
    out = Change(time=7200.0, happens="out of the box", foot=25.0, moved=True)
    figure = draw_box(run(1, 2, changes=(out,)))
    curves = figure.axes[2]
    (mark,) = (line for line in curves.get_lines() if line.get_gid() == "change")
    assert mark.get_xdata()[0] == pytest.approx(2.0)
    assert "out of the box" in [text.get_text().strip() for text in curves.texts]
    assert overlaps(figure) == []
