"""The bars of the solid front: filled from the glass to the middle, with the times at which the wax had set."""

import numpy as np
import pytest
from drawn_texts import overlaps
from matplotlib.collections import QuadMesh

from coolsim.report.figures.fronts import draw_fronts, set_inwards
from coolsim.report.wording import hours_minutes

QUARTERS = (0.0, 25.0, 50.0, 75.0, 100.0)


def told(figure):
    return [text.get_text() for text in figure.axes[0].texts]


def test_the_way_inwards_ends_when_the_jar_is_fully_set_and_never_goes_back(pair):
    for _, result in pair:
        way, time = set_inwards(result)
        assert (way[0], way[-1]) == (0.0, 100.0)
        assert (np.diff(time) >= 0.0).all()
        assert time[-1] == result.events.fully_set
        # Half-way in, all cells further out have set and one of them just has.
        outer = result.set_time()[:, result.wax.r >= 0.5 * result.wax.r_edges[-1]]
        assert time[way <= 50.0].max() == outer.max()


def test_each_quarter_of_a_bar_is_lined_and_has_its_time(pair):
    figure = draw_fronts(pair)
    lines = [line for line in figure.axes[0].lines if line.get_gid() == "quarter"]
    for number, (title, result) in enumerate(pair):
        way, time = set_inwards(result)
        mine = lines[number * len(QUARTERS) : (number + 1) * len(QUARTERS)]
        assert [line.get_xdata()[0] for line in mine] == list(QUARTERS)
        texts = [text for text in figure.axes[0].texts if text.get_position()[1] == mine[0].get_ydata()[1] + 0.01]
        for quarter, text in zip(QUARTERS, texts, strict=True):
            clock = f"{hours_minutes(np.interp(quarter, way, time))} h"
            assert text.get_text() == (f"fully set {clock}" if quarter == 100.0 else clock)
            assert text.get_position()[0] == quarter
        assert title in told(figure)
    assert "glass to middle: 35.5 mm" in told(figure)


def test_a_bar_is_filled_with_the_times_of_its_run_on_one_scale(pair):
    figure = draw_fronts(pair)
    meshes = figure.axes[0].findobj(QuadMesh)
    latest = max(result.events.fully_set for _, result in pair)
    for mesh, (_, result) in zip(meshes, pair, strict=True):
        way, time = set_inwards(result)
        hours = np.asarray(mesh.get_array()).ravel()
        x = (np.arange(len(hours)) + 0.5) * 100.0 / len(hours)
        assert hours == pytest.approx(np.interp(x, way, time) / 3600.0)
        assert (mesh.norm.vmin, mesh.norm.vmax) == (0.0, pytest.approx(latest / 3600.0))


def test_times_are_those_of_the_clock_if_the_pour_has_one(pair):
    figure = draw_fronts(pair, poured=[16.5 * 3600.0, None])
    fully = pair[0][1].events.fully_set
    hour, minute = divmod(round((16.5 * 3600.0 + fully) / 60.0), 60)
    assert f"fully set {hour}:{minute:02d}\n{hours_minutes(fully)} h" in told(figure)
    assert f"fully set {hours_minutes(pair[1][1].events.fully_set)} h" in told(figure)
    # The longest that there is: after midnight, with am and pm.
    assert overlaps(draw_fronts(pair, poured=[84600.0] * 2, units="us")) == []


def test_what_was_still_soft_is_hatched_and_called_so(odd):
    figure = draw_fronts(odd[3:])
    assert "not set when the run ended at 1:00 h" in told(figure)
    (soft,) = [patch for patch in figure.axes[0].patches if patch.get_gid() == "soft"]
    way, time = set_inwards(odd[3][1])
    assert soft.get_x() == pytest.approx(way[np.isfinite(time)].max())
    assert soft.get_x() + soft.get_width() == pytest.approx(100.0)
    assert soft.get_hatch()


def test_wax_without_a_jar_is_named_by_its_outside(odd):
    assert draw_fronts(odd[2:3]).axes[0].get_xlabel() == "way from the outside to the middle [%]"
    assert "metal to middle: 1 1/4 in" in told(draw_fronts(odd[:1], units="us"))
