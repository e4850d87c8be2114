"""What the figures of a run must show, held against its result.

Which curve is whose is in `test_legends.py`; titles, ticks and the look of the pair as a whole in `test_current.py`.
"""

from dataclasses import replace
from itertools import combinations

import matplotlib
import numpy as np
import pytest
from made_up import hollowed
from matplotlib.colors import to_hex
from matplotlib.text import Annotation
from scipy.integrate import trapezoid

from coolsim.report.figures import set_map
from coolsim.report.figures.curves import draw_cooling_curves
from coolsim.report.figures.field_map import FieldMap
from coolsim.report.figures.panels import setting_range, spaced
from coolsim.report.figures.section_parts import box_air, flaps, gap_air, outlines, solved_parts
from coolsim.report.figures.sections import draw_sections
from coolsim.report.figures.set_map import draw_set_map
from coolsim.report.figures.style import as_picture, colours
from coolsim.report.wording import hours_minutes
from coolsim.solve.result import Result

HOURS = [1800.0, 3600.0, 7200.0, 14400.0]


def panels(figure):
    return [axes for axes in figure.findobj(matplotlib.axes.Axes) if axes.axison and axes.get_label() != "<colorbar>"]


def with_gid(axes, gid):
    return axes.findobj(lambda artist: artist.get_gid() == gid)


def fields(axes, part=None):
    """What a map is made of, places in metres and temperatures in the units of the scale."""
    return [one for drawn in axes.findobj(FieldMap) for one in drawn.fields if part in (None, one.what)]


def told(axes):
    return [text.get_text() for text in axes.texts]


@pytest.fixture(scope="module")
def maps(pair):
    return draw_sections(pair, HOURS)


def test_all_maps_share_one_scale_of_temperature_and_one_of_length(maps):
    drawn = panels(maps)
    limits = {(one.norm.vmin, one.norm.vmax) for one in maps.findobj(FieldMap)}
    assert len(limits) == 1
    (low, high) = limits.pop()
    assert all(low <= one.values.min() and one.values.max() <= high for axes in drawn for one in fields(axes))
    assert len({(*axes.get_xlim(), *axes.get_ylim()) for axes in drawn}) == 1
    assert all(axes.get_aspect() == 1.0 for axes in drawn)
    assert len({round(axes.get_position().width, 9) for axes in drawn[:4]}) == 1


def test_the_boxed_map_shows_every_part_and_the_bare_one_none_of_the_box(maps):
    bare, boxed = panels(maps)[0], panels(maps)[4]
    # The glass beside the wax is drawn on both sides of the axis, its base across it.
    for axes, wanted in (
        (bare, {"wax": 1, "glass": 3, "bench": 1, "board": 0, "pad": 0, "gap": 0, "box air": 0, "flaps": 0, "air": 0}),
        (boxed, {"wax": 1, "glass": 3, "bench": 1, "board": 2, "pad": 1, "gap": 2, "box air": 2, "flaps": 1, "air": 4}),
    ):
        for part, count in wanted.items():
            assert len(with_gid(axes, part) if part == "air" else fields(axes, part)) == count, part
    names = ["wax", "bench", "glass", "box wall", "box floor", "air gap", "flaps", "front"]
    assert sorted(told(boxed)) == sorted([*names, "room\n21 °C"])
    assert not {"box wall", "box floor"} & set(told(bare))


def test_each_pixel_of_a_map_has_the_colour_of_the_temperature_at_its_place(pair):
    figure = draw_sections(pair[:1], HOURS[:1])
    (axes,) = panels(figure)
    (drawn,) = axes.findobj(FieldMap)
    for other in axes.get_children():
        other.set_visible(other is drawn)
    with as_picture(figure) as canvas:
        canvas.draw()
        picture = np.asarray(canvas.buffer_rgba())
        for x, z, part in ((0.0, 5.0, "wax"), (0.0, 55.0, "wax"), (20.0, 30.0, "wax"), (-60.0, -10.0, "bench")):
            column, up = (int(pixel) for pixel in axes.transData.transform((x, z)))
            x, z = axes.transData.inverted().transform((column + 0.5, up + 0.5))
            (field,) = fields(axes, part)
            across = [np.interp(1e-3 * x, field.x, row) for row in field.values]
            degrees = np.interp(1e-3 * z, field.z, across)
            # The scale has 256 steps, which are a shade or two apart.
            wanted = 255.0 * np.array(colours()(drawn.norm(degrees)))
            assert picture[picture.shape[0] - 1 - up, column] == pytest.approx(wanted, abs=3.0)
        column, up = (int(pixel) for pixel in axes.transData.transform((60.0, 30.0)))
        assert list(picture[picture.shape[0] - 1 - up, column]) == [255] * 4, "beside the jar there is nothing"


def test_the_front_is_a_labelled_line_while_there_is_one(maps, pair):
    for number, axes in enumerate(panels(maps)):
        result, time = pair[number // 4][1], HOURS[number % 4]
        soft = result.liquid_map(time) > result.sets_at
        there = bool(soft.any() and not soft.all())
        # Set corners smaller than half a cell are drawn though no cell's middle has set.
        if there:
            assert with_gid(axes, "front")
            assert "front" in told(axes)
        elif not soft.any():
            assert not with_gid(axes, "front")
            assert "front" not in told(axes)
    legend = next(axes.get_legend() for axes in maps.findobj(matplotlib.axes.Axes) if axes.get_legend())
    assert "solid front: 84 % liquid left" in legend.texts[0].get_text()
    assert legend.texts[1].get_text() == "stiff front: no longer drawn down"


@pytest.mark.parametrize(
    ("wanted", "heights"),
    [
        ([2.0, 5.0], [2.0, 5.0]),
        # Pushed up from the lower end, one above the other.
        ([0.0, 0.1, 0.2, 5.0], [0.5, 1.5, 2.5, 5.0]),
        # Pushed down from the upper end.
        ([3.0, 9.8, 9.9], [3.0, 8.5, 9.5]),
        ([4.0, 4.0], [4.0, 5.0]),
        ([], []),
    ],
    ids=["clear", "low", "high", "same", "none"],
)
def test_names_in_a_column_are_shifted_no_more_than_they_must(wanted, heights):
    assert spaced(wanted, line=1.0, low=0.0, high=10.0) == pytest.approx(heights)


def test_a_map_after_the_end_of_a_run_says_so(odd):
    (axes,) = panels(draw_sections(odd[3:], [7200.0]))
    assert axes.get_title() == "2:00 h (ended 1:00 h)"


def test_a_map_in_us_units_says_fahrenheit_and_inches(pair):
    figure = draw_sections(pair[:1], [1800.0], units="us")
    (axes,) = panels(figure)
    assert axes.get_xlabel() == "radius [in]"
    assert "room\n70 °F" in told(axes)
    bar = next(axes for axes in figure.findobj(matplotlib.axes.Axes) if "temperature" in axes.get_xlabel())
    assert bar.get_xlabel() == "temperature [°F]"
    (wax,) = fields(axes, "wax")
    # The jar's outer radius of 39 mm is 1.535 in.
    (drawn,) = [one for one in axes.collections if one.get_gid() == "outlines"]
    ends = np.concatenate(drawn.get_segments())
    assert ends[ends[:, 1] > 0.0, 0].max() == pytest.approx(0.039 / 0.0254)
    assert wax.values.max() == pytest.approx(1.8 * np.nanmax(pair[0][1].temperature_map(1800.0)) + 32, abs=2.0)


def test_a_metal_wall_is_not_called_glass(odd):
    (axes,) = panels(draw_sections(odd[:1], [1800.0]))
    assert "metal" in told(axes)
    assert "glass" not in told(axes)


def test_more_than_four_times_are_carried_on_below(pair):
    drawn = panels(draw_sections(pair, [600.0 * number for number in range(1, 7)]))
    assert [axes.get_title() for axes in drawn] == [
        *["0:10 h", "0:20 h", "0:30 h"] * 2,
        *["0:40 h", "0:50 h", "1:00 h"] * 2,
    ]


def test_a_time_before_the_pour_is_refused(pair):
    with pytest.raises(ValueError, match="before the pour"):
        draw_sections(pair, [-1.0])


def test_maps_without_stated_times_are_those_of_the_events_and_each_says_its_own_time(pair):
    names = dict(rim_set="rim set", top_closed="top closed", fully_set="fully set", top_final="top has sunk for good")
    events = [(result, name, getattr(result.events, field)) for _, result in pair for field, name in names.items()]
    for axes, (result, name, time) in zip(panels(draw_sections(pair)), events, strict=True):
        assert axes.get_title() == f"{name}\n{hours_minutes(time)} h"
        (wax,) = fields(axes, "wax")
        hottest = float(np.interp(time, result.time, result.hottest_wax()))
        # Half a kelvin: what is drawn on from the middles of coarse cells to the faces.
        assert wax.values.max() == pytest.approx(hottest, abs=0.5)


def test_of_events_that_no_run_reached_there_is_no_map_and_who_comes_later_says_so(pair, odd):
    alone = panels(draw_sections(odd[3:]))
    assert [axes.get_title().partition("\n")[0] for axes in alone] == ["rim set", "top closed"]
    together = panels(draw_sections([pair[0], odd[3]]))
    assert [axes.get_title() for axes in together[-2:]] == [
        "fully set: later\n(ended 1:00 h)",
        "top has sunk for good: later\n(ended 1:00 h)",
    ]


def test_a_run_without_any_event_is_drawn_at_four_of_its_times(odd):
    title, result = odd[2]
    nothing = dict.fromkeys(("rim_set", "top_closed", "fully_set", "top_final"))
    never = replace(result, events=replace(result.events, **nothing))
    drawn = panels(draw_sections([(title, never)]))
    assert [axes.get_title() for axes in drawn] == [
        f"{hours_minutes(share * result.time[-1])} h" for share in (0.125, 0.25, 0.5, 1.0)
    ]


def test_heights_of_a_map_count_from_the_bottom_of_the_wax_and_its_top_sinks(pair):
    drawn, result = panels(draw_sections(pair)), pair[0][1]
    assert drawn[0].get_ylabel() == "height above\nwax bottom [mm]"
    for axes in drawn:
        (wax,) = fields(axes, "wax")
        # The two jars are filled alike.
        assert (wax.z[0], wax.z[-1]) == pytest.approx((0.0, result.wax.z_edges[-1]), abs=1e-4)
    (sunk,) = result.tops_at([result.events.top_final])
    (top,), (pour,) = with_gid(drawn[3], "top"), with_gid(drawn[3], "pour")
    assert np.interp(1e3 * sunk.r, top.get_xdata(), top.get_ydata()) == pytest.approx(1e3 * sunk.level)
    assert list(pour.get_ydata()) == pytest.approx([1e3 * sunk.pour_level] * 2)
    assert sunk.depth > 1e-3


def test_a_cavity_is_drawn_in_the_map_as_it_is_then(pair, monkeypatch):
    title, result = pair[0]
    monkeypatch.setattr(Result, "tops_at", lambda run, times: [run.shrinkage] * len(times))
    closed, open_ = (panels(draw_sections([(title, one)]))[-1] for one in (result, hollowed(result)))
    assert not with_gid(closed, "cavity")
    (cavity,) = with_gid(open_, "cavity")
    x, z = cavity.get_xy().T
    # The roof has 80 points; each strip goes round the axis.
    thick = z[:80] - np.interp(x[:80], x[:79:-1], z[:79:-1])
    right = trapezoid(np.pi * np.abs(x[:80]) * thick, x[:80])
    assert right == pytest.approx(2400.0, rel=0.02)


def test_the_scale_of_temperature_marks_where_the_wax_sets(maps, pair):
    bar = next(axes for axes in maps.findobj(matplotlib.axes.Axes) if "temperature" in axes.get_xlabel())
    starts, sets, _ = setting_range(pair[0][1])
    assert sorted(line.get_xdata()[0] for line in with_gid(bar, "sets")) == pytest.approx([sets, starts])
    assert "here it sets" in told(bar)


@pytest.mark.parametrize("index", [0, 1])
def test_what_is_drawn_of_the_section_is_symmetric_and_keeps_its_range(pair, index):
    result = pair[index][1]
    plane = result.temperature_map(3600.0)
    for field in solved_parts(result, 3600.0):
        if field.x[0] < 0.0 < field.x[-1]:
            np.testing.assert_allclose(field.x, -field.x[::-1])
            np.testing.assert_array_equal(field.values, field.values[:, ::-1])
        assert np.nanmin(plane) <= field.values.min()
        assert field.values.max() <= np.nanmax(plane)


def test_the_solved_parts_cover_the_cells_and_hold_their_temperatures(pair):
    result = pair[1][1]
    grid = result.grid
    area = sum(np.ptp(field.x) * np.ptp(field.z) for field in solved_parts(result, 0.0))
    cells = np.outer(np.diff(grid.z_edges), np.diff(grid.r_edges))[grid.block >= 0].sum()
    # Both sides of the axis.
    assert area == pytest.approx(2.0 * cells, rel=1e-12)
    wax = next(field for field in solved_parts(result, 3600.0) if field.what == "wax")
    held = result.temperature_map(3600.0)[grid.block == 0].reshape(len(result.wax.z), -1)
    np.testing.assert_allclose(wax.values[1:-1, len(result.wax.r) + 1 : -1], held)


def test_gap_air_runs_from_face_to_face_and_box_air_is_that_of_its_node(pair):
    result = pair[1][1]
    left, right = gap_air(result, 3600.0)[1], gap_air(result, 3600.0)[0]
    np.testing.assert_array_equal(left.values, right.values[:, ::-1])
    # From the warm jar to the cooler board.
    assert (right.values[:, 0] > right.values[:, 1]).all()
    air = dict(zip((name for name, _ in result.nodes), result.history.nodes.T, strict=True))
    for field in box_air(result, 3600.0):
        assert field.values.max() == pytest.approx(np.interp(3600.0, result.time, air["box air"]))
    (top,) = flaps(result, 3600.0)
    assert top.values[0, 0] == pytest.approx(np.interp(3600.0, result.time, air["flaps inside"]))
    assert top.values[1, 0] == pytest.approx(np.interp(3600.0, result.time, air["flaps outside"]))


def test_a_bare_jar_has_no_air_filled_in_and_outlines_on_both_sides(pair):
    result = pair[0][1]
    assert gap_air(result, 0.0) == box_air(result, 0.0) == flaps(result, 0.0) == []
    stretches = outlines(result)
    assert sum(x.sum() for x, _ in stretches) == pytest.approx(0.0, abs=1e-9)
    assert max(x.max() for x, _ in stretches) == pytest.approx(result.grid.r_edges[-1])


def test_isochrones_are_named_and_the_last_liquid_marked(pair):
    for axes, (_, result) in zip(panels(draw_set_map(pair)), pair, strict=True):
        assert f"last liquid\n{hours_minutes(result.events.fully_set)} h" in told(axes)
        (mark,) = with_gid(axes, "last liquid")
        assert mark.get_ydata()[0] == pytest.approx(1e3 * result.events.last_liquid[1])
        (lines,) = with_gid(axes, "isochrones")
        named = [text.get_text() for text in with_gid(axes, "isochrone")]
        assert len(named) >= 3
        assert set(named) <= {hours_minutes(level) for level in lines.levels}


@pytest.mark.parametrize("chosen", [slice(0, 1), slice(0, 2)], ids=["one", "two"])
def test_the_scale_of_set_times_is_as_high_as_the_panels_and_a_key_says_what_the_lines_are(pair, chosen):
    figure = draw_set_map(pair[chosen])
    figure.draw_without_rendering()
    (bar,) = [axes for axes in figure.findobj(matplotlib.axes.Axes) if axes.get_label() == "<colorbar>"]
    for axes in panels(figure):
        # A pixel of rounding.
        assert bar.get_window_extent().y0 == pytest.approx(axes.get_window_extent().y0, abs=1.0)
        assert bar.get_window_extent().y1 == pytest.approx(axes.get_window_extent().y1, abs=1.0)
    key = [text.get_text() for text in figure.legends[0].texts]
    assert key == ["sets at the time on the line [h:mm]", "outline of wax and glass"]


def test_names_on_the_left_keep_clear_of_the_axis(maps):
    maps.draw_without_rendering()
    for axes in (panels(maps)[0], panels(maps)[4]):
        names = [text for text in axes.texts if isinstance(text, Annotation) and text.get_ha() == "left"]
        assert names
        for name in names:
            # A third of a letter, 2.5 pt.
            edge = matplotlib.text.Text.get_window_extent(name).x0 - axes.get_window_extent().x0
            assert edge > 2.5 * maps.dpi / 72


def test_an_isochrone_without_room_for_its_name_has_none(pair, monkeypatch):
    # So many lines, and names so large, that not all find a place.
    wide, high = 0.8, 0.5
    monkeypatch.setattr(set_map, "_LABEL", (wide, high))
    monkeypatch.setattr(set_map, "_MOST_LINES", 40)
    (axes,) = panels(draw_set_map(pair[1:]))
    (lines,) = with_gid(axes, "isochrones")
    names = with_gid(axes, "isochrone")
    assert 0 < len(names) < len(lines.levels)
    axes.figure.draw_without_rendering()
    per_inch = 1.0 / axes.figure.dpi
    for one, other in combinations([axes.transData.transform(name.get_position()) * per_inch for name in names], 2):
        # Paper is a little smaller than planned where the layout needs room.
        assert abs(one[0] - other[0]) > 0.9 * wide or abs(one[1] - other[1]) > 0.9 * high


def test_isochrones_run_where_the_wax_sets_at_their_time(pair):
    result = pair[0][1]
    (lines,) = with_gid(panels(draw_set_map(pair))[0], "isochrones")
    level = lines.levels[len(lines.levels) // 2]
    path = lines.get_paths()[list(lines.levels).index(level)]
    x, z = 1e-3 * path.vertices[len(path.vertices) // 3]
    wax = result.required_wax()
    radius = abs(x)
    when = [np.interp(radius, wax.r, row) for row in result.set_time()]
    # Monotone cubic against straight lines between cells of up to 6 mm: a few per cent of the time.
    assert np.interp(z, wax.z, when) == pytest.approx(level, rel=0.04)


def test_what_was_still_soft_is_hatched_and_called_so(odd):
    figure = draw_set_map(odd[3:])
    (axes,) = panels(figure)
    assert with_gid(axes, "still soft")
    assert "softest place\nat the end" in told(axes)
    assert figure.legends[0].texts[-1].get_text() == "still soft when the run ended"


def test_cooling_curves_mark_the_events_where_they_happen(pair):
    for axes, (_, result) in zip(panels(draw_cooling_curves(pair)), pair, strict=True):
        for field, name in (("rim_set", "rim set"), ("top_closed", "top closed"), ("fully_set", "fully set")):
            time = getattr(result.events, field)
            (line,) = with_gid(axes, field)
            assert line.get_xdata()[0] == pytest.approx(time / 3600.0)
            assert f"{name} {hours_minutes(time)}" in told(axes)


def test_of_two_events_close_together_the_earlier_is_named_higher(pair):
    # Its line goes on up to its name, and must not cross the other.
    title, result = pair[0]
    close = replace(result, events=replace(result.events, rim_set=7000.0, top_closed=7300.0))
    (axes,) = panels(draw_cooling_curves([(title, close)]))
    heights = {text.get_text(): text.xyann[1] for text in axes.texts if isinstance(text, Annotation)}
    assert heights["rim set 1:57"] > heights["top closed 2:02"]
    assert heights["top closed 2:02"] == min(heights.values())


def test_no_name_of_an_event_is_crossed_by_the_line_of_another(pair):
    # The name of the second one goes up over that of the third, so the first must go up further.
    title, result = pair[0]
    times = dict(rim_set=1000.0, top_closed=2400.0, fully_set=4400.0)
    (axes,) = panels(draw_cooling_curves([(title, replace(result, events=replace(result.events, **times)))]))
    heights = {text.get_text().partition(" ")[0]: text.xyann[1] for text in axes.texts if text.xyann[1] > 0}
    assert heights["rim"] > heights["top"] > heights["fully"]


def test_no_two_curves_look_alike_without_colour(pair):
    points = {f"point {number}": (0.002 * number, 0.03) for number in range(12)}
    figure = draw_cooling_curves(pair[:1], points=points)
    lines = [with_gid(panels(figure)[0], name)[0] for name in (*points, "glass outside", "room")]
    # Dashes and markers tell them apart, and colour besides.
    assert len({(str(line._dash_pattern), line.get_marker()) for line in lines}) == len(lines)
    assert len({(to_hex(line.get_color()), str(line._dash_pattern)) for line in lines}) == len(lines)


def test_a_tin_and_a_glass_together_share_the_name_of_the_wall(pair, odd):
    figure = draw_cooling_curves([pair[0], odd[0]])
    assert "wall outside" in [text.get_text() for text in figure.legends[0].texts]
