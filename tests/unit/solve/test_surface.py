"""Places of the surface, from the columns to those between and beyond."""

import numpy as np
import pytest

from coolsim.model.freezing import enthalpy_table
from coolsim.model.materials import catalogue_wax
from coolsim.solve.surface import at_radius, mean_within
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
@pytest.mark.parametrize("share", [0.0, 0.2, 0.5, 0.97, 1.0])
def test_times_that_are_straight_in_the_square_of_the_radius_are_met_everywhere(columns, share):
    wax = body(columns)
    found = at_radius(wax, 7200.0 - 4e6 * wax.r**2, share * RADIUS)
    assert found == pytest.approx(7200.0 - 4e6 * (share * RADIUS) ** 2, rel=1e-12)


def test_beside_columns_that_never_set_no_time_is_known():
    wax = body(4)
    times = np.array([np.nan, np.nan, 600.0, 300.0])
    assert np.isnan(at_radius(wax, times, 0.0))
    assert at_radius(wax, times, RADIUS) < 300.0


def test_one_column_is_one_time_and_no_place_sets_before_the_pour():
    assert [at_radius(body(1), np.array([500.0]), radius) for radius in (0.0, RADIUS)] == [500.0, 500.0]
    # Straight on to the wall it would be below zero.
    assert at_radius(body(2), np.array([900.0, 1.0]), RADIUS) == 0.0


@pytest.mark.parametrize("columns", [2, 6, 7, 40])
@pytest.mark.parametrize("radius", [1e-4, 5e-3, 0.0299, RADIUS, 0.05])
def test_the_mean_within_a_radius_does_not_jump_from_column_to_column(columns, radius):
    edges = body(columns).r_edges
    # What is straight in the square of the radius, s: the mean of a column is that at the middle of its s.
    found = mean_within(edges, 7.0 - 4e3 * 0.5 * (edges[1:] ** 2 + edges[:-1] ** 2), radius)
    assert found == pytest.approx(7.0 - 4e3 * 0.5 * min(radius, RADIUS) ** 2, rel=1e-12)


def test_the_mean_within_a_radius_is_that_of_what_there_is():
    assert mean_within(body(1).r_edges, np.array([500.0]), 5e-3) == 500.0
    # A ring round a hole: two columns of 0.02 and of 0.06 m2/pi; all of the first and a third of the second.
    edges = np.sqrt([0.02, 0.04, 0.10])
    assert mean_within(edges, np.array([3.0, 3.0]), np.sqrt(0.06)) == pytest.approx(3.0, rel=1e-12)
    assert mean_within(edges, np.array([1.0, 5.0]), np.sqrt(0.10)) == pytest.approx(4.0, rel=1e-12)
    # The circle lies within the hole: what is nearest to it counts.
    assert mean_within(edges, np.array([1.0, 5.0]), np.sqrt(0.02)) == 1.0
    assert mean_within(edges, np.array([1.0, 5.0]), 0.0) == 1.0
