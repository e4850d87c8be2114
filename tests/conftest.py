import os
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import settings

import coolsim

ROOT = Path(__file__).parents[1]
# `.ci/run` sets it: what is tested is then the package as users get it, with every file that it needs.
INSTALLED = "COOLSIM_TEST_INSTALLED"

# `python -m pytest tests/any_scenario --hypothesis-profile=ten-thousand`: 2500 scenarios in each of its four files.
settings.register_profile("ten-thousand", max_examples=2500, print_blob=True)


def pytest_report_header() -> str:
    return f"coolsim: {Path(coolsim.__file__).parent}"


def pytest_configure() -> None:
    if not os.environ.get(INSTALLED):
        return
    if Path(coolsim.__file__).parent == ROOT / "coolsim":
        raise pytest.UsageError(f"{INSTALLED} is set, but coolsim is that of {ROOT}: install it without -e")
    # Processes that tests start look there, too.
    if ROOT in (Path(place).resolve() for place in sys.path):
        raise pytest.UsageError(
            f"{INSTALLED} is set, but Python looks for coolsim in {ROOT}: call `pytest` by its name"
        )


@pytest.fixture(autouse=True)
def _floating_point_errors_are_exceptions() -> Iterator[None]:
    """A division by zero or an invalid value anywhere in the arrays of a test is a failure of that test."""
    # Underflow stays silent: exp(-t/tau) that fades to zero is the right answer.
    with np.errstate(divide="raise", over="raise", invalid="raise", under="ignore"):
        yield
