"""The sequence behind a spread against that of scipy, number by number."""

import numpy as np
import pytest
from scipy.stats import qmc

from coolsim.studies.spread import sobol as module
from coolsim.studies.spread.sobol import sobol


@pytest.mark.parametrize(("columns", "count", "seed"), [(1, 8, 0), (2, 16, 1), (22, 64, 0), (40, 1024, 7)])
def test_rows_are_those_of_scipy(columns, count, seed):
    theirs = qmc.Sobol(columns, scramble=True, seed=np.random.default_rng(seed))
    np.testing.assert_array_equal(sobol(columns, count, seed), theirs.random_base2(count.bit_length() - 1))


def test_rows_come_from_scipy_where_it_keeps_its_numbers_elsewhere(monkeypatch):
    own = sobol(5, 32, 3)
    monkeypatch.setattr(module, "_FILE", "stats/not_there.npz")
    monkeypatch.setattr(module, "_rows", None)
    np.testing.assert_array_equal(sobol(5, 32, 3), own)


def test_a_column_has_one_number_in_each_of_as_many_even_parts():
    # The property for which such sequences are made, kept by the scrambling (Owen 1997, from memory).
    rows = sobol(30, 64, 5)
    assert (np.sort(np.floor(64.0 * rows), axis=0) == np.arange(64.0)[:, None]).all()
