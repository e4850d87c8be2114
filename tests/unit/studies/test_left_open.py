"""Intervals of a fit against those of the exact posterior, for models that are written down. No run is made."""

from dataclasses import replace

import numpy as np
import pytest

from coolsim.studies.fit.estimate import Data
from coolsim.studies.fit.left_open import left_open
from coolsim.studies.fit.search import search

SPREAD = 0.2


class Written:
    """A model of two fields and, if it has slopes, errors of a thermometer."""

    def __init__(self, shape, slopes=None):
        self.shape = shape
        self.slopes = np.empty((len(shape(np.zeros(2))), 0)) if slopes is None else slopes

    def predict(self, place):
        return self.shape(place[:2]) + self.slopes @ place[2:]

    def by_errors(self, place):
        return self.slopes

    def timing(self, place):
        return np.zeros(len(self.slopes))

    def near(self, fields, *, needed=0):
        # A coarser grid shifts all it shows.
        return fields, np.array([self.shape(one) + 0.3 for one in fields])


def found(model, values, bounds=4.0):
    size = 2 + model.slopes.shape[1]
    low, high = np.full(size, -bounds), np.full(size, bounds)
    data = Data(values=values, group=np.full(len(values), -1), deviation=np.full(len(values), SPREAD))
    return left_open(model, data, search(model, data, fields=2, low=low, high=high), low=low, high=high)


def exact(shape, values, bounds=4.0):
    """Find the ends of both intervals by adding up the posterior over a fine grid."""
    line = np.linspace(-bounds, bounds, 801)
    both = np.stack(np.meshgrid(line, line, indexing="ij"), axis=-1).reshape(-1, 2)
    off = (shape(both) - values) / SPREAD
    density = np.exp(-0.5 * ((off**2).sum(axis=1) + (both**2).sum(axis=1))).reshape(801, 801)
    ends = []
    for axis in (1, 0):
        below = np.cumsum(density.sum(axis=axis)) / density.sum()
        ends.append([line[np.searchsorted(below, share)] for share in (0.025, 0.975)])
    return np.array(ends)


def bent(place):
    """A valley that bends: only the first less half the square of the second is measured."""
    return np.stack([place[..., 0] - 0.5 * place[..., 1] ** 2], axis=-1)


def straight(place):
    """Two that add up, of which one is all but told."""
    return np.stack([place[..., 0] + place[..., 1], 5.0 * place[..., 0]], axis=-1)


# With some thousand draws an end of an interval is known to a tenth of its half width.
CLOSE = 0.12
# Where a valley bends, draws end at the farthest run, and where that lies hangs on the draws before: with 36 seeds the
# ends were off by up to 0.59 and 0.21 of the half widths. The last digit of a sum, which is the machine's own,
# works like another seed. The curvature is off by 1.11 and 0.40.
CLOSE_IN_A_BEND = np.array([[0.8], [0.3]])


@pytest.mark.parametrize(
    ("shape", "bounds", "close"),
    [(bent, 4.0, CLOSE_IN_A_BEND), (straight, 4.0, CLOSE), (straight, 0.3, CLOSE)],
    ids=["bent", "straight", "walled"],
)
def test_intervals_are_those_of_the_posterior_however_its_valley_lies(shape, bounds, close):
    values = shape(np.array([0.2, 0.4])) + 0.05
    expected = exact(shape, values, bounds)
    interval = found(Written(shape), values, bounds).interval
    half = 0.5 * (expected[:, 1] - expected[:, 0])
    np.testing.assert_array_less(np.abs(interval - expected) / half[:, None], np.broadcast_to(close, (2, 2)))


def test_errors_of_the_thermometer_widen_the_intervals_and_have_their_own():
    # All is straight and Gaussian here, so the covariance is that of linear algebra.
    slopes = np.array([[0.5], [0.5]])
    model = Written(straight, slopes)
    values = model.predict(np.array([0.2, 0.4, 1.0]))
    estimate_ = found(model, values)
    jacobian = np.column_stack([[1.0, 5.0], [1.0, 0.0], slopes])
    covariance = np.linalg.inv(jacobian.T @ jacobian / SPREAD**2 + np.eye(3))
    expected = 1.96 * np.sqrt(np.diag(covariance))
    half = 0.5 * (estimate_.interval[:, 1] - estimate_.interval[:, 0])
    np.testing.assert_allclose(half, expected, rtol=CLOSE)
    np.testing.assert_allclose(np.diag(estimate_.covariance), np.diag(covariance), rtol=2.0 * CLOSE)


def test_a_search_finds_the_most_probable_values_from_coarse_runs():
    model = Written(straight)
    values = straight(np.array([0.2, 0.4])) + 0.05
    jacobian = np.array([[1.0, 1.0], [5.0, 0.0]])
    expected = np.linalg.solve(jacobian.T @ jacobian + SPREAD**2 * np.eye(2), jacobian.T @ values)
    data = Data(values=values, group=np.full(2, -1), deviation=np.full(2, SPREAD))
    searched = search(model, data, fields=2, low=np.full(2, -4.0), high=np.full(2, 4.0))
    # All is straight, so the first runs tell it, to what least squares stop at, and one round more makes sure.
    np.testing.assert_allclose(searched.found.parameters, expected, atol=0.01)
    np.testing.assert_allclose(searched.missed, -0.3)
    assert len(searched.fields) == 5 + 3


def test_a_search_that_stopped_in_the_wrong_place_is_led_to_a_better_one():
    # The second is measured as its square, less a little for its sign: two floors, of which the lower is at +1.
    def two_floors(place):
        return np.array([place[0], place[1] ** 2, 0.05 * place[1]])

    model, truth = Written(two_floors), np.array([0.0, 1.0])
    values = two_floors(truth)
    wrong = np.array([0.0, -1.0])
    low, high = np.full(2, -4.0), np.full(2, 4.0)
    data = Data(values=values, group=np.full(3, -1), deviation=np.array([0.1, 0.1, 0.02]))
    begun, near = search(model, data, fields=2, low=low, high=high), np.diag([0.01, 1.0])
    at = replace(
        begun.found, parameters=wrong, predicted=model.predict(wrong), covariance=near, deviation=data.deviation
    )
    no_runs = replace(begun, found=at, fields=wrong[None], shown=model.near(wrong[None])[1])
    better = left_open(model, data, no_runs, low=low, high=high)
    assert better.parameters[1] == pytest.approx(1.0, abs=0.1)
