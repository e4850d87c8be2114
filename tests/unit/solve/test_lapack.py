"""The LAPACK routines come without scipy.linalg where they can, and with it where they cannot."""

import subprocess
import sys

import pytest

PROGRAM = """
import sys
{before}
import numpy as np
from coolsim.solve.lapack import dpbsv, dptsv
print("scipy.linalg" in sys.modules)
diagonal, beside, right = np.array([2.0, 3.0, 4.0]), np.array([1.0, -1.0]), np.array([1.0, 2.0, 3.0])
full = np.diag(diagonal) + np.diag(beside, 1) + np.diag(beside, -1)
*_, along, failed = dptsv(diagonal, beside, right)
*_, banded, failed_too = dpbsv(np.array([diagonal, [*beside, 0.0]]), right, lower=True)
# Whoever wants all of scipy.linalg later gets it, with the same routines.
from scipy.linalg import solve
from scipy.linalg.lapack import dptsv as public
print(failed, failed_too, np.array_equal(public(diagonal, beside, right)[2], along))
expected = solve(full, right)
print(np.allclose(along, expected, rtol=1e-12), np.allclose(banded, expected, rtol=1e-12))
"""
# As on Windows, where scipy first names the folder of its libraries.
NOT_LOADED = """
from importlib.machinery import ExtensionFileLoader
create = ExtensionFileLoader.create_module
def refuse(self, spec):
    if "_flapack" in spec.name and "scipy.linalg" not in sys.modules:
        raise ImportError("a library that it needs is not found")
    return create(self, spec)
ExtensionFileLoader.create_module = refuse
"""


@pytest.mark.parametrize(
    ("before", "with_all"),
    [("", False), ("import scipy.linalg", True), (NOT_LOADED, True)],
    ids=["alone", "loaded with scipy.linalg before", "not to be loaded alone"],
)
def test_routines_are_the_same_whichever_way_they_come(before, with_all):
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM.format(before=before)], capture_output=True, encoding="utf-8", check=True
    )
    assert done.stdout.splitlines() == [str(with_all), "0 0 True", "True True"]
