"""What stands between the jars of a box: how much heat it holds and passes on."""

import math
from dataclasses import replace

import pytest

from coolsim import Places
from coolsim.model.air import dry_air
from coolsim.model.boxed import members_of
from coolsim.model.films import exchange_through_opening, film_in_upright_gap
from coolsim.model.radiation import radiation_between, radiation_film
from tests.support.pair import closed_pair

JAR = closed_pair()[1].jar
PITCH = 0.09
BETWEEN = "between corner and edge"
# Half of the air between two jars, as wide as beside a wall of the cell.
HALF_GAP = 2.0 * PITCH / math.pi - 0.5 * JAR.vessel.diameter


def members(rows, columns, **other):
    box = Places(
        rows=rows, columns=columns, length=columns * PITCH, width=rows * PITCH, pitch_along=PITCH, pitch_across=PITCH,
        **other,
    )  # fmt: skip
    return members_of(replace(JAR, places=box))


def node_of(problem, name):
    return next(one for one in problem.nodes if one.name == name)


def law_of(problem, air):
    return next(one for one in problem.boundaries if one.air == air)


@pytest.mark.parametrize("dividers", [False, True])
def test_what_stands_between_two_jars_holds_the_heat_of_its_air_and_its_divider(dividers):
    problem = members(2, 3, dividers=dividers)[0].problem
    air, board, vessel = dry_air(JAR.room.at(0.0)), JAR.surround.board, JAR.vessel
    # Four corners each beside one of two edges, a quarter of the side of the jar each.
    side = 0.25 * math.pi * vessel.diameter * vessel.height
    content = 2.0 * HALF_GAP * air.density * air.heat_capacity
    content += JAR.surround.layer * board.density * board.heat_capacity if dividers else 0.0
    assert node_of(problem, BETWEEN).capacity == pytest.approx(4 * side * content, rel=1e-12)


def test_to_the_middle_of_a_divider_heat_passes_the_gap_and_half_of_the_board():
    problem = members(2, 3, dividers=True)[0].problem
    vessel, surround = JAR.vessel, JAR.surround
    across = film_in_upright_gap(40.0, 30.0, height=vessel.height, width=HALF_GAP, law="elsherbiny")
    across += radiation_between(
        40.0,
        30.0,
        emissivity_inner=vessel.emissivity,
        emissivity_outer=surround.emissivity,
        area_ratio=0.5 * vessel.diameter / (0.5 * vessel.diameter + HALF_GAP),
    )
    wanted = 1.0 / (1.0 / across + 0.5 * surround.layer / surround.board.conductivity)
    assert law_of(problem, BETWEEN).film(40.0, 30.0) == pytest.approx(wanted, rel=1e-12)


def test_to_the_middle_of_the_air_the_other_jar_is_as_far_beyond():
    problem = members(2, 3)[0].problem
    vessel = JAR.vessel
    whole = film_in_upright_gap(40.0, 30.0, height=vessel.height, width=2.0 * HALF_GAP, law="elsherbiny")
    whole += radiation_between(
        40.0, 30.0, emissivity_inner=vessel.emissivity, emissivity_outer=vessel.emissivity, area_ratio=1.0
    )
    # The same heat over half of the difference.
    assert law_of(problem, BETWEEN).film(40.0, 35.0) == pytest.approx(2.0 * whole, rel=1e-12)


def test_each_empty_place_lets_its_air_rise_and_sees_the_flaps():
    # All four corners are empty, and alike.
    problem = members(3, 3, empty=((1, 1), (1, 3), (3, 1), (3, 3)))[0].problem
    air = "air of empty place, corner"
    rises, sees = (link.conductance(30.0, 25.0) for link in problem.node_links if link.ends[0] == air)
    across = 2.0 * math.sqrt(PITCH**2 / math.pi)
    assert rises == pytest.approx(4 * exchange_through_opening(30.0, 25.0, diameter=across), rel=1e-12)
    seen = radiation_film(30.0, 25.0, emissivity=JAR.surround.emissivity)
    assert sees == pytest.approx(4 * PITCH**2 * seen, rel=1e-12)
    holds = dry_air(JAR.room.at(0.0)).density * dry_air(JAR.room.at(0.0)).heat_capacity * JAR.vessel.height
    assert node_of(problem, air).capacity == pytest.approx(4 * PITCH**2 * holds, rel=1e-12)
