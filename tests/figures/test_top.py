"""The figures of the top: what is drawn is what the run found, and to scale where it says so."""

import numpy as np
import pytest
from matplotlib.colors import to_hex

from coolsim.report.figure import save_figure
from coolsim.report.top import draw_top_profiles, draw_tops


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
        assert y.min() == pytest.approx(1e3 * top.level.min())
        assert y[-1] == pytest.approx(1e3 * (top.pour_level - top.rim_dip), abs=0.05)
        assert x == pytest.approx(-x[::-1])


def test_the_hatched_cavity_has_the_volume_that_was_found(pair):
    figure = draw_tops(pair)
    for axes, (_, result) in zip(panels(figure), pair, strict=True):
        patches = [patch for patch in axes.patches if patch.get_gid() == "cavity" and patch.get_x() >= 0.0]
        volume = sum(
            np.pi * ((one.get_x() + one.get_width()) ** 2 - one.get_x() ** 2) * one.get_height() for one in patches
        )
        # Shares below 2 % of a cell are left out.
        assert 1e-9 * volume == pytest.approx(result.shrinkage.cavity_volume, rel=0.03)


def test_the_stretched_profile_says_how_much(pair):
    figure = draw_top_profiles(pair)
    (axes,) = figure.axes
    stretch = axes.get_aspect()
    assert stretch > 1
    assert f"(stretched {stretch:g} times)" in axes.get_ylabel()
    styles = {(to_hex(line.get_color()), line.get_linestyle()) for line in axes.lines[:2]}
    assert len({style for _, style in styles}) == 2


@pytest.mark.parametrize("draw", [draw_tops, draw_top_profiles])
@pytest.mark.parametrize("suffix", ["png", "svg", "pdf"])
def test_the_same_figure_is_the_same_file(pair, tmp_path, draw, suffix):
    first, second = (save_figure(draw(pair), tmp_path / f"{name}.{suffix}").read_bytes() for name in "ab")
    assert first == second


def test_inches_are_drawn_for_a_workshop_that_uses_them(pair):
    (axes,) = draw_top_profiles(pair, units="us").figure.axes
    assert axes.get_xlabel() == "radius [in]"
