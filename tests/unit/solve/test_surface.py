"""When places of the surface lock, from the columns to the places between and beyond."""

import numpy as np
import pytest

from coolsim.model.freezing import enthalpy_table
from coolsim.model.materials import catalogue_wax
from coolsim.solve.surface import locking_time
from coolsim.solve.wax_body import WaxBody

RADIUS = 0.03


def body(columns):
    edges = np.linspace(0.0, RADIUS, columns + 1)
    return WaxBody(
        cells=np.arange(columns).reshape(1, columns),
        r=0.5 * (edges[1:] + edges[:-1]),
        z=np.array([0.5e-3]),
        r_edges=edges,
        z_edges=np.array([0.0, 1e-3]),
        bottom=0.0,
        volume=np.ones((1, columns)),
        table=enthalpy_table(catalogue_wax("paraffin")),
    )


@pytest.mark.parametrize("columns", [2, 6, 40])
def test_times_that_are_straight_in_the_square_of_the_radius_are_met_everywhere(columns):
    wax = body(columns)
    places = np.array([wax.r[0], 0.5 * (wax.r[-2] + wax.r[-1]), RADIUS, 0.2 * RADIUS if columns > 20 else wax.r[0]])
    found = locking_time(wax, 7200.0 - 4e6 * wax.r**2, places)
    assert found == pytest.approx(7200.0 - 4e6 * places**2, rel=1e-12)


def test_round_the_axis_the_time_is_a_parabola_in_the_square_of_the_radius():
    wax = body(40)
    squares = (wax.r / RADIUS) ** 2
    places = np.array([0.0, 0.1, 0.3]) * RADIUS
    found = locking_time(wax, 7200.0 - 3000.0 * squares - 900.0 * squares**2, places)
    squares = (places / RADIUS) ** 2
    assert found == pytest.approx(7200.0 - 3000.0 * squares - 900.0 * squares**2, rel=1e-9)


def test_where_a_column_never_locks_each_place_has_the_time_of_the_nearest():
    wax = body(4)
    found = locking_time(wax, np.array([np.nan, 900.0, 600.0, 300.0]), np.array([0.0, wax.r[1], RADIUS]))
    assert found.tolist() == [np.inf, 900.0, 300.0]


def test_one_column_is_one_time_and_no_place_locks_before_the_pour():
    assert locking_time(body(1), np.array([500.0]), np.array([0.0, RADIUS])).tolist() == [500.0, 500.0]
    # Straight on to the wall it would be below zero.
    assert locking_time(body(2), np.array([900.0, 1.0]), np.array([RADIUS])).tolist() == [0.0]
