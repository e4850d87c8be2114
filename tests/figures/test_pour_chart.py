"""The page to pin to the wall: what is drawn is what the study found, it can be read, and in black and white."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.contour import QuadContourSet
from matplotlib.text import Text
from scipy.interpolate import RegularGridInterpolator

from coolsim.errors import OutputError
from coolsim.report.figures.pour_chart import draw_pour_chart
from coolsim.report.figures.saving import save_figure
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.studies.pour.choose import choose_pour

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
    """Hatched fields by the limit that rejects there."""
    return {one.get_gid(): one for one in axes.collections if isinstance(one, QuadContourSet) and one.filled}


def lines_of(axes, gid):
    """Contour lines: their levels and paths."""
    (found,) = [one for one in axes.collections if one.get_gid() == gid]
    return dict(zip(found.levels, found.get_paths(), strict=True))


def inside(field, room, pour):
    return any(path.contains_point((room, pour)) for path in field.get_paths())


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
        assert all(field.hatches[0] for field in hatched.values())
        for choice in study.choices:
            for one in choice.candidates if choice.place == place else ():
                # A pour on the very limit is on the edge of the field: look a hair inside the panel and below it.
                room = np.clip(one.room, 12.01, 25.99)
                found = {limit for limit, field in hatched.items() if inside(field, room, max(one.pour - 0.05, 52.01))}
                assert found == set(one.rejected), (place, one.room, one.pour)


def test_between_the_rooms_that_were_run_the_jar_is_no_less_safe(study, figure):
    # The window's edge is the limit itself, 42 K above the jar, and not a step half way to the next room.
    for axes in panels(figure):
        shock = fields(axes)["jar shock"]
        for room in (13.0, 16.0, 19.0, 21.0, 24.0):
            assert inside(shock, room, room + 42.1)
            assert not inside(shock, room, room + 41.9)


def test_nothing_is_drawn_beyond_the_rooms_and_pours_that_were_run(figure):
    for axes in panels(figure):
        assert (axes.get_xlim(), axes.get_ylim()) == ((12.0, 26.0), (52.0, 68.0))


def test_contours_run_where_the_runs_have_their_value(study, figure):
    # Those of the depth are held by the made-up study of the legends: here it hardly differs, and some panel has none.
    gid, name, factor = "set", "fully_set_s", 1 / 60
    for axes, place in zip(panels(figure), ("bare", "boxed"), strict=True):
        found = [choice for choice in study.choices if choice.place == place]
        field = np.array([[one.number(name) for one in choice.candidates] for choice in found]) * factor
        at = RegularGridInterpolator(([12.0, 20.0, 26.0], [52.0, 58.0, 62.0, 68.0]), field)
        lines = lines_of(axes, gid)
        assert lines
        for level, path in lines.items():
            corners = path.vertices[(path.vertices[:, 0] > 12.0) & (path.vertices[:, 0] < 26.0)]
            # A line crosses the mesh of rooms and pours where a straight interpolation says; between, it is a chord.
            on_mesh = [np.isin(corners[:, 1], (52.0, 58.0, 62.0, 68.0)) | (corners[:, 0] == 20.0)]
            assert at(corners[on_mesh[0]]) == pytest.approx(level, rel=1e-6)


def test_the_depth_is_drawn_under_the_hatching_and_the_time_to_set_over_it(figure):
    # So it ends where the allowed window ends.
    for axes in panels(figure):
        order = {one.get_gid(): one.get_zorder() for one in axes.collections}
        hatched = [order[limit] for limit in fields(axes)]
        assert order.get("depth", 0.0) < min(hatched)
        assert max(hatched) < order["set"]
        assert all(one.get_facecolor()[0][3] == 1.0 for one in fields(axes).values())


def test_every_contour_in_the_window_has_its_label_clear_of_the_others(figure):
    renderer = FigureCanvasAgg(figure).get_renderer()
    for axes in panels(figure):
        labels = [one for one in axes.texts if one.get_text().endswith((" mm", " h"))]
        assert any(one.get_text().endswith(" h") for one in labels)
        boxes = [one.get_window_extent(renderer) for one in labels]
        for number, box in enumerate(boxes):
            assert not any(box.overlaps(other) for other in boxes[:number]), labels[number].get_text()


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


def often(study, shares):
    """The study as if each pour within the other limits had passed in a share of the cases."""

    def judged(one):
        fixed = tuple(limit for limit in one.rejected if limit == "jar shock")
        passes = 0.0 if fixed else shares[one.pour]
        return replace(one, passes=passes, rejected=fixed or (("passes too seldom",) if passes < 0.8 else ()))

    choices = [replace(one, candidates=tuple(map(judged, one.candidates))) for one in study.choices]
    return replace(study, choices=tuple(choices), cases=20, share=0.8)


def test_what_passes_in_too_few_cases_is_hatched_up_to_the_share(study):
    figure = draw_pour_chart(often(study, {52.0: 0.1, 58.0: 0.6, 62.0: 0.95, 68.0: 0.95}))
    for axes in panels(figure):
        seldom = fields(axes)["passes too seldom"]
        # Straight from 60 % at 58 °C to 95 % at 62 °C: 80 % at 60.29 °C, whatever is too hot for the jar above.
        for room in (20.5, 23.0, 25.9):
            assert inside(seldom, room, 60.2)
            assert not inside(seldom, room, 60.4)
    text = " ".join(" ".join(one.get_text() for one in figure.findobj(Text)).split())
    assert "All are to be kept in at least 80 % of 20 cases (estimates)." in text


def test_in_a_narrow_window_no_label_covers_a_recommended_pour():
    bare = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    pours = {56.0: 0.1, 60.0: 0.3, 62.0: 0.85, 64.0: 0.95, 68.0: 1.0}
    with ThreadPoolExecutor(1) as executor:
        study = choose_pour(
            bare, rooms=["15 °C", "18 °C", "21 °C", "24 °C"], pours=[f"{one:g} °C" for one in pours], executor=executor
        )
    figure = draw_pour_chart(often(study, pours))
    renderer = FigureCanvasAgg(figure).get_renderer()
    figure.draw(renderer)
    for axes in panels(figure):
        marks = [one.get_window_extent(renderer) for one in axes.texts if one.get_text().endswith("°C")]
        assert marks
        for one in axes.texts:
            if one.get_text().endswith((" mm", " h")):
                assert not any(one.get_window_extent(renderer).overlaps(mark) for mark in marks), one.get_text()


@pytest.mark.parametrize("way", ["down", "up"])
def test_a_pour_at_the_edge_is_written_off_the_line_that_leads_to_it(study, monkeypatch, way):
    # The line goes from 62 °C to 58 °C, or the other way, at the right edge of each panel.
    chosen = dict(zip((12.0, 20.0, 26.0), {"down": (None, 62.0, 58.0), "up": (None, 58.0, 62.0)}[way], strict=True))

    def recommended(choice):
        return next((one for one in choice.candidates if one.pour == chosen[choice.room]), None)

    monkeypatch.setattr("coolsim.studies.pour.choose.PourChoice.recommended", property(recommended))
    for axes in panels(draw_pour_chart(study)):
        end = next(one for one in axes.texts if one.get_text() == f"{chosen[26.0]:.0f} °C")
        assert end.get_verticalalignment() == {"down": "top", "up": "bottom"}[way]


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
        for one in axes.collections:
            for red, green, blue, _ in (*one.get_facecolor(), *one.get_edgecolor()):
                assert red == green == blue


def test_a_tin_has_no_limit_for_shock_on_its_page(study):
    tin = with_overrides(study.stands["bare"], {"vessel.material": "tinned-steel"})
    page = {one.get_text() for one in draw_pour_chart(replace(study, bare=tin)).findobj(Text)}
    (notes,) = [text for text in page if "Limits:" in text]
    assert "no thermal shock" in notes
    assert "42 °C" not in notes


def test_the_same_study_gives_the_same_bytes_twice(study, figure, tmp_path):
    for kind in ("png", "svg", "pdf"):
        once = save_figure(figure, tmp_path / f"once.{kind}").read_bytes()
        assert save_figure(draw_pour_chart(study), tmp_path / f"again.{kind}").read_bytes() == once


def test_us_units_are_on_every_axis(study):
    for axes in panels(draw_pour_chart(study, units="us")):
        assert axes.get_xlabel() == "room temperature [°F]"
        # 12 °C and 26 °C are 53.6 °F and 78.8 °F.
        assert axes.get_xlim() == pytest.approx((53.6, 78.8))


def test_one_room_is_no_chart(study):
    one_room = replace(study, choices=tuple(one for one in study.choices if one.room == 20.0))
    with pytest.raises(OutputError, match="range of rooms"):
        draw_pour_chart(one_room)
