"""A body without inner resistance that loses heat by a rising film and by radiation, run through the solver.

Source of the figures: computed independently for this project, by integration of rho c V/A dT/dt = -q(T) with
rho c V/A = 23375 J/m2/K, 70 °C at the start, air and walls at 21 °C, film 2.2 dT^0.25 W/m2/K, emissivity 0.9.
"""

import numpy as np
import pytest

from coolsim.model.materials import Inert
from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.freezing_problems import AIR, one_block

RADIUS, HEIGHT = 2e-3, 3e-3
# All faces lose heat alike, so only the ratio of volume to area counts; copper-like, so that the body has one
# temperature: its Biot number is below 1e-4.
CAPACITY = 23375.0 * (2.0 / RADIUS + 2.0 / HEIGHT)
BODY = Inert(name="body", conductivity=400.0, density=1000.0, heat_capacity=CAPACITY / 1000.0)
TOLERANCE = 0.02  # K, as asked; steps of 0.01 K each leave less than half of it


def rising_film(surface, air):
    return 2.2 * abs(surface - air) ** 0.25


def cooling_body(film, *, horizon):
    result = simulate(
        Problem(
            section=one_block(BODY, radius=RADIUS, height=HEIGHT, radial_cells=2, axial_cells=3, start=70.0),
            boundaries=tuple(
                Boundary(name=facing, part="wax", facing=facing, film=film, emissivity=0.9)
                for facing in ("outwards", "up", "down")
            ),
            room=AIR,
            accuracy=Accuracy(tolerance=0.01, first_step=1.0),
            horizon=horizon,
            stop_when_cool=False,
        )
    )
    assert result.ledger.closed
    return result.time, result.temperatures(np.arange(len(result.block)))


@pytest.mark.parametrize(
    ("film", "exact"),
    [
        (rising_film, {600: 56.990863, 1800: 41.474978, 3600: 30.595994, 7200: 23.545022, 14400: 21.266313}),
        (0.0, {824.037: 60.0, 3636.412: 40.0}),
    ],
    ids=["film and radiation", "radiation alone"],
)
def test_lumped_body_follows_the_exact_curve(film, exact):
    time, temperature = cooling_body(film, horizon=14400.0)
    for cell in temperature.T:
        # Between steps the logarithm of the excess is nearly straight.
        found = AIR + np.exp(np.interp(list(exact), time, np.log(cell - AIR)))
        assert found == pytest.approx(list(exact.values()), abs=TOLERANCE)


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
