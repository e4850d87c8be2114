"""Walls and flaps of a box against what was found of corrugated containers and insulated packages.

Sources: Bormett, D. W. (1981), Overall effective thermal resistance of corrugated fiberboard containers, Research Paper
FPL 406, USDA Forest Service, Forest Products Laboratory, Madison (abstract read; its figures were not to be had). What
it says is tested here in its signs:

- the resistance of a container is a function of air velocity and thickness of the board;
- it is a sum: contact at the inside, board, boundary layer at the outside;
- heating and cooling differ at usual thicknesses. The abstract says neither which is the greater nor why.

Burgess, G. (1999), Practical thermal resistance and ice requirement calculations for insulating packages, Packaging
Technology and Science 12:75 (abstract and opening read): a thin blanket of air between liner and box adds a significant
resistance, foil on the faces adds more, substantially in most cases.
"""

import dataclasses
import functools

import numpy as np
import pytest
from made_up_jars import tumbler
from scipy.optimize import brentq

from coolsim.model.cell import BOX_AIR, FLAPS_INSIDE, FLAPS_OUTSIDE, air_above, boxed_laws, cell_of
from coolsim.model.jar import Room
from coolsim.model.layout import problem_of
from coolsim.model.problem import ROOM, Accuracy, Problem
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Block, Section, Span
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.freezing_problems import CONDUCTION
from coolsim.studies.verify.problems import inert

ROOM_AT, WARM, COLD = 21.0, 45.0, -3.0  # as much above the room as below it
STILL, DRAUGHT = 0.0, 1.0
COARSE = Accuracy(refinement=0.5, tolerance=0.8)


def jar(*, layers=1, speed=STILL, is_boxed=True, emissivity=0.92):
    """A tumbler, bare or in a closed box with so many layers of board in walls and flaps; foil has 0.05."""
    bare = tumbler(boxed=is_boxed, room=Room(temperature=ROOM_AT, air_speed=speed), accuracy=COARSE)
    if bare.surround is None:
        return bare
    return dataclasses.replace(
        bare, surround=dataclasses.replace(bare.surround, side_layers=layers, flap_layers=layers, emissivity=emissivity)
    )


# --- the wall -------------------------------------------------------------------------------------


def wall_laws(boxed):
    """Law of the gap, and of the outside of the board."""
    boundaries, (gap,) = boxed_laws(boxed, boxed.surround, cell_of(boxed, boxed.surround))
    return gap, next(law for law in boundaries if law.name == "board outside")


def sum_of_resistances(boxed, start):
    """Gap, board and outside of a wall, in that order [K/W], round a body that keeps its temperature [°C]."""
    gap, outside = wall_laws(boxed)
    body, board = 0.5 * boxed.vessel.diameter, boxed.surround
    inner = body + board.gap
    outer = inner + board.side_layers * board.layer
    around = 2.0 * np.pi * boxed.vessel.height
    through = np.log(outer / inner) / (around * board.board.conductivity)

    def conductances(last):
        """Of the gap and of the outside [W/K], by the temperature of the outside of the board."""
        beyond = outside.film(last, ROOM_AT) + radiation_film(last, ROOM_AT, emissivity=outside.emissivity)
        first = last + around * outer * beyond * (last - ROOM_AT) * through
        across = gap.film(start, first) + radiation_film(start, first, emissivity=gap.emissivity)
        return around * body * across, around * outer * beyond, first

    def surplus(last):
        across, beyond, first = conductances(last)
        return across * (start - first) - beyond * (last - ROOM_AT)

    across, beyond, _ = conductances(brentq(surplus, ROOM_AT, 0.5 * (start + ROOM_AT)))
    return 1.0 / across, through, 1.0 / beyond


@functools.cache
def resistance_of_the_wall(*, start, layers=1, speed=STILL, emissivity=0.92):
    """The same by a run [K/W]: a body so heavy that it keeps its temperature, behind gap and board."""
    boxed = jar(layers=layers, speed=speed, emissivity=emissivity)
    gap, outside = wall_laws(boxed)
    body, board = 0.5 * boxed.vessel.diameter, boxed.surround
    heavy = inert(400.0, 1e11)
    result = simulate(
        Problem(
            section=Section(
                radial=(
                    Span(name="glass", length=body, cells=4),
                    Span(name="gap", length=board.gap, cells=1),
                    Span(name="board", length=board.side_layers * board.layer, cells=4),
                ),
                axial=(Span(name="height", length=boxed.vessel.height, cells=2),),
                blocks=(
                    Block(part="glass", material=heavy, radial=("glass",), axial=("height",), start=start),
                    Block(part="board", material=board.board, radial=("board",), axial=("height",), start=ROOM_AT),
                ),
            ),
            boundaries=(outside,),
            links=(gap,),
            room=ROOM_AT,
            melt=CONDUCTION,
            accuracy=Accuracy(tolerance=0.05),
            horizon=4 * 3600.0,
            stop_when_cool=False,
        )
    )
    assert result.ledger.closed
    steady = result.time > 2 * 3600.0
    flow = np.diff(result.heat_lost("side")[steady]) / np.diff(result.time[steady])
    return (start - ROOM_AT) / flow[-1]


CASES = [
    {"start": start, "layers": layers, "speed": speed}
    for start in (WARM, COLD)
    for layers in (1, 2)
    for speed in (STILL, DRAUGHT)
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_wall_of_a_box_is_the_sum_of_gap_board_and_outside(case):
    boxed = jar(layers=case["layers"], speed=case["speed"])
    parts = sum_of_resistances(boxed, case["start"])
    # 0.05 %: half a cell of the body counts, too, and films are held for a step.
    assert resistance_of_the_wall(**case) == pytest.approx(sum(parts), rel=5e-4)
    # None of the three is small: board alone, or film alone, will not do.
    assert min(parts) > 0.1 * sum(parts)


@pytest.mark.parametrize("start", [WARM, COLD])
def test_thicker_board_resists_more_and_moving_air_less(start):
    thin, thick = (resistance_of_the_wall(start=start, layers=layers) for layers in (1, 2))
    assert thick > 1.1 * thin
    for layers, still in ((1, thin), (2, thick)):
        assert resistance_of_the_wall(start=start, layers=layers, speed=DRAUGHT) < 0.95 * still


@pytest.mark.parametrize("start", [WARM, COLD])
def test_the_thicker_the_board_the_less_a_draught_changes(start):
    # A draught takes from the outermost of the three only, whatever the board is.
    gained = [
        1.0
        - resistance_of_the_wall(start=start, layers=layers, speed=DRAUGHT)
        / resistance_of_the_wall(start=start, layers=layers)
        for layers in (1, 2)
    ]
    assert gained[0] > 1.1 * gained[1] > 0.0


@pytest.mark.parametrize("start", [WARM, COLD])
def test_air_beside_the_jar_is_a_large_part_and_foil_adds_to_it(start):
    across, through, beyond = sum_of_resistances(jar(), start)
    assert across > through
    assert across > 0.4 * (across + through + beyond)
    # Radiation carries more than half of the heat across the gap, and as much from the outside of the board.
    assert resistance_of_the_wall(start=start, emissivity=0.05) > 1.5 * resistance_of_the_wall(start=start)


# --- jars -----------------------------------------------------------------------------------------


@functools.cache
def solid_after(**how):
    """When all wax of the jar is solid [s]."""
    result = simulate(problem_of(jar(**how)))
    assert result.ledger.closed
    return result.required_events().solid_throughout


def test_a_jar_feels_board_and_draught_as_its_box_does():
    assert solid_after(layers=2) > 1.02 * solid_after()
    assert solid_after(speed=DRAUGHT) < 0.98 * solid_after()
    # Behind gap and board a draught does less than to a bare jar, whose only resistance to the room it is.
    boxed, bare = (
        solid_after(is_boxed=is_boxed, speed=DRAUGHT) / solid_after(is_boxed=is_boxed) for is_boxed in (True, False)
    )
    assert bare < boxed - 0.1


# --- heating and cooling --------------------------------------------------------------------------


def resistance_of_the_flaps(inside, room, layers):
    """From the air of the box through closed flaps to the room, of these temperatures [°C], [K/W]."""
    boxed = dataclasses.replace(jar(layers=layers), room=Room(temperature=room))
    above = air_above(boxed, boxed.surround, plan=cell_of(boxed, boxed.surround).plan)
    laws = {link.ends: link.conductance for link in above.links}
    under, over = laws[BOX_AIR, FLAPS_INSIDE], laws[FLAPS_OUTSIDE, ROOM]
    through = laws[FLAPS_INSIDE, FLAPS_OUTSIDE]

    def lower(upper):
        return upper + over(upper, room) * (upper - room) / through

    def surplus(upper):
        return under(inside, lower(upper)) * (inside - lower(upper)) - over(upper, room) * (upper - room)

    # So warm a lower face would be all that the inside is: the answer lies before that.
    most = brentq(lambda upper: lower(upper) - inside, room, inside)
    upper = brentq(surplus, room, most)
    return (inside - room) / (over(upper, room) * (upper - room))


def test_heating_and_cooling_differ_most_where_the_board_is_thin():
    """The same two temperatures, the warmer one inside or outside.

    Under a warm lid the air of the box rises against it, and the room's air rises off it; if the room is the warmer one
    both layers lie still. So our box is slower to warm than to cool. The board is the same both ways, and the more of
    it there is the less they differ.
    """
    differ = [
        resistance_of_the_flaps(ROOM_AT, WARM, layers) / resistance_of_the_flaps(WARM, ROOM_AT, layers) - 1.0
        for layers in (1, 2, 4)
    ]
    assert 0.4 < differ[0] < 0.7
    assert differ[0] > differ[1] > differ[2] > 0.0
