"""Curves read off a run, held against other ways to the same figures."""

import numpy as np
import pytest

from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.materials import catalogue_wax
from coolsim.model.problem import Boundary, Melt, Problem
from coolsim.model.section import Block, Section, Span
from coolsim.scenario import with_overrides
from coolsim.solve.curves import (
    front_heights,
    front_radius,
    heat_shares,
    outside_of_wall,
    starting_temperature,
    temperature_of_point,
    usual_points,
)
from coolsim.solve.simulate import simulate
from tests.support.pair import closed_pair


@pytest.fixture(scope="module")
def bare():
    return simulate(with_overrides(closed_pair()[0], {"run.refinement": 0.8, "run.tolerance": "0.5 K"}).jar)


@pytest.fixture(scope="module")
def boxed():
    return simulate(with_overrides(closed_pair()[1], {"run.refinement": 0.6, "run.tolerance": "0.5 K"}).jar)


@pytest.fixture(scope="module")
def cylinder():
    """Wax alone, cooled from its side, and no heat through top and bottom: the front is upright."""
    section = Section(
        radial=(Span(name="wax", length=0.03, cells=16),),
        axial=(Span(name="wax", length=0.06, cells=6),),
        blocks=(Block(part="wax", material=catalogue_wax("paraffin"), radial=("wax",), axial=("wax",), start=60.0),),
    )
    side = Boundary(name="side", part="wax", facing="outwards", film=20.0)
    return simulate(Problem(section=section, boundaries=(side,), room=20.0, melt=Melt(mixing="none")))


def test_the_front_passes_each_cell_when_that_cell_sets(cylinder):
    # Both are straight in enthalpy between steps, so at a cell's middle they differ by less than one step.
    radius, wax = front_radius(cylinder), cylinder.required_wax()
    for place, when in zip(wax.r, cylinder.set_time()[3], strict=True):
        later = np.flatnonzero(~(radius > place))[0]
        assert cylinder.time[later - 1] <= when * (1 + 1e-9)
        assert when <= cylinder.time[later] * (1 + 1e-9)


def test_the_front_starts_at_the_glass_moves_inwards_and_vanishes(cylinder):
    radius = front_radius(cylinder)
    gone = np.isnan(radius)
    assert radius[0] == pytest.approx(0.03, rel=1e-12)
    assert (np.diff(radius[~gone]) <= 1e-12).all()
    first = np.flatnonzero(gone)[0]
    assert gone[first:].all()
    # Set is what the innermost cell is, whose middle is 0.9 mm from the axis: the front gets there 1 % later at most.
    assert cylinder.events.fully_set <= cylinder.time[first]
    assert cylinder.time[first - 1] <= 1.01 * cylinder.events.fully_set


def test_an_upright_front_reaches_all_heights_of_the_axis_together(cylinder):
    rise, down = front_heights(cylinder)
    there = ~np.isnan(rise)
    assert (rise[there] == 0.0).all()
    # To rounding of the depth.
    np.testing.assert_allclose(down[there], 0.06, rtol=1e-12)


def test_the_fronts_on_the_axis_close_in_on_the_last_liquid(bare):
    rise, down = front_heights(bare)
    wax = bare.required_wax()
    assert (rise[0], down[0]) == (0.0, pytest.approx(wax.z_edges[-1]))
    last = np.flatnonzero(~np.isnan(rise))[-1]
    # The fronts run together in the last step; they must hold the place in between, to one cell.
    cell = float(np.diff(wax.z_edges).max())
    assert rise[last] - cell <= bare.events.last_liquid[1] <= down[last] + cell
    assert down[last] - rise[last] < 0.35 * wax.z_edges[-1]


def test_between_the_fronts_the_axis_is_soft_and_outside_it_has_set(bare):
    rise, down = front_heights(bare)
    wax = bare.required_wax()
    step = int(np.searchsorted(bare.time, 0.8 * bare.events.fully_set))
    assert 0.0 < rise[step] < down[step] < wax.z_edges[-1]
    soft = bare.history.enthalpy[step, wax.cells[:, 0]] > enthalpy_at_fraction(wax.table, bare.sets_at)
    # The innermost cells stand for the axis, so one cell next to a front may be on its other side.
    cell = float(np.diff(wax.z_edges).max())
    assert soft[(wax.z > rise[step] + cell) & (wax.z < down[step] - cell)].all()
    assert not soft[(wax.z < rise[step] - cell) | (wax.z > down[step] + cell)].any()


@pytest.mark.parametrize(("r", "z"), [(0.0, 0.03), (0.02, 0.05), (0.034, 0.001), (0.03, 0.0593)])
def test_a_point_of_the_wax_has_the_temperature_that_the_result_gives(bare, r, z):
    # Two implementations of the same straight lines.
    np.testing.assert_allclose(temperature_of_point(bare, r, z), bare.temperature_at(r, z), rtol=0, atol=1e-9)


def test_a_point_may_lie_in_the_glass_of_wall_and_base(bare):
    for r, z in ((0.037, 0.03), (0.037, 0.07), (0.0, -0.004)):
        values = temperature_of_point(bare, r, z)
        assert values[0] == pytest.approx(21.0, abs=1e-9)
        assert 21.0 < values.max() < 65.0


@pytest.mark.parametrize(("r", "z"), [(0.01, 0.07), (0.2, 0.01), (0.01, -0.2)])
def test_a_point_in_the_air_is_refused(bare, r, z):
    with pytest.raises(ValueError, match="in the air or outside"):
        temperature_of_point(bare, r, z)


def test_the_usual_points_lie_in_the_wax_however_thin_it_is(bare, cylinder):
    for result in (bare, cylinder):
        wax = result.required_wax()
        for r, z in usual_points(wax).values():
            assert 0.0 <= r < wax.r_edges[-1]
            assert 0.0 <= z <= wax.z_edges[-1]


def test_the_outside_of_the_wall_is_what_the_film_sees(bare):
    # The solver's own face temperatures of the first boundary, "glass outside", one for each row from the base up.
    assert bare.boundaries[0][0] == "glass outside"
    wall = np.unique(bare.grid.row[np.isin(np.array(bare.parts)[bare.block], ["glass"])])
    wax = bare.required_wax()
    heights, middle = bare.grid.z[wall], wax.bottom + 0.5 * wax.z_edges[-1]
    seen = np.array([np.interp(middle, heights, step[: len(wall)]) for step in bare.history.surface])
    # The solver's figure is of the middle of each step.
    between = 0.5 * (bare.time[1:] + bare.time[:-1])
    late = between > 600.0
    outside = np.interp(between, bare.time, outside_of_wall(bare))
    # What is left is the bend of the profile in the glass, a small part of the 0.4 K across it, and that of the curve,
    # which is read off straight between steps of up to 25 minutes.
    np.testing.assert_allclose(outside[late], seen[1:][late], rtol=0, atol=0.1)


def test_without_a_vessel_there_is_no_outside_of_the_wall(cylinder):
    assert outside_of_wall(cylinder) is None
    assert starting_temperature(cylinder, "glass") is None


def test_parts_start_at_their_own_temperatures(boxed):
    # To rounding of the look-up of temperature from enthalpy.
    assert starting_temperature(boxed, "wax") == pytest.approx(65.0, abs=1e-9)
    assert starting_temperature(boxed, "glass") == pytest.approx(21.0, abs=1e-9)


@pytest.mark.parametrize("which", ["bare", "boxed"])
def test_shares_of_heat_add_up_and_end_at_the_ledger(which, request):
    result = request.getfixturevalue(which)
    shares = heat_shares(result)
    total = sum(shares.values())
    judged = ~np.isnan(total)
    # To rounding of three quotients.
    np.testing.assert_allclose(total[judged], 1.0, atol=1e-12)
    assert {path: values[-1] for path, values in shares.items()} == pytest.approx(dict(result.ledger.by_path))


def test_shares_are_not_stated_before_a_hundredth_of_the_heat_has_left(bare):
    lost = sum(bare.heat_lost(path) for path in ("top", "side", "base"))
    early = lost < 0.01 * lost[-1]
    assert early.any()
    assert np.isnan(heat_shares(bare)["side"][early]).all()
    assert not np.isnan(heat_shares(bare)["side"][~early]).any()
