"""How fast a cylinder of wax converges that freezes under films: cells and steps halved together.

No outside value is needed for an order. The halving is done once more, and for a whole jar, in DEVELOPERS.md.
"""

import numpy as np
import pytest

from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.freezing_problems import CONDUCTION, frozen_share_reaches, made_up_wax, one_block

WAX = made_up_wax(
    freezing=(44.0, 50.0), conductivity_solid=0.22, conductivity_liquid=0.165, density=900.0, latent_heat=150e3
)
FILMS = (("side", "outwards", 6.0), ("top", "up", 9.0), ("base", "down", 12.0))


def smooth_measures(halved):
    """Heat given off through each face in four hours [J], and the time to half solid [s]."""
    result = simulate(
        Problem(
            section=one_block(
                WAX, radius=0.036, height=0.080, radial_cells=6 * halved, axial_cells=14 * halved, start=65.0
            ),
            boundaries=tuple(
                Boundary(name=name, part="wax", facing=facing, film=film, path=name) for name, facing, film in FILMS
            ),
            room=21.0,
            melt=CONDUCTION,
            # A quarter of the tolerance makes steps of half the length and less.
            accuracy=Accuracy(tolerance=0.4 / halved**2, first_step=1.0 / halved, longest_step=600.0 / halved),
            horizon=15000.0,
            stop_when_cool=False,
        )
    )
    heat = [float(np.interp(14400.0, result.time, result.heat_lost(name))) for name, _, _ in FILMS]
    return np.array([*heat, frozen_share_reaches(result, 0.5)])


def test_freezing_converges_with_the_square_of_cell_and_step():
    coarse, middle, fine = (smooth_measures(halved) for halved in (1, 2, 4))
    orders = np.log2((coarse - middle) / (middle - fine))
    # 0.2: a face or a front treated to first order would show 1. Measured 1.83 to 1.87, and 1.89 to 1.93 one halving
    # further.
    assert orders == pytest.approx(2.0, abs=0.2)
    # A third of the last change is left if the order is 2; measured 0.11 % of the heat and 0.39 % of the time.
    assert np.abs(middle / fine - 1.0).max() < 5e-3
