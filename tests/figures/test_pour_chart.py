"""The page to pin to the wall: what is drawn is what the study found, it can be read, and in black and white."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from made_up import made_up_pours
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from coolsim.errors import OutputError
from coolsim.overview import hours_minutes
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


def wall(axes, name):
    """The line of a limit: rooms and pours."""
    (line,) = [one for one in axes.lines if one.get_gid() == f"{name} limit"]
    return line.get_data()


def texts(axes):
    return [" ".join(one.get_text().split()) for one in axes.texts]


def test_bare_and_boxed_stand_side_by_side_on_the_same_axes(figure):
    one, other = panels(figure)
    assert one.get_title() == PANELS[0]
    assert other.get_title() == PANELS[1]
    assert one.get_position().x1 < other.get_position().x0
    assert (one.get_xlim(), one.get_ylim()) == (other.get_xlim(), other.get_ylim())
    for axes in (one, other):
        assert (axes.get_xlabel(), axes.get_ylabel()) == ("room temperature [°C]", "pour temperature [°C]")


def test_the_limits_are_drawn_where_the_study_found_them(study, figure):
    for axes, place in zip(panels(figure), ("bare", "boxed"), strict=True):
        for choice in study.choices:
            if choice.place == place and choice.recommended is not None:
                assert np.interp(choice.room, *wall(axes, "low")) == pytest.approx(choice.low.pour)
                assert np.interp(choice.room, *wall(axes, "high")) == pytest.approx(choice.high.pour)
        hatched = {one.get_gid(): one for one in axes.collections if one.get_gid() in ("low", "high")}
        assert hatched["low"].get_hatch() != hatched["high"].get_hatch()
        # 42 K above the jar in every room, between those that were run as well.
        for room in (13.0, 16.0, 19.0, 21.0, 24.0):
            assert np.interp(room, *wall(axes, "high")) == pytest.approx(room + 42.0)
            (path,) = hatched["high"].get_paths()
            assert path.contains_point((room, room + 42.1))
            assert not path.contains_point((room, room + 41.9))


def test_each_limit_is_named_on_its_wall(figure):
    for axes in panels(figure):
        for told in ("glass may crack", "first skin stays"):
            assert texts(axes).count(told) == 1
        heights = {" ".join(one.get_text().split()): one.xy for one in axes.texts if hasattr(one, "xy")}
        room, pour = heights["glass may crack"]
        assert pour >= np.interp(room, *wall(axes, "high"))
        room, pour = heights["first skin stays"]
        assert pour <= np.interp(room, *wall(axes, "low"))


def test_the_band_holds_what_is_as_good_and_the_pour_to_take_stands_in_it(study, figure):
    for axes, place in zip(panels(figure), ("bare", "boxed"), strict=True):
        band = [path for one in axes.collections if one.get_gid() == "pour here" for path in one.get_paths()]
        assert band
        for choice in study.choices:
            if choice.place != place:
                continue
            for one in choice.candidates:
                assert any(path.contains_point((choice.room, one.pour)) for path in band) == (one in choice.as_good)
            if choice.recommended is not None:
                told = [one for one in axes.texts if one.get_text() == f"{choice.recommended.pour:.0f} °C"]
                assert (choice.room, choice.recommended.pour) in [one.get_position() for one in told]


def test_where_nothing_passes_it_says_so_once_for_rooms_beside_each_other(study, figure):
    for axes, place in zip(panels(figure), ("bare", "boxed"), strict=True):
        rooms = [choice.recommended is None for choice in study.choices if choice.place == place]
        # Cold rooms on the left, one after the other.
        assert rooms == sorted(rooms, reverse=True)
        assert texts(axes).count("none passes") == any(rooms)


def test_over_the_panel_stands_how_long_each_takes_to_set(study, figure):
    for axes, place in zip(panels(figure), ("bare", "boxed"), strict=True):
        (above,) = axes.child_axes
        best = [choice.recommended for choice in study.choices if choice.place == place]
        told = ["–" if one is None else hours_minutes(one.number("fully_set_s")) for one in best]
        assert [one.get_text() for one in above.get_xticklabels()] == told
        assert above.get_xlabel() == "fully set after [h:mm]"


def test_no_letters_of_a_panel_cover_others():
    for study in (made_up_pours(), made_up_pours().alone("boxed")):
        figure = draw_pour_chart(study)
        renderer = FigureCanvasAgg(figure).get_renderer()
        figure.draw(renderer)
        for axes in panels(figure):
            boxes = [one.get_window_extent(renderer) for one in axes.texts]
            for number, box in enumerate(boxes):
                assert not any(box.overlaps(other) for other in boxes[:number]), axes.texts[number].get_text()


def test_one_stand_fills_the_page_by_itself(study):
    alone = study.alone("boxed")
    assert alone.own == "boxed"
    figure = draw_pour_chart(alone)
    (axes,) = panels(figure)
    assert axes.get_title() == PANELS[1]
    assert axes.get_position().width > 0.8


def often(study, shares):
    """The study as if each pour within the other limits had passed in a share of the cases."""

    def judged(one):
        fixed = tuple(limit for limit in one.rejected if limit == "jar shock")
        passes = 0.0 if fixed else shares[one.pour]
        seldom = fixed or (("passes too seldom",) if passes < 0.8 else ())
        return replace(one, passes=passes, rejected=seldom, breaks=(("skin stays", 1.0 - passes),))

    choices = [replace(one, candidates=tuple(map(judged, one.candidates))) for one in study.choices]
    return replace(study, choices=tuple(choices), cases=20, share=0.8)


def test_what_passes_in_too_few_cases_is_beyond_a_limit_of_its_own(study):
    figure = draw_pour_chart(often(study, {52.0: 0.1, 58.0: 0.6, 62.0: 0.95, 68.0: 0.95}))
    for axes in panels(figure):
        # Midway between 58 °C and 62 °C.
        assert np.interp(23.0, *wall(axes, "low")) == pytest.approx(60.0)
        assert "passes in too few of the cases" in texts(axes)
    text = " ".join(" ".join(one.get_text() for one in figure.findobj(Text)).split())
    assert "It is to keep all limits in 80 % of 20 cases." in text.replace("\N{NO-BREAK SPACE}", " ")


def test_the_page_says_why_a_limit_is_one_and_what_the_pour_does_not_decide(figure):
    page = " ".join(" ".join(one.get_text().split()) for one in figure.findobj(Text)).replace("\N{NO-BREAK SPACE}", " ")
    for told in (
        "Glass may crack where wax is more than 42 °C hotter than it.",
        "A first skin that stays on the glass",
    ):
        assert told in page
    assert "hardly how deep the middle sinks" in page


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
    choices = [
        replace(one, known={limit: at for limit, at in one.known.items() if limit != "jar shock"})
        for one in study.choices
    ]
    figure = draw_pour_chart(replace(study, stands={"bare": tin, "boxed": tin}, choices=tuple(choices)))
    page = " ".join(" ".join(one.get_text().split()) for one in figure.findobj(Text))
    assert "Metal is safe from thermal shock." in page
    for told in ("42", "rack", "too hot"):
        assert told not in page
    for axes in panels(figure):
        assert [one.get_gid() for one in axes.lines if one.get_gid() == "high limit"] == []


def test_the_same_study_gives_the_same_bytes_twice(study, figure, tmp_path):
    for kind in ("png", "svg", "pdf"):
        once = save_figure(figure, tmp_path / f"once.{kind}").read_bytes()
        assert save_figure(draw_pour_chart(study), tmp_path / f"again.{kind}").read_bytes() == once


def test_us_units_are_on_every_axis(study):
    for axes in panels(draw_pour_chart(study, units="us")):
        assert axes.get_xlabel() == "room temperature [°F]"
        # 12 °C and 26 °C are 53.6 °F and 78.8 °F.
        assert axes.get_xticks() == pytest.approx([53.6, 68.0, 78.8])
        assert any(one.endswith(" °F") for one in texts(axes))


def test_one_room_is_no_chart(study):
    one_room = replace(study, choices=tuple(one for one in study.choices if one.room == 20.0))
    with pytest.raises(OutputError, match="range of rooms"):
        draw_pour_chart(one_room)
