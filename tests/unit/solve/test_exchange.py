"""Faces and nodes in one step, against the equations written out."""

from dataclasses import replace

import numpy as np
import pytest

from coolsim.model.problem import Boundary, Node
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Span
from coolsim.solve.exchange import FaceState, Surroundings
from coolsim.solve.network import build
from coolsim.studies.verify.problems import Layer, cylinder, inert

FILM, EMISSIVITY, CAPACITY, STEP = 8.0, 0.9, 20.0, 10.0


@pytest.fixture(scope="module")
def network():
    """A rod, a metre long, that meets the air of a node and radiates to the room."""
    side = Boundary(
        name="side", part="wax", facing="outwards", film=FILM, emissivity=EMISSIVITY, air="node", sees="room"
    )
    rod = cylinder(
        [Layer(part="wax", material=inert(0.2, 2e6), length=0.03, cells=2, start=50.0)],
        boundaries=[side],
        horizon=3600.0,
    )
    return build(replace(rod, nodes=(Node(name="node", capacity=CAPACITY, start=30.0),)))


def exchange(network, **changes):
    state = FaceState(
        surface=np.array([50.0]),
        surface_rate=np.zeros(1),
        known_at=0.0,
        gaps=np.zeros((0, 2)),
        nodes=np.array([30.0]),
        owed=np.zeros(1),
    )
    return Surroundings(network).exchange(replace(state, **changes), np.array([5.0]), STEP, STEP)


@pytest.mark.parametrize(("over", "due"), [(40.0, 0.25), (10.0, 1.0), (2.0, 1.0), (0.0, 1.0)])
def test_what_a_node_is_owed_comes_back_in_as_long_a_time_as_it_arose_in(network, over, due):
    owed = 60.0
    found = exchange(network, owed=np.array([owed]), owed_over=over)
    weight = FILM * network.faces.area[0]
    # C (T - T0) = due + dt w (surface - T).
    wanted = (CAPACITY * 30.0 + due * owed + STEP * weight * 50.0) / (CAPACITY + STEP * weight)
    assert found.nodes == pytest.approx([wanted], rel=1e-12)
    assert found.given == pytest.approx([CAPACITY * (wanted - 30.0)], rel=1e-9)


def test_laws_hold_for_the_surface_as_it_will_be(network):
    # Cooling by 0.3 K/s since it was known, ten seconds ago.
    found = exchange(network, surface_rate=np.array([-0.3]))
    wanted = EMISSIVITY * radiation_film(47.0, 21.0, emissivity=1.0) * network.faces.area[0]
    assert found.radiated == pytest.approx([wanted], rel=1e-12)


def test_air_and_what_a_face_sees_count_by_what_each_conducts(network):
    found = exchange(network)
    convected, radiated = found.convected[0], found.radiated[0]
    air = found.nodes[0]
    assert found.outside == pytest.approx([(convected * air + radiated * 21.0) / (convected + radiated)], rel=1e-12)
    assert found.to_air == pytest.approx([1.0 / (1.0 / 5.0 + 1.0 / (convected + radiated))], rel=1e-12)


def test_a_law_meets_the_mean_of_a_spread_node_and_each_face_its_own_piece_of_it():
    met = []

    def film(surface, air):
        met.append((surface, air))
        return FILM

    side = Boundary(name="side", part="wax", facing="outwards", film=film, air="between")
    rod = cylinder(
        [Layer(part="wax", material=inert(0.2, 2e6), length=0.03, cells=2, start=50.0)],
        boundaries=[side],
        axial=(Span(name="low", length=0.03, cells=1), Span(name="high", length=0.01, cells=1)),
        horizon=3600.0,
    )
    cut = build(replace(rod, nodes=(Node(name="between", capacity=CAPACITY, start=30.0, split=True),)))
    # By the areas of the faces that meet them.
    assert [node.capacity for node in cut.nodes] == pytest.approx([0.75 * CAPACITY, 0.25 * CAPACITY])
    state = FaceState(
        surface=np.array([50.0, 46.0]),
        surface_rate=np.zeros(2),
        known_at=-np.inf,
        gaps=np.zeros((0, 2)),
        nodes=np.array([30.0, 38.0]),
        owed=np.zeros(2),
    )
    found = Surroundings(cut).exchange(state, np.array([5.0, 5.0]), STEP, STEP)
    assert met == [pytest.approx((0.75 * 50.0 + 0.25 * 46.0, 0.75 * 30.0 + 0.25 * 38.0))]
    weight, stored = FILM * cut.faces.area, np.array([0.75, 0.25]) * CAPACITY
    wanted = (stored * state.nodes + STEP * weight * state.surface) / (stored + STEP * weight)
    assert found.nodes == pytest.approx(wanted, rel=1e-12)
    assert found.outside == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize(("capacity", "led_on"), [(39e3, False), (41e3, True)])
def test_a_wall_that_follows_a_spread_node_within_the_step_is_not_led_on(capacity, led_on):
    side = Boundary(name="side", part="wax", facing="outwards", film=FILM, air="between")
    # Its film can carry FILM * STEP * 2 / radius = 160 kJ/m3/K in a step: four times what 40 kJ/m3/K hold.
    wire = cylinder(
        [Layer(part="wax", material=inert(0.2, capacity), length=1e-3, cells=2, start=50.0)],
        boundaries=[side],
        horizon=3600.0,
    )
    cut = build(replace(wire, nodes=(Node(name="between", capacity=CAPACITY, start=30.0, split=True),)))
    found = exchange(cut, surface_rate=np.array([-0.3]))
    weight = FILM * cut.faces.area[0]
    expected = 50.0 - 0.3 * STEP if led_on else 50.0
    wanted = (CAPACITY * 30.0 + STEP * weight * expected) / (CAPACITY + STEP * weight)
    assert found.nodes == pytest.approx([wanted], rel=1e-12)


@pytest.mark.parametrize(
    ("capacity", "conductance", "before", "after", "swings"),
    [
        # The film has FILM times its area; what the cell holds over the step is as much, and 20 times as much.
        (80.0, 1e3, +0.3, 45.0, True),
        (80.0, 1e3, -0.3, 45.0, False),
        (80.0, 1e3, +0.3, 49.9, False),
        (1600.0, 1e3, +0.3, 45.0, False),
        (1600.0, 0.5, +0.3, 45.0, True),
    ],
    ids=["light", "goes on", "by less than a step may err", "heavy", "heavy behind a poor conductor"],
)
def test_a_light_face_that_turns_round_is_not_led_on(capacity, conductance, before, after, swings):
    seen = []

    def film(surface, air):
        seen.append(surface)
        return FILM

    side = Boundary(name="side", part="wax", facing="outwards", film=film, air=20.0)
    rod = cylinder(
        [Layer(part="wax", material=inert(0.2, 1e3), length=0.03, cells=1, start=50.0)],
        boundaries=[side],
        horizon=3600.0,
    )
    network = build(rod)
    area = float(network.faces.area[0])
    # What the cell holds [J/K], beside a film that can carry FILM * STEP * area.
    network = replace(network, volume=np.array([capacity * area / network.sensible[0]]))
    state = FaceState(
        surface=np.array([50.0]), surface_rate=np.array([before]), known_at=0.0, gaps=np.zeros((0, 2)),
        nodes=np.zeros(0), owed=np.zeros(0),
    )  # fmt: skip
    surroundings, half = Surroundings(network), np.array([conductance * FILM * area])
    laws = surroundings.exchange(state, half, STEP, STEP)
    # A flow with which the face ends where the case wants it.
    leaving = np.array([(50.0 - after) * laws.to_face[0]])
    state, _ = surroundings.settle(state, laws, leaving, np.array([50.0]), STEP)
    surroundings.exchange(state, half, 2.0 * STEP, STEP)
    led_on = after + (after - 50.0)
    assert seen[-1] == pytest.approx(after if swings else led_on, abs=1e-9)
