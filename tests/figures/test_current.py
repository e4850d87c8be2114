"""figures/ shows what the program draws today: every text, line, map and contour of the pair as it was looked at.

What a figure must show of any run is in `test_content.py` and `test_legends.py`.
"""

import json

import numpy as np
import pytest
from alike import alike

import figures
from figures import FOLDER, SHOWN

RENEW = "figures/ is not current: run `python tests/support/figures.py`"
# Times are shown in whole minutes.
ONE_MINUTE = 1.0
# What a result moves when the solver takes other steps, as with another numpy: less than 1 % of the axis.
OF_THE_AXIS = 0.01


@pytest.fixture(scope="module")
def shown():
    return json.loads(SHOWN.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def fresh():
    return figures.figures_of_pair()


def test_each_file_is_the_one_that_was_made(shown):
    here = {path.name: figures.digest(path) for path in FOLDER.iterdir() if path != SHOWN}
    assert here == shown["files"], RENEW


def test_every_figure_of_the_pair_is_there(shown, fresh):
    assert set(fresh) == set(shown["figures"]), RENEW
    assert {f"{name}.png" for name in fresh} < set(shown["files"]), RENEW


def test_texts_are_those_that_are_drawn_today(shown, fresh):
    for name, figure in fresh.items():
        old, new = shown["figures"][name]["texts"], figures.texts(figure)
        assert len(old) == len(new), f"{name}: {RENEW}"
        # Sorted texts whose numbers differ a little may change places: each must have one that is close.
        assert all(any(alike(one, other) for other in new) for one in old), f"{name}: {RENEW}"


def test_lines_run_where_they_run_today(shown, fresh):
    for name, figure in fresh.items():
        old, new = shown["figures"][name]["lines"], figures.whole_lines(figure)
        assert len(old) == len(new), f"{name}: {RENEW}"
        for points, line in zip(old, new, strict=True):
            size = np.maximum(np.ptp(points, axis=1), 1e-6)
            # A melt that only conducts better does so with a jump where it begins to circulate, and another rounding
            # moves the steps across it: 1.3 % with an older numpy.
            most = 2.0 * OF_THE_AXIS if name == "convection" else OF_THE_AXIS
            assert figures.off_the_line(points, line, size) <= most, f"{name}: {RENEW}"


def test_a_line_is_the_same_whatever_its_steps_but_not_if_it_runs_elsewhere_or_ends_early():
    def drawn(x):
        return x, 50.0 * np.exp(-x)

    points, size = drawn(np.linspace(0.0, 3.0, 12)), (3.0, 50.0)
    x = np.linspace(0.0, 3.0, 77) ** 2 / 3.0
    assert figures.off_the_line(points, drawn(x), size) < 0.002
    assert figures.off_the_line(points, (x, 1.0 + drawn(x)[1]), size) > OF_THE_AXIS
    assert figures.off_the_line(points, drawn(x[:-5]), size) > OF_THE_AXIS
    assert figures.off_the_line(points, drawn(x[9:]), size) > OF_THE_AXIS


def test_maps_and_their_contours_are_those_that_are_drawn_today(shown, fresh):
    assert shown["figures"]["temperature-maps"]["maps"]
    assert shown["figures"]["set-times"]["contours"]
    for name, figure in fresh.items():
        old, new = shown["figures"][name]["maps"], figures.maps(figure)
        assert len(old) == len(new), f"{name}: {RENEW}"
        for one, other in zip(old, new, strict=True):
            assert other == pytest.approx(one, abs=OF_THE_AXIS * (one[1] - one[0])), f"{name}: {RENEW}"
        old, new = shown["figures"][name]["contours"], figures.contours(figure)
        assert len(old) == len(new), f"{name}: {RENEW}"
        for one, other in zip(old, new, strict=True):
            # 0.7 mm is 1 % of the 71 mm that the wax is wide.
            assert other == pytest.approx(one, rel=OF_THE_AXIS, abs=0.7), f"{name}: {RENEW}"


def test_the_chart_rests_on_the_runs_of_today(shown):
    new = figures.pours_of_one_room()
    assert len(new) == len(shown["pours"])
    for (place, pour, minutes, depth, limits), one in zip(shown["pours"], new, strict=True):
        assert (one[0], one[1], one[4]) == (place, pour, limits), RENEW
        assert one[2] == pytest.approx(minutes, abs=ONE_MINUTE), RENEW
        # The chart shows tenths of a millimetre.
        assert one[3] == pytest.approx(depth, abs=0.05), RENEW


def test_the_bands_rest_on_the_cases_of_today(shown):
    for (minutes, depth), (new_minutes, new_depth) in zip(shown["cases"], figures.first_cases(), strict=True):
        assert new_minutes == pytest.approx(minutes, abs=ONE_MINUTE), RENEW
        assert new_depth == pytest.approx(depth, abs=0.05), RENEW


def test_the_film_shows_what_is_drawn_today(shown):
    for old, new in zip(figures.animation_made(), figures.animation_drawn(shown["film"]), strict=True):
        # Of 255 shades: a GIF rounds them, which changes a part by 0.7, and with the letters of matplotlib 3.8 by 1.2;
        # amid the film a room warmer by 2 K changes one by 5.3, and a pour hotter by 2 K by 3.5.
        np.testing.assert_allclose(new, old, atol=2.0, err_msg=RENEW)
