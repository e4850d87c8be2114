"""Main effects against functions whose first-order indices are known in closed form."""

import numpy as np
import pytest
from scipy.stats import qmc

from coolsim.studies.spread.influence import main_effects


def sobol(runs, inputs):
    return qmc.Sobol(inputs, scramble=True, seed=1).random(runs)


def test_the_indices_of_ishigami_s_function_are_met():
    # Ishigami, T., Homma, T. (1990). An importance quantification technique in uncertainty analysis for computer
    # models. ISUMA 1990, IEEE, 398-403: y = sin x1 + a sin^2 x2 + b x3^4 sin x1, all x even between -pi and pi. The
    # citation is from memory; the indices follow from the integrals: V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V3 = 0, and
    # all that is left is of x1 and x3 together.
    a, b = 7.0, 0.1
    first = 0.5 * (1.0 + b * np.pi**4 / 5.0) ** 2
    second = a**2 / 8.0
    whole = second + b * np.pi**4 / 5.0 + b**2 * np.pi**8 / 18.0 + 0.5
    levels = sobol(4096, 3)
    x = np.pi * (2.0 * levels - 1.0)
    answer = np.sin(x[:, 0]) + a * np.sin(x[:, 1]) ** 2 + b * x[:, 2] ** 4 * np.sin(x[:, 0])
    found = main_effects(levels, answer, degrees=10)
    # The interaction acts as noise of 0.24 of the variance on 4096 runs and ten degrees: sqrt(2 0.24 10/4096) = 0.03.
    np.testing.assert_allclose(found.shares, [first / whole, second / whole, 0.0], atol=0.03)
    assert found.unexplained == pytest.approx(1.0 - (first + second) / whole, abs=0.03)
    # Waves of sin^2 are beyond a cubic: what it cannot follow is left unexplained, not given to another input.
    cubic = main_effects(levels, answer)
    assert cubic.unexplained > found.unexplained + 0.3
    assert cubic.shares[2] < 0.02


def test_a_sum_is_split_as_its_variances_are():
    levels = sobol(256, 3)
    found = main_effects(levels, 100.0 - 3.0 * levels[:, 0] + 4.0 * levels[:, 2])
    # Exact but for how evenly 256 points lie.
    np.testing.assert_allclose(found.shares, [9 / 25, 0.0, 16 / 25], atol=0.01)
    assert found.unexplained < 1e-20
    assert found.trends[0] < 0.0 < found.trends[2]


def test_what_is_only_noise_stays_within_what_chance_gives():
    random = np.random.default_rng(5)
    levels = sobol(256, 8)
    found = [main_effects(levels, random.normal(size=256)) for _ in range(20)]
    above = np.mean([one.shares > one.noise for one in found])
    # Meant to be about one in twenty; 160 draws scatter by 0.02.
    assert above < 0.1
    assert np.mean([one.unexplained for one in found]) == pytest.approx(1.0, abs=0.05)


def test_too_few_runs_or_an_answer_that_never_varies_tell_nothing():
    assert main_effects(sobol(16, 6), np.arange(16.0)) is None
    assert main_effects(sobol(64, 2), np.full(64, 3.0)) is None
    # Degrees are given up before the answer is.
    assert main_effects(sobol(32, 6), sobol(32, 6)[:, 0]).degree == 1
