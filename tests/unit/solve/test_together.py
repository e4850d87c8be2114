"""All jars of a box in one run: exact where symmetry or a balance says what must come out."""

from dataclasses import replace

import numpy as np
import pytest

from coolsim import Places, Room, simulate
from coolsim.model.boxed import members_of
from coolsim.model.layout import problem_of
from coolsim.model.problem import ROOM, Accuracy, Node, NodeLink
from coolsim.solve.assemble import result_of
from coolsim.solve.integrate import integrate
from coolsim.solve.join import join, split
from coolsim.solve.network import build
from coolsim.solve.together import simulate_box
from tests.support.pair import closed_pair

COARSE = Accuracy(refinement=0.5, tolerance=1.0)
JAR = replace(closed_pair()[1].jar, accuracy=COARSE)
PITCH = 0.09
EVENTS = ("rim_set", "top_closed", "fully_set", "solid_throughout", "cool")


def box_of(rows, columns, **other):
    """A box in which all cells have one size: half a pitch from each outer axis to the wall."""
    return Places(
        rows=rows, columns=columns, length=columns * PITCH, width=rows * PITCH, pitch_along=PITCH, pitch_across=PITCH,
        **other,
    )  # fmt: skip


def jar_in(box, **changes):
    return replace(JAR, places=box, **changes)


def times(result):
    return np.array([getattr(result.events, name) for name in EVENTS])


@pytest.fixture(scope="module")
def two_by_three():
    return simulate_box(jar_in(box_of(2, 3)))


def test_a_box_of_one_jar_is_the_single_jar_with_four_exposed_sides():
    gap = 2.0 * PITCH / np.pi - 0.5 * JAR.vessel.diameter
    alone = simulate(replace(JAR, surround=replace(JAR.surround, gap=gap, plan=PITCH**2)))
    found = simulate_box(jar_in(box_of(1, 1)))
    (result,) = found.results
    # Up to round-off: the same equations in the same order.
    assert times(result) == pytest.approx(times(alone), rel=1e-9)
    assert result.history.enthalpy == pytest.approx(alone.history.enthalpy, rel=1e-9)
    assert found.ledger.given_off == pytest.approx(alone.ledger.given_off, rel=1e-9)


def test_the_ledger_of_the_whole_box_closes(two_by_three):
    # Jars, board, bench, air and flaps: to 1e-9 of what was lost.
    assert two_by_three.ledger.open_share < 1e-9
    assert all(result.ledger.open_share < 1e-9 for result in two_by_three.results)


def test_jars_give_the_box_what_the_box_gives_the_room(two_by_three):
    pairs = zip(two_by_three.kinds, two_by_three.results, strict=True)
    given = sum(kind.count * one.ledger.given_off for kind, one in pairs)
    # What air, flaps and dividers still hold at the end is a little of it.
    assert given == pytest.approx(two_by_three.ledger.given_off, rel=0.01)


def sealed(problem):
    """The same problem with nothing that touches the room."""
    return replace(
        problem,
        boundaries=tuple(law for law in problem.boundaries if ROOM not in (law.air, law.sees)),
        node_links=tuple(link for link in problem.node_links if ROOM not in link.ends),
        stop_when_cool=False,
        horizon=4 * 3600.0,
    )


@pytest.mark.parametrize("box", [box_of(2, 2), box_of(3, 3, empty=((1, 1),), dividers=True)])
def test_a_box_that_loses_nothing_keeps_its_energy(box):
    members = members_of(jar_in(box))
    joined = join([build(sealed(one.problem)) for one in members], [one.kind.count for one in members])
    history = integrate(joined.network)
    held = history.enthalpy @ joined.network.volume
    nodes = np.array([node.capacity for node in joined.network.nodes])
    in_nodes = (history.nodes - history.nodes[0]) @ nodes + history.owed.sum(axis=1)
    moved = held[0] - held.min()
    assert moved > 100.0  # J into air and flaps
    # Round-off of sums over some thousand cells, against what moved.
    assert np.abs(held - held[0] + in_nodes).max() < 1e-9 * held[0]


def test_twice_the_jars_with_twice_the_nodes_and_losses_change_nothing_per_jar():
    """Two equal boxes in one."""
    (member,) = members_of(jar_in(box_of(2, 2)))

    def doubled(link):
        law = link.conductance
        twice = (lambda first, second: 2.0 * law(first, second)) if callable(law) else 2.0 * law
        return NodeLink(ends=link.ends, conductance=twice, path=link.path)

    problem = member.problem
    twice = replace(
        problem,
        nodes=tuple(Node(name=one.name, capacity=2.0 * one.capacity, start=one.start) for one in problem.nodes),
        node_links=tuple(doubled(link) for link in problem.node_links),
    )
    once = integrate(join([build(problem)], [4]).network)
    both = integrate(join([build(twice)], [8]).network)
    # Doubling is exact in binary arithmetic; the small system of the nodes is solved with pivots, hence round-off.
    assert both.time == pytest.approx(once.time, rel=1e-9)
    assert both.enthalpy == pytest.approx(once.enthalpy, rel=1e-9)
    assert both.lost[-1] == pytest.approx(2.0 * once.lost[-1], rel=1e-9)


def test_each_place_for_itself_gives_what_its_kind_gives(two_by_three):
    each = simulate_box(jar_in(box_of(2, 3)), each_place=True)
    assert len(each.results) == 6
    for kind, result in zip(two_by_three.kinds, two_by_three.results, strict=True):
        for place in kind.places:
            assert times(each.at(place)) == pytest.approx(times(each.at(kind.places[0])), rel=1e-12)
            # Between equal neighbours there is air to be warmed here, and a plane of symmetry there: the steps fall
            # differently. At tolerances of 1, 0.2 and 0.05 K the times differ by 2.1e-3, 1.0e-3 and 3.6e-4 at most.
            assert times(each.at(place)) == pytest.approx(times(result), rel=4e-3)


def test_equal_neighbours_make_a_plane_of_symmetry():
    # Four corners: nothing stands between kinds, so there is no node but air and flaps.
    found = simulate_box(jar_in(box_of(2, 2)))
    assert found.nodes == ("box air", "flaps inside", "flaps outside")
    assert [kind.name for kind in found.kinds] == ["corner"]


def test_neighbours_of_another_kind_share_their_heat(two_by_three):
    (corner, edge) = two_by_three.results
    assert len(two_by_three.nodes) > 3
    # Planes of symmetry between all jars keep the edge warm too long: what stands between would not be there.
    members = members_of(jar_in(box_of(2, 3)))
    apart = [
        replace(
            one.problem, boundaries=tuple(law for law in one.problem.boundaries if "towards" not in law.name),
        )
        for one in members
    ]  # fmt: skip
    joined = join([build(problem) for problem in apart], [one.kind.count for one in members])
    alone = [result_of(*one, name="") for one in split(joined, integrate(joined.network))]
    assert times(alone[0])[2] < times(corner)[2] < times(edge)[2] < times(alone[1])[2]


def test_the_steps_are_those_of_the_jar_that_needs_them_most():
    surround = replace(JAR.surround, plan=PITCH**2)
    # Without melt that stirs, which bounds the steps as well.
    still = replace(JAR, surround=surround, horizon=4 * 3600.0, melt=replace(JAR.melt, mixing="none"))
    cold = replace(still, pour=21.0, vessel=replace(JAR.vessel, start=21.0))
    hot, cold = (
        replace(one, nodes=(), node_links=(), boundaries=bare_sides(one), stop_when_cool=False)
        for one in map(problem_of, (still, cold))
    )
    alone = integrate(build(hot))
    joined = integrate(join([build(cold), build(hot)], [5, 1]).network)
    # A mean over all wax would hide most of the error: 52 steps for 57 alone.
    assert len(joined.time) >= len(alone.time)


def bare_sides(problem):
    return tuple(law for law in problem.boundaries if law.air == law.sees == ROOM)


def test_what_stands_between_jars_does_not_swing_in_long_steps():
    # Air of little capacity between thin glass on both sides: free to swing, it fell to 12 °C in a room of 15 °C.
    box = replace(box_of(3, 3), length=0.313, width=0.313, pitch_along=0.118, pitch_across=0.118)
    surround = replace(JAR.surround, flaps="open", headroom=5e-3, under_layers=0)
    support = replace(JAR.support, underside="insulated")
    fine = replace(COARSE, tolerance=0.2)
    found = simulate_box(
        jar_in(box, surround=surround, support=support, room=Room(temperature=15.0), accuracy=fine)
    )  # fmt: skip
    # Nothing is colder than the room, but for the five tolerances that a step allows.
    assert found.history.nodes.min() > 15.0 - 5.0 * fine.tolerance


def test_a_place_without_a_jar_has_no_run():
    found = simulate_box(jar_in(box_of(1, 2, empty=((1, 1),))))
    assert len(found.results) == 1
    with pytest.raises(ValueError, match="no jar stands in row 1, column 1"):
        found.at((1, 1))


def test_a_jar_with_empty_places_on_all_sides_has_a_run():
    alone = tuple((row, column) for row in (1, 2, 3) for column in (1, 2, 3) if (row, column) != (2, 2))
    (result,) = simulate_box(jar_in(box_of(3, 3, empty=alone))).results
    # No jar beside it keeps it warm.
    assert result.events.fully_set < simulate_box(jar_in(box_of(3, 3))).at((2, 2)).events.fully_set


def test_all_that_a_warmed_box_holds_begins_warm():
    warmed = replace(JAR.surround, start=40.0)
    found = simulate_box(jar_in(box_of(3, 3, empty=((1, 1),), dividers=True), surround=warmed))
    assert found.history.nodes[0] == pytest.approx(40.0, abs=1e-12)


def test_a_single_run_of_a_box_is_refused():
    with pytest.raises(ValueError, match="stands for a box of 6 jars; simulate_box runs them"):
        simulate(jar_in(box_of(2, 3)))
    with pytest.raises(ValueError, match="does not stand in a box of several jars"):
        simulate_box(JAR)


def test_jars_that_overlap_are_refused():
    tight = replace(box_of(1, 2), pitch_along=0.07)
    with pytest.raises(ValueError, match="the jars of the box overlap"):
        simulate_box(jar_in(tight))


def test_a_room_that_moves_is_the_same_for_all(two_by_three):
    still = simulate_box(jar_in(box_of(2, 3), room=Room(temperature=lambda time: JAR.room.at(0.0))))
    for one, other in zip(still.results, two_by_three.results, strict=True):
        assert times(one) == pytest.approx(times(other), rel=1e-9)
