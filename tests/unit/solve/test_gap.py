"""The air between a jar and the board beside it, of which only a share of the circle may be there."""

import numpy as np
import pytest

from coolsim.model.problem import Accuracy, Link, Problem
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Block, Section, Span
from coolsim.solve.integrate import integrate
from coolsim.solve.network import build
from coolsim.studies.verify.problems import STILL, inert

RADIUS, GAP, BOARD, LOW, HIGH = 0.03, 0.01, 0.004, 0.09, 0.01
FILM, SHARE = 6.0, 0.25


def problem(*, share=SHARE, seconds=0.01, emissivity=0.0):
    """Two rows of cells of very different heights."""
    both = ("low", "high")
    section = Section(
        radial=(
            Span(name="jar", length=RADIUS, cells=1),
            Span(name="gap", length=GAP, cells=1),
            Span(name="board", length=BOARD, cells=1),
        ),
        axial=(Span(name="low", length=LOW, cells=1), Span(name="high", length=HIGH, cells=1)),
        blocks=(
            Block(part="glass", material=inert(1.0, 2e6), radial=("jar",), axial=both, start=50.0),
            Block(part="board", material=inert(0.05, 2e5), radial=("board",), axial=both, start=20.0),
        ),
        coverage=(("board", share),),
    )
    return Problem(
        section=section,
        boundaries=(),
        links=(Link(inner="glass", outer="board", film=FILM, emissivity=emissivity),),
        melt=STILL,
        accuracy=Accuracy(tolerance=1e6, first_step=seconds, longest_step=seconds),
        horizon=2.0 * seconds,
        stop_when_cool=False,
        start=lambda r, z: np.where(r > RADIUS, 20.0, np.where(z < LOW, 50.0, 30.0)),
    )


@pytest.mark.parametrize(("share", "emissivity"), [(0.25, 0.0), (1.0, 0.0), (0.25, 0.8)])
def test_heat_crosses_the_gap_only_where_there_is_board(share, emissivity):
    network = build(problem(share=share, seconds=1.0, emissivity=emissivity))
    history = integrate(network)
    # From the middle of the glass out, across the air, and half of the board in: a ring that is there in part.
    half_board = np.log((RADIUS + GAP + 0.5 * BOARD) / (RADIUS + GAP)) / (2.0 * np.pi * 0.05)
    # Cells round the axis: twice the distance from the middle of the cell over its outer area.
    half_glass = 0.5 * RADIUS / (2.0 * np.pi * RADIUS * 1.0)
    # Faces are as warm as their cells at first, 48 and 20 °C on the mean, by their areas.
    film = FILM + radiation_film(48.0, 20.0, emissivity=emissivity)
    per_height = share / (half_glass + 1.0 / (2.0 * np.pi * RADIUS * film) + half_board)
    board = np.array([block.part == "board" for block in network.blocks])[network.block]
    taken = (history.enthalpy[1] - history.enthalpy[0])[board] @ network.volume[board]
    # Board warms by under 0.1 K in the second of the first step: that much less of a difference of 10 to 30 K.
    assert taken == pytest.approx(per_height * (LOW * 30.0 + HIGH * 10.0), rel=5e-3)


def test_the_faces_of_a_gap_are_as_warm_as_their_area_on_the_mean():
    warm, cold = integrate(build(problem())).gaps[-1, 0]
    mean = (LOW * 50.0 + HIGH * 30.0) / (LOW + HIGH)
    # Glass, air and half of the board one after the other share the difference by their resistances.
    resistances = np.array(
        [
            0.5 * RADIUS / (2.0 * np.pi * RADIUS),
            1.0 / (2.0 * np.pi * RADIUS * FILM),
            np.log((RADIUS + GAP + 0.5 * BOARD) / (RADIUS + GAP)) / (2.0 * np.pi * 0.05),
        ]
    )
    falls = (mean - 20.0) * resistances / resistances.sum()
    # In hundredths of a second nothing moves by more than a few millikelvins.
    assert warm == pytest.approx(mean - falls[0], abs=0.02)
    assert cold == pytest.approx(20.0 + falls[2], abs=0.02)
