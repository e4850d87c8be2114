"""The page to pin to the wall: what is drawn is what the study found, it can be read, and in black and white."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.patches import Rectangle
from matplotlib.text import Text

from coolsim.errors import OutputError
from coolsim.report.figure import save_figure
from coolsim.report.pour_chart import draw_pour_chart
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.studies.pour import choose_pour

PANELS = ("Bare, jar as warm as the room", "In the box, jar as warm as the room")


@pytest.fixture(scope="module")
def study():
    bare = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K", "title": "Cost $5 or $6"})
    with ThreadPoolExecutor(2) as executor:
        return choose_pour(
            bare, rooms=["12 °C", "20 °C", "26 °C"], pours=["52 °C", "58 °C", "62 °C", "68 °C"], executor=executor
        )


@pytest.fixture(scope="module")
def figure(study):
    return draw_pour_chart(study)


def panels(figure):
    return [axes for axes in figure.findobj(Axes) if axes.get_title() in PANELS]


def fields(axes):
    """Hatched fields: room and pour from and to."""
    found = [one for one in axes.patches if isinstance(one, Rectangle) and one.get_hatch()]
    return [(one.get_x(), one.get_x() + one.get_width(), one.get_y(), one.get_y() + one.get_height()) for one in found]


def test_bare_and_boxed_stand_side_by_side_on_the_same_axes(figure):
    one, other = panels(figure)
    assert one.get_title() == PANELS[0]
    assert other.get_title() == PANELS[1]
    assert one.get_position().x1 < other.get_position().x0
    assert (one.get_xlim(), one.get_ylim()) == (other.get_xlim(), other.get_ylim())
    for axes in (one, other):
        assert (axes.get_xlabel(), axes.get_ylabel()) == ("room temperature [°C]", "pour temperature [°C]")


def test_what_is_rejected_and_nothing_else_is_hatched(study, figure):
    for axes, place in zip(panels(figure), ("bare", "boxed"), strict=True):
        hatched = fields(axes)
        for choice in study.choices:
            if choice.place != place:
                continue
            for one in choice.candidates:
                inside = [f for f in hatched if f[0] < one.room < f[1] and f[2] < one.pour < f[3]]
                assert len(inside) == bool(one.rejected), (place, one.room, one.pour)


def test_the_line_goes_through_the_recommended_pours_and_rooms_without_one_say_so(study, figure):
    for axes, place in zip(panels(figure), ("bare", "boxed"), strict=True):
        expected = [choice.recommended for choice in study.choices if choice.place == place]
        line = next(one for one in axes.lines if one.get_marker() == "o")
        pours = [np.nan if one is None else one.pour for one in expected]
        np.testing.assert_array_equal(line.get_ydata(), pours)
        said = [one.get_text() for one in axes.texts]
        assert said.count("none\npasses") == sum(one is None for one in expected)
        for one in expected:
            assert one is None or f"{one.pour:.0f} °C" in said


def test_contours_say_how_long_it_takes_to_set(figure):
    for axes in panels(figure):
        assert any(one.get_text().endswith(" h") for one in axes.findobj(Text))


def test_all_can_be_read_at_arms_length_and_cautions_are_on_the_page(figure):
    FigureCanvasAgg(figure).draw()
    shown = [one for one in figure.findobj(Text) if one.get_text().strip() and one.get_visible()]
    assert min(one.get_fontsize() for one in shown) >= 7.0
    page = " ".join(" ".join(one.get_text().split()) for one in shown)
    for expected in ("Hot wax burns skin", "data sheets", "computed, not measured", "Glass can crack", "invented"):
        assert expected in page
    renderer = FigureCanvasAgg(figure).get_renderer()
    for one in shown:
        if one.axes is None or one.axes.axison:
            continue
        box = one.get_window_extent(renderer)
        assert figure.bbox.x0 <= box.x0, one.get_text()
        assert box.x1 <= figure.bbox.x1, one.get_text()


def test_it_needs_no_colour(figure):
    from matplotlib.colors import to_rgb

    for axes in panels(figure):
        for one in (*axes.lines, *axes.patches):
            colours = [one.get_color()] if hasattr(one, "get_color") else [one.get_facecolor(), one.get_edgecolor()]
            for red, green, blue in map(to_rgb, colours):
                assert red == green == blue


def test_the_same_study_gives_the_same_bytes_twice(study, figure, tmp_path):
    for kind in ("png", "svg", "pdf"):
        once = save_figure(figure, tmp_path / f"once.{kind}").read_bytes()
        assert save_figure(draw_pour_chart(study), tmp_path / f"again.{kind}").read_bytes() == once


def test_us_units_are_on_every_axis(study):
    for axes in panels(draw_pour_chart(study, units="us")):
        assert axes.get_xlabel() == "room temperature [°F]"
        # 12 °C and 26 °C are 53.6 °F and 78.8 °F.
        assert axes.get_xlim()[0] < 53.6 < 78.8 < axes.get_xlim()[1]


def test_one_room_is_no_chart(study):
    one_room = replace(study, choices=tuple(one for one in study.choices if one.room == 20.0))
    with pytest.raises(OutputError, match="range of rooms"):
        draw_pour_chart(one_room)
