"""The answers under each model of the melt, as a figure."""

import pytest
from drawn_texts import beyond_the_page, overlaps, texts

from coolsim.report.figures.melt_models import draw_melt_models
from coolsim.report.figures.saving import save_figure
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.studies.checks.melt_models import melt_models

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}


@pytest.fixture(scope="module")
def found():
    return [(one.title, melt_models(with_overrides(one, COARSE))) for one in built_in_pair()]


@pytest.fixture(scope="module")
def figure(found):
    return draw_melt_models(found)


def test_axes_say_what_they_are_and_in_which_unit(found):
    us = draw_melt_models(found[:1], units="us")
    times, depths, curves = us.axes
    assert times.get_xlabel() == "time since the pour [h:mm]"
    assert depths.get_xlabel() == "depth [in]"
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
