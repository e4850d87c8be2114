"""Hot air on a set top as a figure."""

from dataclasses import replace

import numpy as np
import pytest
from drawn_texts import beyond_the_page, overlaps

from coolsim.report.figures.repair import draw_repair
from coolsim.report.figures.saving import save_figure
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.repair.repair import over_films, repair

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE = with_overrides(built_in_pair()[0], COARSE)


@pytest.fixture(scope="module")
def found():
    return repair(BARE)


@pytest.fixture(scope="module")
def figure(found):
    return draw_repair(found, title="Tumbler")


def levels(axes):
    """Heights of the lines that run across."""
    return [line.get_ydata()[0] for line in axes.get_lines() if np.ptp(line.get_ydata()) == 0.0]


def test_depths_are_drawn_with_the_dish_and_the_roof_of_the_cavity(found, figure):
    axes = figure.axes[0]
    assert levels(axes) == pytest.approx([1e3 * found.levels_from])
    assert not any("roof" in text.get_text() for text in axes.texts)
    hollow = replace(found, goals=("level", "open"), opened=40.0, before=replace(found.before, cavity_roof=2.8e-3))
    axes = draw_repair(hollow, title="Hollow").axes[0]
    assert levels(axes) == pytest.approx([1e3 * found.levels_from, 2.8])
    assert any(text.get_text().startswith("roof of the cavity: 2.8 mm") for text in axes.texts)
    axes = figure.axes[0]
    assert axes.get_xlabel() == "hot air blown for [s]"
    assert axes.get_ylabel() == "melted depth [mm]"


def test_temperatures_are_those_of_surface_and_rim_with_their_limits(found, figure):
    axes = figure.axes[1]
    assert levels(axes) == [51.0]
    limited = repair(with_overrides(BARE, {"batch.flash_point": "90 °C"}))
    axes = draw_repair(limited, title="Limited", units="us").axes[1]
    # 51 °C and 90 - 10 °C.
    assert levels(axes) == pytest.approx([123.8, 176.0])
    assert axes.get_ylabel() == "temperature [°F]"


def test_the_smallest_time_stands_in_both_panels(found, figure):
    for axes in figure.axes[:2]:
        upright = [line.get_xdata()[0] for line in axes.get_lines() if len(set(line.get_xdata())) == 1]
        assert upright == [found.needed]
        assert axes.get_xlim()[1] > found.needed


def test_nothing_overlaps_or_leaves_the_page(figure):
    assert beyond_the_page(figure) == []
    assert overlaps(figure) == []


def test_a_figure_is_the_same_bytes_twice(found, tmp_path):
    first, second = (save_figure(draw_repair(found, title="Tumbler"), tmp_path / name) for name in ("a.png", "b.png"))
    assert first.read_bytes() == second.read_bytes()


def test_the_band_lies_between_the_weakest_and_the_strongest_jet(found):
    films = over_films(found, simulate(BARE.jar))
    axes = draw_repair(found, title="Tumbler", films=films).axes[0]
    (band,) = axes.collections
    for film, edge in zip(films, (min, max), strict=True):
        depth = 1e3 * np.interp(60.0, film.seconds, film.depth_in_middle)
        near = [y for x, y in band.get_paths()[0].vertices if abs(x - 60.0) < 1.0]
        # 0.1 mm: the depth of 2 s.
        assert edge(near) == pytest.approx(depth, abs=0.1)
    assert "film 60 to 120 W/m2K" in [text.get_text() for text in axes.get_legend().texts]
