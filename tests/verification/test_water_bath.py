"""A tall jar of a filling that never freezes, in a water bath."""

from dataclasses import replace

import pytest
from held import held

from coolsim import Room, simulate
from coolsim.studies.verify.small_bodies import WATER_BATH, WATER_JAR, tall_jar


def test_mid_height_of_a_tall_jar_in_water_follows_the_series():
    held(WATER_JAR)


def test_below_the_level_the_jar_follows_the_water_and_above_it_the_air():
    jar, _ = tall_jar(2.0, 6.0)
    half = replace(jar, water=replace(jar.water, depth=0.12), room=Room(temperature=60.0))
    result = simulate(half)
    last = len(result.time) - 1
    assert result.temperature_at(0.0, 0.02)[last] == pytest.approx(WATER_BATH, abs=0.5)  # six Fourier numbers: cold
    assert result.temperature_at(0.0, 0.22)[last] > 60.0  # the air's film is some tenth of the water's
