"""Fats that are heated and cooled against what was found of butter.

Source: Nahid, A. (2007), Modelling heat transfer in butter products, PhD thesis, Massey University, Palmerston North
(first half of the abstract read; its figures were not to be had). The specific heat capacity of butter differs between
cooling and heating: on cooling the fat is supercooled and crystallises late, well below the temperature of equilibrium,
which lowers the heat capacity against that on heating.

Butter is another fat, and its water freezes, too. What is tested is the sign, of the waxes of the catalogue that freeze
by their acids: they freeze in one crystal form and melt in a more stable one. How far apart the two are does not depend
on the rate of cooling here, as it does in a fat.
"""

import functools

import numpy as np
import pytest

from coolsim.model.freezing import on_heating
from coolsim.model.freezing_curve import liquid_at
from coolsim.model.materials import catalogue_wax
from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.freezing_problems import CONDUCTION, one_block

COLD, HOT = 15.0, 75.0
COMPOSED = ("soft-vegetable", "softer-vegetable", "vegetable-no-trans", "hard-and-oil", "hard-vegetable")


@functools.cache
def run(name, *, heated):
    """A rod of 12 mm in moving air, from cold to hot or from hot to cold."""
    wax = catalogue_wax(name)
    start, air = (COLD, HOT) if heated else (HOT, COLD)
    result = simulate(
        Problem(
            section=one_block(
                on_heating(wax) if heated else wax, radius=0.006, height=0.1, radial_cells=8, axial_cells=1, start=start
            ),
            boundaries=(Boundary(name="side", part="wax", facing="outwards", film=30.0),),
            room=air,
            melt=CONDUCTION,
            accuracy=Accuracy(tolerance=0.1),
            horizon=3 * 3600.0,
            stop_when_cool=False,
        )
    )
    assert result.ledger.closed
    return result


def heat_between(name, *, heated):
    """Heat taken up or given off [J/kg], by the mean temperature of the wax [°C], which rises or falls."""
    result = run(name, heated=heated)
    heat = np.abs(result.heat_lost("side")) / (result.wax.volume.sum() * catalogue_wax(name).density)
    return heat, result.mean_wax_temperature()


@pytest.mark.parametrize("name", COMPOSED)
def test_cooling_gives_off_less_heat_than_heating_takes_up(name):
    given, taken = (heat_between(name, heated=heated)[0][-1] for heated in (False, True))
    # The stable form holds a fifth to a quarter more of latent heat; sensible heat is the same both ways.
    assert 1.08 < taken / given < 1.2


@pytest.mark.parametrize("name", COMPOSED)
def test_half_of_the_heat_goes_at_a_lower_temperature_on_cooling(name):
    half = []
    for heated in (False, True):
        heat, temperature = heat_between(name, heated=heated)
        half.append(float(np.interp(0.5 * heat[-1], heat, temperature)))
    # From half a kelvin, where the tail is long, to eleven, where the fat is nearly one triglyceride.
    assert half[0] < half[1] - 0.3


@pytest.mark.parametrize("name", COMPOSED)
def test_at_no_temperature_more_is_solid_on_cooling_than_on_heating(name):
    wax = catalogue_wax(name)
    temperatures = np.arange(0.0, HOT, 0.5)
    cooling, heating = (
        1.0 - np.array([liquid_at(one.freezing, at) for at in temperatures]) for one in (wax, on_heating(wax))
    )
    # 0.1 %: temperatures of the two curves are rounded to 0.1 °C.
    assert (cooling - heating).max() < 1e-3
    # Late by 3 to 11 K: somewhere 8 % and more that is solid on heating is still liquid on cooling.
    assert (heating - cooling).max() > 0.08
