"""Small bodies against ordinary differential equations."""

import numpy as np
import pytest
from held import held

from coolsim.model.materials import Inert
from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.freezing_problems import AIR, one_block
from coolsim.studies.verify.small_bodies import LUMPED_BODY

TOLERANCE = 0.02  # K, as asked; steps of 0.01 K each leave less than half of it


def test_lumped_body_follows_the_exact_curve():
    held(LUMPED_BODY)


def test_one_single_cell_follows_the_exponential_curve():
    # Its link to others is an array of none, which LAPACK refused.
    film, side = 10.0, Boundary(name="side", part="wax", facing="outwards", film=10.0)
    wood = Inert(name="wood", conductivity=0.4, density=1000.0, heat_capacity=1000.0)
    problem = Problem(
        section=one_block(wood, radius=0.01, height=0.01, radial_cells=1, axial_cells=1, start=70.0),
        boundaries=(side,),
        room=AIR,
        accuracy=Accuracy(tolerance=0.01, first_step=1.0),
        horizon=900.0,
        stop_when_cool=False,
    )
    result = simulate(problem)
    # A block round the axis holds a parabola: to its face it is half the radius.
    resistance = 1.0 / film + 0.5 * 0.01 / wood.conductivity
    exact = AIR + (70.0 - AIR) * np.exp(-result.time * 2.0 / (0.01 * 1e6 * resistance))
    assert result.temperatures(np.array([0]))[:, 0] == pytest.approx(exact, abs=TOLERANCE)
    assert result.ledger.closed
