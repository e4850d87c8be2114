"""Melting points and heats of single triglycerides."""

import numpy as np
import pytest

from coolsim.errors import MaterialError
from coolsim.model.triglycerides import ACIDS, GLYCERIDE, melting_points_and_heats


def of(*acids, form="beta"):
    """Melting point [°C] and heat [kJ/mol] of one triglyceride, its middle acid in the middle."""
    points, heats = melting_points_and_heats(list(acids), np.array([[0, 1, 2]]), form=form)
    return float(points[0]), float(heats[0]) / 1e3


@pytest.mark.parametrize(
    ("acid", "point", "heat"), [("16:0", 64.48, 168.0), ("18:1", -1.32, 100.8)], ids=["tripalmitin", "triolein"]
)
def test_the_stable_form_of_two_known_triglycerides_is_met(acid, point, heat):
    # Computed independently from the published model, printed with two and one decimals.
    assert of(acid, acid, acid) == (pytest.approx(point, abs=5e-3), pytest.approx(heat, abs=0.05))


@pytest.mark.parametrize(
    ("form", "point", "heat"), [("alpha", 11.00, 36.18), ("beta-prime", -6.82, 85.55), ("beta", 3.41, 104.98)]
)
def test_a_triglyceride_of_unlike_acids_is_met_in_each_form(form, point, heat):
    # 16:0 and 18:2 outside, 18:1 in the middle: p = 16, x = 2, y = 2. Worked out once by a second program, written from
    # the formula and the table of parameters alone; the slack is its rounding.
    assert of("16:0", "18:1", "18:2", form=form) == (pytest.approx(point, abs=5e-3), pytest.approx(heat, abs=5e-3))


@pytest.mark.parametrize("form", ["alpha", "beta-prime", "beta"])
def test_the_two_outer_acids_may_change_places_and_the_middle_one_may_not(form):
    assert of("16:0", "18:1", "18:0", form=form) == of("18:0", "18:1", "16:0", form=form)
    assert of("16:0", "16:0", "18:1", form=form)[0] != of("16:0", "18:1", "16:0", form=form)[0]


def test_the_stable_form_melts_last_and_takes_the_most_heat():
    for acid in ("16:0", "18:0", "18:1 trans"):
        points, heats = zip(*(of(acid, acid, acid, form=form) for form in ("alpha", "beta-prime", "beta")), strict=True)
        assert list(points) == sorted(points)
        assert list(heats) == sorted(heats)


def test_the_molar_mass_is_that_of_the_formula():
    # Tristearin is C57H110O6, triolein C57H104O6; 1e-9 leaves room for round-off only.
    def molar_mass(hydrogen):
        return 57 * 12.011e-3 + hydrogen * 1.008e-3 + 6 * 15.999e-3

    assert 3 * ACIDS["18:0"].molar_mass + GLYCERIDE == pytest.approx(molar_mass(110), rel=1e-9)
    assert 3 * ACIDS["18:1"].molar_mass + GLYCERIDE == pytest.approx(molar_mass(104), rel=1e-9)


def test_an_acid_that_is_none_of_the_model_is_refused_with_the_list():
    with pytest.raises(MaterialError, match="no fatty acid '18:3' in the model; choose from 12:0"):
        of("18:3", "18:0", "18:0")
