"""The plan of a box: each jar is where it stands, with its time, and the scale of colour beside it."""

from dataclasses import replace

import numpy as np
import pytest
from drawn_texts import beyond_the_page, overlaps
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.patches import Circle

from coolsim import Places, draw_box, save_figure, simulate_box, with_overrides
from coolsim.model.jar import Change
from coolsim.report.wording import hours_minutes
from tests.support.pair import closed_pair

QUICK = with_overrides(closed_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
PITCH = 0.09


def run(rows, columns, **other):
    changes = {name: other.pop(name) for name in ("name", "horizon", "changes", "surround") if name in other}
    size = {"length": columns * PITCH, "width": rows * PITCH, "pitch_along": PITCH, "pitch_across": PITCH}
    return simulate_box(replace(QUICK, places=Places(rows=rows, columns=columns, **size, **other), **changes))


@pytest.fixture(scope="module")
def six():
    return run(2, 3, empty=((2, 1),), dividers=True)


@pytest.fixture(scope="module")
def drawn(six):
    return draw_box(six)


def jars(axes):
    return {patch.get_gid(): patch for patch in axes.findobj(Circle) if patch.get_gid().startswith("jar-")}


def with_gid(axes, gid):
    return axes.findobj(lambda artist: artist.get_gid() == gid)


def test_each_jar_is_drawn_to_scale_where_it_stands(six, drawn):
    axes = drawn.axes[0]
    found = jars(axes)
    assert axes.get_aspect() == 1.0
    for place in six.places:
        patch = found[f"jar-{place[0]}-{place[1]}"]
        assert patch.radius == pytest.approx(39.0)  # mm
        column, row = place[1] - 0.5, place[0] - 0.5
        assert patch.center == (pytest.approx(90.0 * column), pytest.approx(90.0 * row))
    # The first row is above, as in the table.
    assert axes.get_ylim()[0] > axes.get_ylim()[1]


def test_each_jar_has_both_of_its_times_and_jars_of_one_time_one_grey(six, drawn):
    axes = drawn.axes[0]
    found = jars(axes)
    for place in six.places:
        written = [
            text.get_text()
            for text in axes.texts
            if getattr(text, "xy", None) == found[f"jar-{place[0]}-{place[1]}"].center
        ]
        if place == (2, 1):
            continue
        events = six.at(place).events
        assert written == [hours_minutes(events.top_closed), hours_minutes(events.fully_set)]
    assert [text.get_text() for text in axes.texts].count("empty") == 1
    assert found["jar-2-1"].get_linestyle() != "-"
    greys = {to_hex(patch.get_facecolor()) for name, patch in found.items() if name != "jar-2-1"}
    assert len(greys) == len(six.kinds)
    # The later, the darker, and grey through and through: what is read off it survives a black-and-white print.
    by_time = sorted((six.at(place).events.fully_set, place) for place in six.places if place != (2, 1))
    light = [found[f"jar-{row}-{column}"].get_facecolor()[:3] for _, (row, column) in by_time]
    assert all(max(one) - min(one) < 1e-9 for one in light)
    assert [one[0] for one in light] == sorted((one[0] for one in light), reverse=True)
    assert light[0][0] - light[-1][0] > 0.3


def test_a_ring_goes_round_the_last_and_keeps_clear_of_the_neighbours(six, drawn):
    axes = drawn.axes[0]
    times = {place: six.at(place).events.fully_set for place in six.places if place != (2, 1)}
    last = [
        jars(axes)[f"jar-{row}-{column}"].center for (row, column), time in times.items() if time == max(times.values())
    ]
    rings = with_gid(axes, "last")
    assert [ring.center for ring in rings] == last
    for ring in rings:
        # The pitch is 90 mm, so there are 12 mm between two jars.
        assert 39.0 < ring.radius < 45.0


def test_the_grey_and_the_marks_of_the_times_stand_against_time(six, drawn):
    plan, scale = drawn.axes
    assert scale.get_xlabel() == "time since the pour [h:mm]"
    for gid, field in (("closed", "top_closed"), ("set", "fully_set")):
        marks = [line.get_xdata()[0] for line in with_gid(scale, gid)]
        assert marks == pytest.approx(sorted(getattr(one.events, field) / 3600.0 for one in six.results))
    (band,) = with_gid(scale, "scale")
    hours = band.get_coordinates()[0, :, 0]
    for place in six.places:
        if place == (2, 1):
            continue
        cell = np.searchsorted(hours, six.at(place).events.fully_set / 3600.0) - 1
        shade = band.cmap(band.norm(np.ravel(band.get_array())[cell]))
        # A five-hundredth of the axis.
        assert jars(plan)[f"jar-{place[0]}-{place[1]}"].get_facecolor() == pytest.approx(shade, abs=0.03)


def test_sides_that_face_the_wall_are_marked_there_and_those_of_an_empty_place_are_not(six, drawn):
    marks = sorted(
        (line.get_xdata()[0], line.get_ydata()[0], line.get_marker()) for line in with_gid(drawn.axes[0], "exposed")
    )
    # Three columns above, two below and at the left end one; the wall is 4 mm thick.
    assert [marker for *_, marker in marks] == ["<", "^", "^", "v", "^", "v", ">", ">"]
    for x, y, marker in marks:
        assert (x < 0.0, x > 270.0, y < 0.0, y > 180.0) == tuple(marker == one for one in "<>^v")


def test_board_and_flaps_are_drawn_as_they_are(six, drawn):
    axes = drawn.axes[0]
    (board,) = with_gid(axes, "board")
    thickness = 1e3 * QUICK.surround.layer * QUICK.surround.side_layers
    assert board.get_xy()[:, 0].min() == pytest.approx(-thickness)
    assert board.get_hatch()
    (seam,) = with_gid(axes, "flaps meet")
    assert list(seam.get_ydata()) == [90.0, 90.0]
    assert with_gid(axes, "flap") == []
    assert len(with_gid(axes, "divider")) == 3
    open_box = run(1, 2, surround=replace(QUICK.surround, flaps="open"))
    figure = draw_box(open_box)
    assert len(with_gid(figure.axes[0], "flap")) == 4
    assert with_gid(figure.axes[0], "flaps meet") == []
    key = [text.get_text() for text in figure.legends[0].get_texts()]
    assert "flaps open, only their beginnings" in key
    # Both jars set alike, so none is the last.
    assert with_gid(figure.axes[0], "last") == []
    assert not any("ring" in label for label in key)


def test_it_says_what_is_drawn_in_units_of_the_workshop(six, drawn):
    for figure, size in ((drawn, "270 mm × 180 mm"), (draw_box(six, units="us"), "10 5/8 in × 7 1/16 in")):
        told = f"from above, {size} inside; in each jar when its top has closed and, below, when it is fully set [h:mm]"
        assert told in [text.get_text() for text in figure.axes[0].texts]


def test_a_jar_that_does_not_set_says_so():
    figure = draw_box(run(1, 2, horizon=3600.0))
    written = [text.get_text() for text in figure.axes[0].texts]
    assert written.count("not set") == written.count("not closed") == 2
    assert all(patch.get_hatch() for patch in jars(figure.axes[0]).values())
    # There is no time that a grey could stand for.
    assert with_gid(figure.axes[1], "scale") == []


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
    scale = figure.axes[1]
    (mark,) = with_gid(scale, "change")
    assert mark.get_xdata()[0] == pytest.approx(2.0)
    assert "out of the box" in [text.get_text() for text in scale.texts]
    assert overlaps(figure) == []


def test_a_part_of_a_page_is_enough(six):
    page = Figure(figsize=(10.0, 6.0), layout="constrained")
    part = page.add_subfigure(page.add_gridspec(1, 1)[0, 0])
    draw_box(six, into=part)
    assert overlaps(page) == []
    assert beyond_the_page(page) == []
