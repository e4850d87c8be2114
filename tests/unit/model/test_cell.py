"""Air and flaps over the jars of a box: how much heat they hold."""

import math
from dataclasses import replace

import pytest

from coolsim import built_in_pair
from coolsim.model.air import dry_air
from coolsim.model.cell import air_above

BOXED = built_in_pair()[1].jar
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
