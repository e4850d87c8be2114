"""Air and flaps over the jars of a box: how much heat they hold and pass on."""

import math
from dataclasses import replace

import pytest

from coolsim.model.air import dry_air
from coolsim.model.cell import air_above
from coolsim.model.films import film_on_face_down, film_on_face_up
from coolsim.model.layout import problem_of
from coolsim.model.radiation import radiation_film
from tests.support.pair import closed_pair

BOXED = closed_pair()[1].jar
PLAN = 0.06  # of a box for six [m2]


def held(jar, jars=1):
    """Heat capacity of each node [J/K]."""
    return {node.name: node.capacity for node in air_above(jar, jar.surround, plan=PLAN, jars=jars).nodes}


@pytest.mark.parametrize("layers", [1, 3])
def test_flaps_hold_the_heat_of_their_board(layers):
    jar = replace(BOXED, surround=replace(BOXED.surround, flap_layers=layers))
    mass = PLAN * layers * jar.surround.layer * jar.surround.board.density
    found = held(jar)
    # Half of it goes with either face.
    half = pytest.approx(0.5 * mass * jar.surround.board.heat_capacity, rel=1e-12)
    assert found["flaps inside"] == half
    assert found["flaps outside"] == half


def test_the_air_of_a_box_is_that_over_the_rims_and_that_in_each_jar():
    jar = replace(BOXED, surround=replace(BOXED.surround, headroom=0.04))
    air = dry_air(jar.room.at(0.0))
    in_jar = math.pi * jar.vessel.inner_radius**2 * jar.headspace
    wanted = (PLAN * 0.04 + 6 * in_jar) * air.density * air.heat_capacity
    assert held(jar, jars=6)["box air"] == pytest.approx(wanted, rel=1e-12)


def test_heat_goes_from_the_air_through_the_flaps_and_their_cover_to_the_room():
    surround = replace(BOXED.surround, flap_layers=2, cover=0.3, emissivity=0.6)
    inside, through, outside = (
        link.conductance for link in air_above(replace(BOXED, surround=surround), surround, plan=PLAN).links
    )
    across = 2.0 * math.sqrt(PLAN / math.pi)
    # Warm air under a colder face that looks down, which it leaves freely.
    assert inside(30.0, 25.0) == pytest.approx(PLAN * film_on_face_down(25.0, 30.0, diameter=across))
    assert through == pytest.approx(PLAN / (2.0 * surround.layer / surround.board.conductivity + 0.3))
    up = film_on_face_up(25.0, 21.0, diameter=across) + radiation_film(25.0, 21.0, emissivity=0.6)
    assert outside(25.0, 21.0) == pytest.approx(PLAN * up)


def test_board_and_bench_beyond_it_are_there_where_a_side_faces_the_wall_and_the_floor_is_as_large_as_the_cell():
    plan = 1.1 * math.pi * (0.5 * BOXED.vessel.diameter + BOXED.surround.gap) ** 2
    jar = replace(
        BOXED, surround=replace(BOXED.surround, exposed_sides=1, plan=plan), support=replace(BOXED.support, reach=0.1)
    )
    inner, outer = 0.5 * jar.vessel.diameter, 0.5 * jar.vessel.diameter + jar.surround.gap
    under_gap = (plan - math.pi * inner**2) / (math.pi * (outer**2 - inner**2))
    assert dict(problem_of(jar).section.coverage) == pytest.approx({"gap": under_gap, "board": 0.25, "reach": 0.25})
