"""Equal but for round-off: which runs go through the solver together moves their answers by that."""

import pytest


def nearly(value):
    """What to compare a value with; steps are chosen by what is rounded, which makes some 1e-9 of it."""
    return pytest.approx(value, rel=1e-7, abs=1e-12) if isinstance(value, float) else value
