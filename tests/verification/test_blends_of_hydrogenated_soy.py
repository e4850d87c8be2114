"""The model of triglycerides against blends of fully hydrogenated soybean oil in soybean oil, mixed as they are.

Sources, whose figures were not to be had:

- Zulkurnain, M., Balasubramaniam, V. M. and Maleky, F. (2019), Effects of lipid solid mass fraction and non-lipid
  solids on crystallization behaviors of model fats under high pressure, Molecules 24(15):2853,
  doi:10.3390/molecules24152853 (abstract read): blends of 10 to 30 %; solid share and storage modulus follow the share
  of hydrogenated fat more than the pressure.
- Ribeiro et al. 2009 (names and year from memory), Thermal behavior, microstructure, polymorphism, and crystallization
  properties of zero trans fats from soybean oil and fully hydrogenated soybean oil, Food Biophysics,
  doi:10.1007/s11483-009-9106-y (abstract read): blends of 10 to 50 %; their thermal behaviour is linear in the share.
  Interesterified they hold far less of triglycerides of three saturated acids.
- Mahjoob, R. et al. (2017), Food Science and Biotechnology 27(2):343, doi:10.1007/s10068-017-0262-4 (abstract read):
  the same with fully hydrogenated palm olein. Solid share and melting point rise with it; interesterified, both fall.

The acids are those of the catalogue's "hard-and-oil", an estimate. Nothing is fitted.
"""

import numpy as np
import pytest

from coolsim.model.catalogue import FATS, Composition
from coolsim.model.fats import fat_curve
from coolsim.model.softness import Softness

(_, HARD), (_, OIL) = FATS["hard-and-oil"].parts
SHARES = (0.1, 0.2, 0.3, 0.4, 0.5)
FORMS = ("beta-prime", "beta")


def blend(share, form="beta-prime"):
    return fat_curve(Composition(((share, HARD), (1.0 - share, OIL)), form=form))


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("temperature", [25.0, 30.0, 40.0])
def test_hydrogenated_fat_is_nearly_all_solid_in_oil_and_so_makes_the_solid_share(temperature, form):
    # What melts at 60 °C hardly dissolves in oil at room temperature: a tenth more of it is a tenth more solid.
    solid = [blend(share, form).solid(temperature) for share in SHARES]
    assert np.diff(solid) == pytest.approx(0.1, abs=0.013)
    # The saturated acids of the oil itself add some per cent where it is cool, and it dissolves some where it is warm.
    assert np.array(solid) - SHARES == pytest.approx(0.0, abs=0.045)


@pytest.mark.parametrize("form", FORMS)
def test_heat_is_linear_in_the_share(form):
    heat = np.array([blend(share, form).heat for share in SHARES])
    # Heats are rounded to 1 kJ/kg.
    assert np.diff(heat) == pytest.approx((heat[-1] - heat[0]) / 4.0, abs=1.1e3)
    assert heat[0] < 0.8 * heat[-1]


@pytest.mark.parametrize("form", FORMS)
def test_the_more_of_it_the_hotter_it_begins_to_freeze(form):
    # Ideal solution: the point falls with the logarithm of what is left, so the first tenths count most.
    starts = np.array([blend(share, form).starts for share in SHARES])
    assert (np.diff(starts) > 0.5).all()
    assert (np.diff(starts, 2) < 0.1).all()


def test_stiffness_follows_the_share():
    softness = Softness()
    stress = [softness.yield_stress(1.0 - blend(share).solid(25.0)) for share in SHARES]
    assert (np.diff(stress) > 0.0).all()
    # Three times the fat: in a network of crystals stiffness rises with a high power of what is solid.
    assert stress[2] > 10.0 * stress[0]


def mixed(share):
    """The same acids, spread over all triglycerides at random."""
    acids = dict.fromkeys((name for name, _ in (*HARD, *OIL)), 0.0)
    for part, fat in ((share, HARD), (1.0 - share, OIL)):
        for name, of_it in fat:
            acids[name] += part * of_it
    return fat_curve(Composition(((1.0, tuple(acids.items())),), form="beta"))


@pytest.mark.parametrize("share", SHARES)
def test_interesterified_they_are_softer_when_warm(share):
    # Most molecules of three saturated acids are parted, and what has one acid of the oil melts lower.
    assert mixed(share).solid(40.0) < 0.6 * blend(share, "beta").solid(40.0)
    assert mixed(share).starts < blend(share, "beta").starts - 2.0
