"""The smooth curves of the figures are those of a library."""

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from coolsim.solve.smooth import smooth


@pytest.mark.parametrize("count", [2, 3, 4, 9])
def test_a_smooth_curve_is_the_monotone_cubic_through_its_points(count):
    random = np.random.default_rng(0)
    for _ in range(50):
        places = np.cumsum(random.uniform(0.1, 1.0, count))
        # Coarse values: level stretches and turns occur.
        values = np.round(random.normal(size=(count, 3)), 1)
        at = np.linspace(places[0], places[-1], 57)
        # Both round off in the sixteenth digit.
        assert smooth(places, values, at) == pytest.approx(PchipInterpolator(places, values)(at), abs=1e-12)
