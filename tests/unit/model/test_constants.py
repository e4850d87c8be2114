"""The constants are those of scipy, which reads them from the tables of CODATA."""

import pytest
import scipy.constants

from coolsim.model import constants


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("STEFAN_BOLTZMANN", scipy.constants.Stefan_Boltzmann),
        ("GAS_CONSTANT", scipy.constants.gas_constant),
        ("STANDARD_GRAVITY", scipy.constants.g),
        ("STANDARD_ATMOSPHERE", scipy.constants.atm),
        ("ZERO_CELSIUS", scipy.constants.zero_Celsius),
    ],
)
def test_a_constant_is_that_of_scipy(name, expected):
    # Older releases of scipy state the derived ones with ten digits only.
    assert getattr(constants, name) == pytest.approx(expected, rel=2e-10)
