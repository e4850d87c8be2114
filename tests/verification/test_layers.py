"""Layers, heat put in through a face, sources and a conductivity that follows temperature."""

import numpy as np
import pytest
from held import held

from coolsim.model.problem import Contact
from coolsim.studies.verify.layers import (
    BAR_IN_A_WALL,
    HEATED_BELT,
    HEATED_SLAB,
    HISTORY,
    INNER,
    OUTER,
    STEADY_TUBE,
    TwoLayers,
    textbook_tube,
)
from coolsim.studies.verify.problems import run


@pytest.mark.parametrize("case", [STEADY_TUBE, BAR_IN_A_WALL, HEATED_BELT, HEATED_SLAB], ids=lambda case: case.id)
def test_layers_and_sources_meet_their_solutions(case):
    held(case)


def test_numbers_of_the_textbook_tube_are_those_computed_independently():
    heat = 500.0 / (np.log(2.0) / (2 * np.pi * 19.0) + np.log(2.5) / (2 * np.pi * 0.2))
    assert heat == pytest.approx(680.30, abs=0.005)
    assert 600.0 - heat * np.log(2.0) / (2 * np.pi * 19.0) == pytest.approx(596.05, abs=0.005)


def test_number_of_the_textbook_slab_is_that_of_its_formula():
    exact = (np.sqrt(1.0 + 0.02 * 5.0 * 10.0**2 / (2 * 2.0)) - 1.0) / 0.01
    assert exact == pytest.approx(87.0828693387, abs=1e-10)


def test_contact_between_two_layers_adds_its_resistance():
    # The same tube with a contact of 500 W/m2/K between the layers: one more resistance 1/(h A) in the series.
    heat = 500.0 / (
        np.log(2.0) / (2 * np.pi * 19.0) + 1.0 / (500.0 * 2 * np.pi * 0.02) + np.log(2.5) / (2 * np.pi * 0.2)
    )
    tube = run(textbook_tube(contacts=[Contact(parts=("cover", "steel"), conductance=500.0)]))
    assert tube.flow("outside") == pytest.approx(heat, rel=1e-6)  # exact on any grid, as above


@pytest.fixture(scope="module")
def two_layers():
    return TwoLayers()


@pytest.mark.parametrize(("time", "centre", "at_inner", "at_outer"), HISTORY)
def test_series_for_two_layers_gives_the_tabulated_numbers(two_layers, time, centre, at_inner, at_outer):
    # Three decimals; computed independently.
    assert two_layers.temperature(np.array([0.0, INNER, OUTER]), time) == pytest.approx(
        [centre, at_inner, at_outer], abs=6e-4
    )
