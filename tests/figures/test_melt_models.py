"""The answers under each model of the melt, as a figure."""

import pytest
from drawn_texts import beyond_the_page, overlaps, texts

from coolsim.report.figures.melt_models import draw_melt_models
from coolsim.report.figures.saving import save_figure
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.studies.checks.melt_models import MODELS, melt_models

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}


@pytest.fixture(scope="module")
def found():
    return [(one.title, melt_models(with_overrides(one, COARSE))) for one in built_in_pair()]


@pytest.fixture(scope="module")
def figure(found):
    return draw_melt_models(found)


def by_name(axes):
    return {line.get_gid(): line for line in axes.get_lines()}


def test_dots_stand_at_the_answers_with_their_differences(found, figure):
    for (_, one), times, volumes in zip(found, figure.axes[0::3], figure.axes[1::3], strict=True):
        for axes, name, unit in ((times, "top_closed_s", 3600.0), (volumes, "cavity_volume_m3", 1e-6)):
            for model in MODELS:
                (x,) = by_name(axes)[f"{name}-{model}"].get_xdata()
                assert x == pytest.approx(one.value(name, model) / unit)
            off = f"({100 * one.difference(name, 'effective'):+.0f} %)"
            assert any(off in text.get_text() for text in axes.texts)


def test_curves_are_those_of_the_axis_near_the_top(found, figure):
    for (_, one), axes in zip(found, figure.axes[2::3], strict=True):
        for model, result in zip(MODELS, one.results, strict=True):
            line = by_name(axes)[f"axis-{model}"]
            depth = result.wax.z_edges[-1] - 5e-3
            assert line.get_ydata() == pytest.approx(result.temperature_at(0.0, depth), abs=1e-6)
        assert axes.get_title(loc="left") == "Axis, 5 mm under the surface"


def test_axes_say_what_they_are_and_in_which_unit(found):
    us = draw_melt_models(found[:1], units="us")
    times, volumes, curves = us.axes
    assert times.get_xlabel() == "time since the pour [h:mm]"
    assert volumes.get_xlabel() == "volume [fl oz]"
    assert curves.get_ylabel() == "temperature [°F]"
    written = [text.get_text() for text, _ in texts(us)]
    assert {"stratified melt", "effective conductivity, 10 ×", "no mixing: pure conduction"} <= set(written)


def test_every_text_can_be_read(figure):
    assert not overlaps(figure)
    assert not beyond_the_page(figure)


def test_equal_figures_are_equal_files(found, figure, tmp_path):
    one = save_figure(figure, tmp_path / "one.svg").read_bytes()
    assert save_figure(draw_melt_models(found), tmp_path / "other.svg").read_bytes() == one


def test_nothing_to_draw_is_refused():
    with pytest.raises(ValueError, match="no jar"):
        draw_melt_models([])
