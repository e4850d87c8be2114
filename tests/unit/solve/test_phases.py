"""A day of changes is told as one run; a change that changes nothing leaves it as it was."""

from dataclasses import replace

import numpy as np
import pytest

from coolsim import catalogue_inert, load_results, save_results, simulate, with_overrides
from coolsim.model.day import phases_of
from coolsim.model.jar import Change, Lid
from coolsim.solve.integrate import integrate
from coolsim.solve.network import build
from coolsim.solve.phases import carried, run_phases
from tests.support.pair import closed_pair

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE, BOXED = (with_overrides(one, QUICK) for one in closed_pair())
BENCH = Change(time=3600.0, happens="nothing", foot=BARE.jar.vessel.foot)
IN_BOX = replace(BENCH, surround=BOXED.jar.surround, foot=BOXED.jar.vessel.foot)
LID = Lid(material=catalogue_inert("oak"), thickness=0.01)


def changed(jar, *changes):
    return simulate(replace(jar, changes=changes))


@pytest.fixture(scope="module")
def whole():
    return {"bare": simulate(BARE.jar), "boxed": simulate(BOXED.jar)}


@pytest.fixture(scope="module")
def out():
    """Out of the box after an hour and a half, when the top has closed and the wax below it is soft."""
    return changed(BOXED.jar, replace(BENCH, time=5400.0, happens="out of the box", moved=True))


@pytest.mark.parametrize(("place", "jar", "change"), [("bare", BARE.jar, BENCH), ("boxed", BOXED.jar, IN_BOX)])
def test_a_change_that_changes_nothing_leaves_the_run_as_it_was(whole, place, jar, change):
    found, expected = changed(jar, change), whole[place]
    # Both have the error of their own steps, about 0.3 % in a time at a tolerance of 1 K on this grid.
    for event in ("top_closed", "fully_set", "solid_throughout", "cool"):
        assert getattr(found.events, event) == pytest.approx(getattr(expected.events, event), rel=4e-3)
    assert found.events.rim_set == pytest.approx(expected.events.rim_set, rel=4e-3)
    # The end of the run is the end of a step: up to 0.5 % of the heat.
    assert found.ledger.given_off == pytest.approx(expected.ledger.given_off, rel=5e-3)
    assert dict(found.ledger.by_path) == pytest.approx(dict(expected.ledger.by_path), abs=2e-3)
    assert found.shrinkage.void_volume == pytest.approx(expected.shrinkage.void_volume, rel=0.05)


def test_a_box_that_stays_keeps_its_warm_air_and_flaps():
    history = changed(BOXED.jar, IN_BOX).history
    row = int(np.searchsorted(history.time, IN_BOX.time))
    assert history.nodes[row].min() > 24.0
    # In the first step after the change, below a second; cold air would start at 21 °C.
    np.testing.assert_allclose(history.nodes[row + 1], history.nodes[row], atol=0.2)


def test_nodes_keep_by_their_names_what_they_are_owed_unless_the_jar_is_moved():
    every = slice(None)
    phase = phases_of(replace(BOXED.jar, changes=(IN_BOX,)))[1]
    before = build(phase.problem)
    history = integrate(before, until=600.0)
    # The same box with its nodes in another order.
    after = build(replace(phase.problem, nodes=phase.problem.nodes[::-1]))
    start = carried(history, [(before, every, after, every)], before, after, phase)
    owed = history.owed[-1]
    # Nothing but the room meets the outer face of the flaps.
    assert owed[0] != owed[1] != owed[2] == 0.0
    np.testing.assert_array_equal(start.owed, owed[::-1])
    np.testing.assert_array_equal(start.nodes, history.nodes[-1, ::-1])
    # It comes back in as long a time as it arose in, not all at once in a short first step.
    assert start.owed_over == history.owed_over[-1] > 0.0
    moved = carried(history, [(before, every, after, every)], before, after, replace(phase, moved=True))
    assert not moved.owed.any()
    np.testing.assert_array_equal(moved.nodes, [node.start for node in after.nodes])


def test_wax_and_glass_go_on_cell_by_cell_and_the_box_stays_behind(out):
    first = simulate(replace(BOXED.jar, changes=()), until=5400.0)
    row = int(np.searchsorted(out.time, 5400.0))
    assert out.time[row] == 5400.0
    wax = out.wax.cells
    np.testing.assert_array_equal(out.history.enthalpy[row, wax], first.history.enthalpy[-1, wax])
    # A minute later the wax has hardly moved, and the board is not there any more.
    parts = np.array(out.parts)[out.block]
    after = out.history.enthalpy[row + 1]
    assert np.isfinite(after[np.isin(parts, ["wax", "glass"])]).all()
    assert np.isnan(after[parts == "board"]).all()
    # The bench is there, but not the rings of it that were under the box: drawn in part it would look torn.
    assert np.isnan(after[parts == "bench"]).all()
    assert np.isfinite(out.history.enthalpy[row][parts == "board"]).all()
    assert np.isnan(out.temperature_map(4 * 3600.0)).sum() > np.isnan(out.temperature_map(3600.0)).sum()
    assert out.changes == ((5400.0, "out of the box"),)


def test_the_ledger_closes_over_all_parts(out):
    assert out.ledger.closed
    assert sum(share for _, share in out.ledger.by_path) == pytest.approx(1.0)
    lost = sum(out.heat_lost(path)[-1] for path in ("top", "side", "base"))
    # Heat that nodes of the box still held when the jar left it went along with them.
    assert lost == pytest.approx(out.ledger.to_room, rel=0.05)


def test_out_of_the_box_it_sets_between_boxed_and_bare(whole, out):
    assert whole["bare"].events.fully_set < out.events.fully_set < whole["boxed"].events.fully_set
    # What had happened before is as it was in the box.
    assert out.events.rim_set == pytest.approx(whole["boxed"].events.rim_set, rel=1e-3)


def test_into_the_box_it_sets_between_bare_and_boxed(whole):
    found = changed(BARE.jar, replace(IN_BOX, happens="into the box", moved=True))
    assert whole["bare"].events.fully_set < found.events.fully_set < whole["boxed"].events.fully_set
    assert found.events.rim_set == pytest.approx(whole["bare"].events.rim_set, rel=1e-3)


def test_a_lid_keeps_the_top_open_longer_and_a_draught_closes_it_sooner(whole):
    # Half-way to the closing of the top.
    early = replace(BENCH, time=1500.0)
    lidded = changed(BARE.jar, replace(early, happens="lid on", lid=LID))
    blown = changed(BARE.jar, replace(early, happens="draught", air_speed=1.0))
    assert blown.events.top_closed < whole["bare"].events.top_closed < lidded.events.top_closed
    assert dict(lidded.ledger.by_path)["top"] < 0.8 * dict(whole["bare"].ledger.by_path)["top"]


def test_a_lid_taken_off_at_once_is_no_lid(whole):
    on = replace(BENCH, happens="lid on", lid=LID)
    off = replace(BENCH, time=3601.0, happens="lid off")
    assert changed(BARE.jar, on, off).events.fully_set == pytest.approx(whole["bare"].events.fully_set, rel=4e-3)


def test_the_bench_it_is_moved_to_is_as_warm_as_the_room_is_then():
    jar = replace(
        BOXED.jar,
        room=replace(BOXED.jar.room, temperature=lambda time: 21.0 - time / 3600.0),
        changes=(replace(BENCH, time=7200.0, happens="out of the box", moved=True),),
    )
    last = phases_of(jar)[-1]
    assert {block.start for block in last.problem.section.blocks if block.part == "bench"} == {19.0}


def test_the_room_keeps_its_course_in_each_part_of_the_day():
    def course(time):
        return 21.0 - time / 3600.0

    jar = replace(BOXED.jar, room=replace(BOXED.jar.room, temperature=course), changes=(IN_BOX,))
    assert [phase.problem.room for phase in phases_of(jar)] == [course, course]


def test_a_box_that_was_warm_at_the_pour_is_as_warm_as_the_room_when_a_jar_is_put_into_it_later():
    warm = replace(IN_BOX, time=7200.0, surround=replace(BOXED.jar.surround, start=35.0), moved=True)
    room = replace(BARE.jar.room, temperature=lambda time: 21.0 - time / 3600.0)
    problem = phases_of(replace(BARE.jar, room=room, changes=(warm,)))[-1].problem
    assert {node.start for node in problem.nodes} == {19.0}
    assert {block.start for block in problem.section.blocks if block.part in ("board", "pad")} == {19.0}


def test_changes_are_kept_in_a_file(out, tmp_path):
    path = save_results(tmp_path / "day.npz", [(BOXED, out)])
    ((_, loaded),) = load_results(path)
    assert loaded.changes == out.changes
    np.testing.assert_array_equal(loaded.time, out.time)


def test_what_cannot_be_is_refused(out):
    with pytest.raises(ValueError, match="one after the other"):
        phases_of(replace(BARE.jar, changes=(BENCH, BENCH)))
    with pytest.raises(ValueError, match="before the horizon"):
        phases_of(replace(BARE.jar, changes=(replace(BENCH, time=1e6),)))
    with pytest.raises(ValueError, match="neither starts nor stops in between"):
        simulate(replace(BARE.jar, changes=(BENCH,)), until=7200.0)
    with pytest.raises(ValueError, match="no other run can go on"):
        out.state_at(3600.0)
    other = phases_of(replace(BARE.jar, vessel=replace(BARE.jar.vessel, wall=0.002)))[0]
    with pytest.raises(ValueError, match="wax and glass must be the same"):
        run_phases([phases_of(BARE.jar)[0], replace(other, begins=600.0)])
