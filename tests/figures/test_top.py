"""The figures of the top: what is drawn is what the run found, and to scale where it says so."""

from dataclasses import replace

import numpy as np
import pytest
from made_up import hollowed
from matplotlib.colors import to_hex

from coolsim.report.figures.tops import draw_top_profiles, draw_tops
from coolsim.report.wording import top_text


def panels(figure):
    return [axes for axes in figure.axes if axes.get_title()]


def test_the_section_is_to_scale_and_shows_the_surface_that_was_found(pair):
    figure = draw_tops(pair)
    assert len(panels(figure)) == 2
    for axes, (title, result) in zip(panels(figure), pair, strict=True):
        assert axes.get_title().replace("\n", " ") == title
        assert axes.get_aspect() == 1.0
        assert axes.get_xlabel() == "radius [mm]"
        (line,) = [line for line in axes.lines if line.get_gid() == "top"]
        x, y = line.get_xdata(), line.get_ydata()
        top = result.shrinkage
        # Drawn on to the axis, a few tenths below the innermost column.
        assert 1e3 * top.level.min() - 0.5 < y.min() <= 1e3 * top.level.min()
        inner = (1e3 * top.r, 1e3 * top.level)
        assert np.interp(inner[0], x, y) == pytest.approx(inner[1])
        assert y[-1] == pytest.approx(1e3 * (top.pour_level - top.rim_dip), abs=0.05)
        assert x == pytest.approx(-x[::-1])


def test_the_hatched_cavity_is_one_smooth_outline_with_the_volume_and_the_roof_that_were_found(pair):
    hollow = [(title, hollowed(result)) for title, result in pair]
    figure = draw_tops(hollow)
    assert "hidden cavity" in [text.get_text() for text in figure.legends[0].texts]
    for axes, (_, result) in zip(panels(figure), hollow, strict=True):
        told = " ".join(text.get_text().replace("\n", " ") for text in axes.texts)
        top = result.shrinkage
        assert f"cavity 2.4 mL, {short(1e3 * top.cavity_roof)} mm under the top" in told
        (cavity,) = [patch for patch in axes.patches if patch.get_gid() == "cavity"]
        assert cavity.get_closed()
        assert cavity.get_hatch()
        x, z = 1e-3 * cavity.get_xy().T
        # Pappus, over the right half: area times the way of its middle round the axis.
        volume = 0.5 * abs(np.sum(np.pi * np.abs(0.5 * (x[1:] + x[:-1])) * 2.0 * z[1:] * np.diff(x)))
        assert volume == pytest.approx(top.cavity_volume, rel=0.01)
        (line,) = [line for line in axes.lines if line.get_gid() == "top"]
        over = np.interp(1e3 * x, line.get_xdata(), line.get_ydata()) - 1e3 * z
        assert over.min() == pytest.approx(1e3 * top.cavity_roof)
        # No corner: with some 160 sides, none turns by more than 60° at the round ends or by 15° elsewhere.
        sides = np.diff(np.column_stack([x, z]), axis=0)
        sides = sides[np.hypot(*sides.T) > 1e-9]
        turns = np.abs(np.angle(np.exp(1j * np.diff(np.unwrap(np.arctan2(sides[:, 1], sides[:, 0]))))))
        assert turns.max() < np.radians(60.0)
        assert np.sort(turns)[-6] < np.radians(15.0)
        # The arrow that the number belongs to is as long as it says.
        (arrow,) = [text for text in axes.texts if text.get_gid() == "roof"]
        assert abs(arrow.xy[1] - arrow.xyann[1]) == pytest.approx(1e3 * top.cavity_roof, abs=0.3)


def test_a_cavity_that_is_none_to_speak_of_is_not_drawn(pair):
    figure = draw_tops([(title, hollowed(result, volume=0.4e-6)) for title, result in pair])
    assert "hidden cavity" not in [text.get_text() for text in figure.legends[0].texts]
    for axes in panels(figure):
        assert not any(patch.get_gid() == "cavity" for patch in axes.patches)
        assert not any("cavity" in text.get_text() for text in axes.texts)


def test_glass_is_drawn_as_thick_as_it_is(pair):
    axes = panels(draw_tops(pair))[0]
    boxes = [patch.get_bbox() for patch in axes.patches if patch.get_gid() == "glass"]
    wax = pair[0][1].required_wax()
    # The built-in tumbler: 78 mm across with a wall of 3.5 mm, 86 mm high with a base of 8 mm.
    assert max(box.x1 for box in boxes) == pytest.approx(1e3 * wax.r_edges[-1] + 3.5) == pytest.approx(39.0)
    assert (min(box.y0 for box in boxes), max(box.y1 for box in boxes)) == pytest.approx((-8.0, 78.0))


def short(value):
    """One decimal, as far as it says something."""
    return f"{value:.1f}".removesuffix(".0")


def test_dimensions_stand_beside_the_picture_and_start_from_the_levels_that_they_name(pair):
    for axes, (_, result) in zip(panels(draw_tops(pair)), pair, strict=True):
        told = [text.get_text() for text in axes.texts]
        top = result.shrinkage
        for name in (
            "poured to here",
            f"rim dip {short(1e3 * top.rim_dip)} mm",
            f"dish {short(1e3 * top.dish)} mm",
            f"hole {short(1e3 * top.hole)} mm",
        ):
            assert name in told
        starts = [(line.get_xdata()[0], line.get_ydata()[0]) for line in axes.lines if line.get_gid() == "level"]
        dips = [(35.5, 0.0), (35.5, top.rim_dip), (17.75, top.half_dip), (0.0, top.centre_dip)]
        for start, (r, dip) in zip(starts, dips, strict=True):
            assert start == pytest.approx((r, 1e3 * (top.pour_level - dip)))
        # Three arrows, one between each two levels.
        arrows = [text for text in axes.texts if text.arrow_patch and "<|-|>" in str(text.arrowprops["arrowstyle"])]
        assert len(arrows) == 3


def test_the_caption_says_what_the_top_is_with_its_band(pair):
    for axes, (_, result) in zip(panels(draw_tops(pair)), pair, strict=True):
        word, _, depth = top_text(result, "metric").partition(", ")
        assert f"{word}\nmiddle below the rim: {depth}" in [text.get_text() for text in axes.texts]


def test_both_axes_are_rulers_of_the_workshop(pair):
    for units, small in (("metric", 1.0), ("us", 0.0625)):
        axes = panels(draw_tops(pair, units=units))[0]
        marks = [one for one in axes.get_children() if one.get_gid() == "ruler"]
        for axis, places in zip((axes.xaxis, axes.yaxis), (marks[0].get_xdata(), marks[1].get_ydata()), strict=True):
            assert np.diff(places) == pytest.approx(small)
            # The numbers stand at marks, and these go from end to end.
            shown = [one for one in axis.get_majorticklocs() if places[0] <= one <= places[-1]]
            assert len(shown) > 2
            assert np.abs(np.subtract.outer(shown, places)).min(axis=1) == pytest.approx(0.0, abs=1e-9)
            assert np.abs(places[[0, -1]] - axis.get_view_interval()).max() < small


def test_a_wick_stands_on_the_bottom_and_out_of_the_wax(pair):
    axes = panels(draw_tops(pair))[0]
    boxes = [patch.get_bbox() for patch in axes.patches if patch.get_gid() == "wick"]
    assert min(box.y0 for box in boxes) == 0.0
    assert max(box.y1 for box in boxes) > 1e3 * pair[0][1].shrinkage.pour_level


def test_a_run_that_was_cut_off_is_not_taken_for_set(odd):
    (axes,) = panels(draw_tops(odd[3:]))
    told = " ".join(text.get_text().replace("\n", " ") for text in axes.texts)
    assert "not set when the run ended at 1:00 h" in told
    assert "rim dip" not in told
    assert "(not set at 1:00 h)" in draw_top_profiles(odd[3:]).legends[0].texts[0].get_text()


def test_a_tin_is_called_metal_and_wax_without_a_jar_has_neither(odd):
    def legend(run):
        return [text.get_text() for text in draw_tops([run]).legends[0].texts]

    assert "metal" in legend(odd[0])
    assert legend(odd[2]) == ["wax", "wick (not computed)"]


def test_the_stretched_profile_says_how_much(pair):
    figure = draw_top_profiles(pair)
    (axes,) = figure.axes
    stretch = axes.get_aspect()
    assert stretch > 1
    assert axes.get_ylabel() == "level against the pour [mm]"
    assert [text.get_text() for text in axes.texts] == [f"vertical scale stretched {stretch:g} times", "poured to here"]
    lines = [line for line in axes.lines if line.get_gid() == "top"]
    styles = {(to_hex(line.get_color()), line.get_linestyle()) for line in lines}
    assert len({style for _, style in styles}) == len(lines) == 2


def test_the_middle_that_the_tables_mean_is_marked_in_the_profile(pair):
    (axes,) = draw_top_profiles(pair).axes
    bars = [line for line in axes.lines if line.get_gid() == "middle"]
    for bar, (_, result) in zip(bars, pair, strict=True):
        assert bar.get_xdata() == pytest.approx([-5.0, 5.0])
        assert bar.get_ydata() == pytest.approx([-1e3 * result.shrinkage.centre_dip] * 2)


def test_a_top_without_wax_is_refused_by_name(pair):
    title, result = pair[0]
    with pytest.raises(ValueError, match=f"'{title}' holds no wax"):
        draw_tops([(title, replace(result, wax=None))])


def test_inches_are_drawn_for_a_workshop_that_uses_them(pair):
    (axes,) = draw_top_profiles(pair, units="us").figure.axes
    assert axes.get_xlabel() == "radius [in]"
