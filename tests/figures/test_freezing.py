"""How much of a wax is liquid against temperature, as a figure."""

import numpy as np
import pytest
from drawn_texts import beyond_the_page, overlaps, texts

from coolsim.model.freezing import on_heating
from coolsim.model.materials import catalogue_wax, wax_names
from coolsim.report.figures.freezing import MOST_WAXES, draw_freezing
from coolsim.report.figures.saving import save_figure

SOFT = catalogue_wax("soft-vegetable")
SEVERAL = [catalogue_wax(name) for name in wax_names() if name != "water"][:MOST_WAXES]


def curve_of(figure, name):
    """Temperatures and liquid shares of a line by its name."""
    (line,) = [line for line in figure.axes[0].get_lines() if line.get_gid() == name]
    return line.get_xdata(), line.get_ydata()


@pytest.mark.parametrize(("units", "scale", "offset"), [("metric", 1.0, 0.0), ("us", 1.8, 32.0)])
def test_both_curves_are_those_of_the_wax(units, scale, offset):
    figure = draw_freezing([SOFT], units=units)
    for kind, wax in (("cooling", SOFT), ("heating", on_heating(SOFT))):
        temperature, liquid = curve_of(figure, f"{kind} soft-vegetable")
        found = np.interp([scale * at + offset for at, _ in wax.freezing], temperature, liquid)
        # 1e-9 %: the way through the other unit.
        assert found == pytest.approx([100.0 * share for _, share in wax.freezing], abs=1e-9)


def test_axes_say_what_they_are_and_a_wax_alone_has_its_three_temperatures():
    figure = draw_freezing([SOFT], units="us")
    assert figure.axes[0].get_xlabel() == "temperature [°F]"
    assert figure.axes[0].get_ylabel() == "liquid [%]"
    written = {text.get_text() for text, _ in texts(figure)}
    assert {"freezing starts, 115.7 °F", "90 % is solid, 73.9 °F", "clear, 127.0 °F", "68 °F: 5 % liquid"} <= written
    assert {"cooling", "heating"} <= written


def test_several_waxes_are_told_apart_by_colour_and_sign():
    figure = draw_freezing(SEVERAL)
    (legend,) = figure.legends
    looks = {
        text.get_text(): (line.get_color(), line.get_marker())
        for text, line in zip(legend.get_texts(), legend.get_lines(), strict=True)
    }
    assert {wax.name for wax in SEVERAL} < set(looks)
    assert len(set(looks.values())) == len(SEVERAL) + 1
    lines = figure.axes[0].get_lines()
    for wax in SEVERAL:
        colour, sign = looks[wax.name]
        (line,) = [line for line in lines if line.get_gid() == f"cooling {wax.name}"]
        assert line.get_color() == colour
        signs = [line for line in lines if (line.get_color(), line.get_marker()) == (colour, sign)]
        # One set of signs on each of its curves.
        assert len(signs) == 2
        assert np.interp(signs[0].get_xdata(), *np.array(wax.freezing).T) * 100.0 == pytest.approx(
            signs[0].get_ydata(), abs=1e-9
        )


@pytest.mark.parametrize("waxes", [[SOFT], [catalogue_wax("paraffin")], SEVERAL], ids=["soft", "paraffin", "several"])
def test_every_text_can_be_read(waxes):
    figure = draw_freezing(waxes)
    assert not overlaps(figure)
    assert not beyond_the_page(figure)


def test_equal_figures_are_equal_files(tmp_path):
    one, other = (save_figure(draw_freezing([SOFT]), tmp_path / name).read_bytes() for name in ("a.svg", "b.svg"))
    assert one == other


@pytest.mark.parametrize("count", [0, MOST_WAXES + 1])
def test_nothing_to_draw_and_too_much_are_refused(count):
    with pytest.raises(ValueError, match=f"draw 1 to {MOST_WAXES} waxes, not {count}"):
        draw_freezing([SOFT] * count)
