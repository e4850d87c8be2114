"""A box of many jars: exchange between neighbours against a closed form, and what every workshop knows."""

import functools

import numpy as np
import pytest
from held import held

from coolsim.scenario import load_scenario, with_overrides
from coolsim.solve.together import simulate_box
from coolsim.studies.verify.small_bodies import SHARED_AIR

HOURS = 3600.0
NO_TOWEL = {"surround__cover_thickness": None, "surround__cover_conductivity": None}


def test_bodies_that_share_nodes_follow_the_matrix_exponential():
    held(SHARED_AIR)


@functools.cache
def run(name, **changes):
    coarse = {"run.refinement": 0.5, "run.tolerance": "1 K"}
    changes = {key.replace("__", "."): value for key, value in changes.items()}
    return simulate_box(with_overrides(load_scenario(f"scenarios/{name}.toml"), coarse | changes).jar)


def hottest_after(found, hours):
    return [float(np.interp(hours * HOURS, one.time, one.hottest_wax())) for one in found.results]


def test_after_a_night_jars_in_a_box_are_cold():
    # Common practice, no source. Six jars without the towel: within 5 K of the room after 15 h. The last tenth of the
    # heat of a fat comes out below 24 °C, so it is slow to get nearer.
    assert max(hottest_after(run("box-2x3", **NO_TOWEL), 15)) < 26
    # Of eleven jars in a closed box those inside are still hand-warm after 14 h (18:00 to 8:00): 28 °C. Eleven jars
    # hold 486 kJ, and the walls of the box per jar are two thirds of those round six. All tops have sunk for good, and
    # all wax is within 6 K of the room after 16 h.
    found = run("box-3x4")
    assert all(result.events.top_final < 14 * HOURS for result in found.results)
    assert max(hottest_after(found, 14)) < 31.0
    assert max(hottest_after(found, 16)) < 27.0


@pytest.mark.parametrize("event", ["rim_set", "top_closed", "fully_set", "solid_throughout", "cool"])
def test_jars_in_the_middle_are_later_than_those_in_the_corners(event):
    # Common practice, no source: one sees it without a clock that counts minutes.
    for found in (run("box-2x3"), run("box-3x4")):
        times = [getattr(result.events, event) for result in found.results]
        assert times[-1] > 1.05 * times[0]


def test_closing_the_flaps_keeps_tops_open_longer_than_a_second_layer_of_board_at_the_side():
    """Common practice, no source, as to the time. The shape hardly changes: the middle is as deep within 0.3 mm."""
    opened = run("box-2x3", surround__flaps="open", **NO_TOWEL)
    closed = run("box-2x3", **NO_TOWEL)
    layers = run("box-2x3", surround__flaps="open", surround__side_layers=2, **NO_TOWEL)
    for before, flaps, board in zip(opened.results, closed.results, layers.results, strict=True):
        later = [one.events.top_closed - before.events.top_closed for one in (flaps, board)]
        assert later[0] > 0.5 * HOURS > 0.1 * HOURS > later[1]
        for one in (flaps, board):
            assert one.shrinkage.depth == pytest.approx(before.shrinkage.depth, abs=0.3e-3)


def test_dividers_make_the_jars_more_unequal():
    # Board between neighbours keeps heat where it is: the corner is earlier and the middle later than without.
    bare, divided = run("box-3x4", places__empty=None), run("box-3x4", places__empty=None, places__dividers=True)
    first, last = (lambda found: found.results[0]), (lambda found: found.results[-1])
    assert first(divided).events.fully_set < first(bare).events.fully_set
    assert last(divided).events.fully_set > last(bare).events.fully_set


def test_a_jar_beside_an_empty_place_is_earlier():
    full, missing = run("box-3x4", places__empty=None), run("box-3x4")
    # All are, since there is less wax to cool; its neighbours most.
    gained = {
        place: full.at(place).events.fully_set - missing.at(place).events.fully_set
        for place in full.places
        if place != (1, 4)
    }
    assert min(gained.values()) > 0.0
    assert set(sorted(gained, key=gained.get)[-2:]) == {(1, 3), (2, 4)}
