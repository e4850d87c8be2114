"""figures/ shows what the program draws today."""

import json

import numpy as np
import pytest
from alike import alike

import figures
from figures import FOLDER, SHOWN

RENEW = "figures/ is not current: run `python tests/support/figures.py`"
# Times are shown in whole minutes.
ONE_MINUTE = 1.0
# Points of a line are kept by step, and a step may come a little earlier on another machine: 1 % of the axis.
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
        old, new = shown["figures"][name]["lines"], figures.lines(figure)
        assert len(old) == len(new), f"{name}: {RENEW}"
        for (x, y), (x_new, y_new) in zip(old, new, strict=True):
            width, height = (max(float(np.ptp(values)), 1e-6) for values in (x, y))
            assert x_new == pytest.approx(x, abs=OF_THE_AXIS * width), f"{name}: {RENEW}"
            assert y_new == pytest.approx(y, abs=OF_THE_AXIS * height), f"{name}: {RENEW}"


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
    for (place, pour, minutes, flatness, limits), one in zip(shown["pours"], new, strict=True):
        assert (one[0], one[1], one[4]) == (place, pour, limits), RENEW
        assert one[2] == pytest.approx(minutes, abs=ONE_MINUTE), RENEW
        # The chart shows tenths of a millimetre.
        assert one[3] == pytest.approx(flatness, abs=0.05), RENEW


def test_the_bands_rest_on_the_cases_of_today(shown):
    for (minutes, flatness), (new_minutes, new_flatness) in zip(shown["cases"], figures.first_cases(), strict=True):
        assert new_minutes == pytest.approx(minutes, abs=ONE_MINUTE), RENEW
        assert new_flatness == pytest.approx(flatness, abs=0.05), RENEW


def test_the_animation_begins_and_ends_as_it_is_drawn_today():
    for old, new in zip(figures.animation_made(), figures.animation_drawn(), strict=True):
        # Of 255 shades: the large letters of the clock, a pixel aside, change a part by 2; 1 K changes the wax by 5.
        np.testing.assert_allclose(new, old, atol=4.0, err_msg=RENEW)
