"""What a logged cooling curve can tell without a model: the latent heat of a thin body, not that of a jar.

Newtonian thermal analysis takes the loss per kelvin from a stretch of the curve without freezing and charges it to the
stretch with freezing: what is left over is the latent heat. It holds for a body of one temperature. That it fails at
the Biot number of a jar, in either direction according to the stretch that is taken, was computed independently for
this project; so a log is fitted with the solver.
"""

import functools

import numpy as np
import pytest
from scipy.integrate import trapezoid

from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.freezing_problems import AIR, CONDUCTION, LATENT_HEAT, falls_below, made_up_wax, one_block

RADIUS, FILM = 0.0355, 9.5
SOLID, LIQUID = 2100.0, 2300.0
BEFORE, FREEZING, AFTER = (70.0, 60.0), (60.0, 47.0), (45.0, 35.0)


@functools.cache
def bar(conducts):
    """A bar of wax that freezes from 57 to 50 °C, poured at 75 °C, its conductivities multiplied."""
    wax = made_up_wax(
        freezing=(50.0, 57.0),
        conductivity_solid=0.24 * conducts,
        conductivity_liquid=0.16 * conducts,
        heat_capacity_solid=SOLID,
        heat_capacity_liquid=LIQUID,
    )
    result = simulate(
        Problem(
            section=one_block(wax, radius=RADIUS, height=0.01, radial_cells=40, axial_cells=1, start=75.0),
            boundaries=(Boundary(name="side", part="wax", facing="outwards", film=FILM, path="side"),),
            room=AIR,
            melt=CONDUCTION,
            accuracy=Accuracy(tolerance=0.1, first_step=0.1),
            horizon=60000.0,
        )
    )
    assert result.ledger.closed
    return result


def latent_heat_from_the_curve(result, *, radius, stretch, heat_capacity):
    """Latent heat [J/kg] as Newtonian analysis has it, the loss per kelvin taken from a stretch of the curve."""
    time, temperature = result.time, result.temperature_at(radius, 0.005)
    (hot, cold), (starts, ends) = (
        [falls_below(time, temperature, level) for level in levels] for levels in (stretch, FREEZING)
    )
    loss = heat_capacity * np.log((stretch[0] - AIR) / (stretch[1] - AIR)) / (cold - hot)
    now = np.linspace(starts, ends, 2000)
    lost = loss * trapezoid(np.interp(now, time, temperature) - AIR, now)
    return lost - 0.5 * (SOLID + LIQUID) * (FREEZING[0] - FREEZING[1])


PLACES = (0.0, 0.5 * RADIUS, 0.999 * RADIUS)
STRETCHES = ((BEFORE, LIQUID), (AFTER, SOLID))


@pytest.mark.parametrize("radius", PLACES)
@pytest.mark.parametrize(("stretch", "heat_capacity"), STRETCHES, ids=["before", "after"])
def test_curve_of_a_body_of_one_temperature_tells_its_latent_heat(radius, stretch, heat_capacity):
    # Biot number 0.014 with the solid; temperatures inside differ by a like share of the excess. 2 % is one and a half
    # times that.
    found = latent_heat_from_the_curve(bar(100.0), radius=radius, stretch=stretch, heat_capacity=heat_capacity)
    assert found == pytest.approx(LATENT_HEAT, rel=0.02)


@pytest.mark.parametrize("radius", PLACES)
@pytest.mark.parametrize(("stretch", "heat_capacity"), STRETCHES, ids=["before", "after"])
def test_curve_of_a_jar_misleads_about_its_latent_heat(radius, stretch, heat_capacity):
    # Biot number 1.4: off by a third and more, too much or too little, at any place and with either stretch.
    found = latent_heat_from_the_curve(bar(1.0), radius=radius, stretch=stretch, heat_capacity=heat_capacity)
    assert abs(found / LATENT_HEAT - 1.0) > 1.0 / 3.0
