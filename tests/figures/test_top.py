"""The figures of the top: what is drawn is what the run found, and to scale where it says so."""

from dataclasses import replace

import numpy as np
import pytest
from made_up import hollowed
from matplotlib.colors import to_hex

from coolsim.report.figures.tops import draw_top_profiles, draw_tops


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


def test_the_hatched_cavity_has_the_volume_and_the_depth_that_were_found(pair):
    hollow = [(title, hollowed(result)) for title, result in pair]
    figure = draw_tops(hollow)
    assert "hidden cavity" in [text.get_text() for text in figure.legends[0].texts]
    for axes, (_, result) in zip(panels(figure), hollow, strict=True):
        told = " ".join(text.get_text().replace("\n", " ") for text in axes.texts)
        assert f"cavity 2.4 mL, {short(1e3 * result.shrinkage.cavity_roof)} mm under the top" in told
        (cavity,) = [patch for patch in axes.patches if patch.get_gid() == "cavity"]
        roof, edges, floor = cavity.get_data()
        half = len(roof) // 2
        roof, edges, floor = roof[half:], edges[half:], floor[half:]
        assert edges[0] == 0.0
        volume = np.nansum(np.pi * np.diff(edges**2) * (roof - floor))
        top = result.shrinkage
        # Pieces thinner than 0.1 mm are left out.
        assert 1e-9 * volume == pytest.approx(top.cavity_volume, rel=0.02)
        middles = 0.5 * (edges[1:] + edges[:-1])
        depth = np.interp(middles, 1e3 * top.r, 1e3 * top.level) - roof
        # A cell is 0.7 mm to 1.5 mm high on this grid, and a trace in one of them may not be drawn.
        assert np.nanmin(depth) == pytest.approx(1e3 * top.cavity_roof, abs=1.5)
        assert cavity.get_hatch()


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


def test_numbers_stand_beside_the_picture(pair):
    for axes, (_, result) in zip(panels(draw_tops(pair)), pair, strict=True):
        told = " ".join(text.get_text().replace("\n", " ") for text in axes.texts)
        top = result.shrinkage
        assert f"rim {short(1e3 * top.rim_dip)} mm lower" in told
        assert f"half-way {short(1e3 * top.half_dip)} mm lower" in told
        assert f"middle {short(1e3 * top.centre_dip)} mm lower" in told
        assert "poured to here" in told


def test_a_run_that_was_cut_off_is_not_taken_for_set(odd):
    (axes,) = panels(draw_tops(odd[3:]))
    told = " ".join(text.get_text().replace("\n", " ") for text in axes.texts)
    assert "not set when the run ended at 1:00 h" in told
    assert "lower" not in told
    assert "(not set at 1:00 h)" in draw_top_profiles(odd[3:]).legends[0].texts[0].get_text()


def test_a_tin_is_called_metal_and_wax_without_a_jar_has_neither(odd):
    def legend(run):
        return [text.get_text() for text in draw_tops([run]).legends[0].texts]

    assert "metal" in legend(odd[0])
    assert legend(odd[2]) == ["wax"]


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
