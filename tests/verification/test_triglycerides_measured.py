"""The model of triglycerides against calorimetry of two pure ones, in the stable form.

Trielaidin: triple point 314.83 K, heat of fusion 177.4 J/g ("Investigation of the thermal behavior of trielaidin
between 10 K and 360 K", abstract read). Tristearin: 221.6 and 219.6 J/g ("Thermal properties of tristearin by adiabatic
and differential scanning calorimetry", J. Chem. Eng. Data 2005, 50(5), 1624, abstract read).
"""

import numpy as np
import pytest

from coolsim.model.triglycerides import ACIDS, GLYCERIDE, melting_points_and_heats


def of_one_acid(name):
    """Melting point [°C] and heat of melting [J/g] of the triglyceride with three times this acid."""
    point, heat = melting_points_and_heats([name], np.array([[0, 0, 0]]), form="beta")
    return float(point[0]), float(heat[0]) / (3 * ACIDS[name].molar_mass + GLYCERIDE) / 1e3


def test_trielaidin_melts_where_it_was_measured_to_and_takes_its_heat_within_a_tenth():
    point, heat = of_one_acid("18:1 trans")
    assert point == pytest.approx(314.83 - 273.15, abs=1.0)  # the model is said to be good to 7 K for mixtures
    assert heat == pytest.approx(177.4, rel=0.10)


def test_tristearin_takes_its_measured_heat_within_a_twentieth():
    _, heat = of_one_acid("18:0")
    assert heat == pytest.approx(0.5 * (221.6 + 219.6), rel=0.05)
