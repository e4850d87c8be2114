"""A tall jar of a filling that never freezes, in a water bath, against the series for a long bar.

The series, and the numbers computed independently from it, are those of `test_infinite_cylinder.py`; here the whole
product is asked, from the jar to the temperature of a point. At mid-height the ends are six radii away and not felt.
"""

from dataclasses import replace

import numpy as np
import pytest

from coolsim import Jar, Room, Support, Vessel, WaterBath, catalogue_wax, simulate
from coolsim.model.problem import Accuracy, Melt
from coolsim.model.properties import Inert

RADIUS, WALL, DEPTH = 0.02, 0.2e-3, 0.24
FILLING = catalogue_wax("water")
POUR, BATH = 80.0, 20.0
# So thin and light that neither its resistance nor its heat counts: 1e-3 of the film's, 1e-4 of the filling's.
SHELL = Inert(name="shell", conductivity=5.0, density=100.0, heat_capacity=500.0)


def tall_jar(biot, fourier):
    """Return the jar and the time of Fo [s]."""
    film = biot * FILLING.conductivity_liquid / RADIUS * RADIUS / (RADIUS + WALL)
    capacity = FILLING.density * FILLING.heat_capacity_liquid
    time = fourier * RADIUS**2 * capacity / FILLING.conductivity_liquid
    jar = Jar(
        name="Tall",
        vessel=Vessel(
            diameter=2 * (RADIUS + WALL), height=DEPTH + WALL, wall=WALL, base=WALL, material=SHELL, start=POUR
        ),
        wax=FILLING,
        depth=DEPTH,
        pour=POUR,
        support=Support(material=None),
        water=WaterBath(temperature=BATH, depth=DEPTH + WALL, film=film),
        room=Room(temperature=21.0),
        melt=Melt(mixing="none"),
        accuracy=Accuracy(tolerance=0.02, first_step=0.05),
        horizon=1.05 * time,
    )
    return jar, time


@pytest.mark.parametrize(
    ("biot", "fourier", "centre"), [(1.0, 0.5, 0.548586), (2.0, 0.5, 0.372397), (5.0, 0.2, 0.671418)]
)
def test_mid_height_of_a_tall_jar_in_water_follows_the_series(biot, fourier, centre):
    jar, time = tall_jar(biot, fourier)
    result = simulate(jar)
    assert result.ledger.closed
    found = np.interp(time, result.time, result.temperature_at(0.0, 0.5 * DEPTH))
    # Found: 4e-4 to 9e-4 warmer. The shell, which the series leaves out, holds a thousandth of the heat back.
    assert (found - BATH) / (POUR - BATH) == pytest.approx(centre, abs=1e-3)


def test_below_the_level_the_jar_follows_the_water_and_above_it_the_air():
    jar, _ = tall_jar(2.0, 6.0)
    half = replace(jar, water=replace(jar.water, depth=0.12), room=Room(temperature=60.0))
    result = simulate(half)
    last = len(result.time) - 1
    assert result.temperature_at(0.0, 0.02)[last] == pytest.approx(BATH, abs=0.5)  # six Fourier numbers: cold
    assert result.temperature_at(0.0, 0.22)[last] > 60.0  # the air's film is some tenth of the water's
