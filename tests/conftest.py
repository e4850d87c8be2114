from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import settings

# `python -m pytest tests/any_scenario --hypothesis-profile=ten-thousand`: as many scenarios as its tests say for it.
settings.register_profile("ten-thousand", max_examples=2500, print_blob=True)


@pytest.fixture(autouse=True)
def _floating_point_errors_are_exceptions() -> Iterator[None]:
    """A division by zero or an invalid value anywhere in the arrays of a test is a failure of that test."""
    # Underflow stays silent: exp(-t/tau) that fades to zero is the right answer.
    with np.errstate(divide="raise", over="raise", invalid="raise", under="ignore"):
        yield
