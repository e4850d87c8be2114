"""A run cut in two at any time is the whole run."""

from dataclasses import replace

import numpy as np
import pytest

from coolsim import simulate, with_overrides
from tests.support.pair import closed_pair

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K"}
CUTS = (1.0, 1234.5, 6000.0)  # while the glass still warms, in the melt, and when most has set [s]


@pytest.fixture(scope="module")
def whole_runs():
    jars = [with_overrides(one, QUICK).jar for one in closed_pair()]
    tin = replace(jars[0], vessel=replace(jars[0].vessel, material=replace(jars[0].vessel.material, conductivity=50.0)))
    return [(jar, simulate(jar)) for jar in (*jars, tin)]


def cut_at(jar, time):
    first = simulate(jar, until=time)
    assert first.time[-1] == time
    return first, simulate(jar, start=first.state_at(time))


@pytest.mark.parametrize("time", CUTS)
@pytest.mark.parametrize("which", [0, 1, 2], ids=["bare", "closed box", "metal"])
def test_a_run_cut_in_two_ends_like_the_whole(whole_runs, which, time):
    jar, whole = whole_runs[which]
    _, second = cut_at(jar, time)
    # Both have the error of their own steps, about 0.3 % in a time at a tolerance of 1 K on this grid.
    assert second.events.fully_set == pytest.approx(whole.events.fully_set, rel=4e-3)
    assert second.events.cool == pytest.approx(whole.events.cool, rel=4e-3)
    # Each ends with a step that is foreseen to pass the moment in which the wax gets cool.
    assert second.ledger.given_off == pytest.approx(whole.ledger.given_off, rel=2e-3)
    assert dict(second.ledger.by_path) == pytest.approx(dict(whole.ledger.by_path), abs=2e-3)


def held(run, row):
    """Heat in cells and nodes, what is owed to these included [J]."""
    history, capacity = run.history, np.array([capacity for _, capacity in run.nodes])
    return history.enthalpy[row] @ run.grid.volume + history.nodes[row] @ capacity + history.owed[row].sum()


@pytest.mark.parametrize("time", CUTS)
@pytest.mark.parametrize("which", [0, 1, 2], ids=["bare", "closed box", "metal"])
def test_the_ledger_stays_closed_across_the_cut(whole_runs, which, time):
    first, second = cut_at(whole_runs[which][0], time)
    # Round-off of sums over a thousand cells and steps: the bound that a run holds itself to.
    assert first.ledger.open_share < 1e-9
    assert second.ledger.open_share < 1e-9
    # What was lost before the cut is counted on, not begun anew.
    np.testing.assert_array_equal(second.history.lost[0], first.history.lost[-1])
    # Both are differences of sums of some 1e5 J.
    assert second.history.given_before == pytest.approx(first.ledger.given_off, abs=1e-8)
    # And from the pour to the end, summed up here: 1e-9 of the heat lost, as for a run in one piece.
    gone = held(first, 0) - held(second, -1)
    assert gone == pytest.approx(second.ledger.to_room, rel=1e-9)


def test_a_state_between_two_steps_goes_on_with_a_closed_ledger(whole_runs):
    jar, whole = whole_runs[1]
    between = 0.5 * float(whole.time[40] + whole.time[41])
    second = simulate(jar, start=whole.state_at(between))
    assert second.time[0] == between
    assert second.ledger.open_share < 1e-9
    # Straight between two steps the state is off by no more than the error of one step.
    assert second.events.fully_set == pytest.approx(whole.events.fully_set, rel=4e-3)


def test_the_state_at_a_step_is_that_step_to_the_last_bit(whole_runs):
    _, whole = whole_runs[1]
    start = whole.state_at(float(whole.time[17]))
    for name in ("enthalpy", "nodes", "owed", "surface", "lost", "carried"):
        np.testing.assert_array_equal(getattr(start, name), getattr(whole.history, name)[17], err_msg=name)
    assert start.owed_over == whole.history.owed_over[17] != whole.history.owed_over[16]


def test_what_was_set_before_the_start_is_given_its_time(whole_runs):
    jar, whole = whole_runs[0]
    late = float(whole.events.fully_set) + 600.0
    second = simulate(jar, start=whole.state_at(late))
    assert second.events.rim_set == second.events.fully_set == late


def test_a_start_of_another_problem_and_an_end_before_it_are_refused(whole_runs):
    (bare, run), (boxed, _), _ = whole_runs
    start = run.state_at(600.0)
    with pytest.raises(ValueError, match=r"the start has \d+ cells and the problem \d+"):
        simulate(boxed, start=start)
    with pytest.raises(ValueError, match="not after its start at 600 s"):
        simulate(bare, start=start, until=600.0)
    with pytest.raises(ValueError, match="outside the run"):
        run.state_at(float(run.time[-1]) + 1.0)
