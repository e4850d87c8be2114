"""The curve by which a wax melts, beside the one by which it freezes."""

from dataclasses import replace

import pytest

from coolsim.model.freezing import on_heating
from coolsim.model.materials import catalogue_wax, liquid_density

PLAIN = catalogue_wax("soft-vegetable")
PARAFFIN = catalogue_wax("paraffin")


def test_on_heating_the_whole_curve_moves_up_to_the_clear_point_and_nothing_else_changes():
    bent = replace(PARAFFIN, freezing=((50.0, 0.0), (53.0, 0.4), (55.0, 1.0)))
    heated = on_heating(bent)
    assert heated.freezing == ((51.0, 0.0), (54.0, 0.4), (56.0, 1.0))
    assert replace(heated, freezing=bent.freezing) == bent
    assert liquid_density(heated, 80.0) == liquid_density(bent, 80.0)


def test_set_wax_of_known_acids_melts_by_the_curve_and_with_the_heat_of_its_stable_form():
    heated = on_heating(replace(PLAIN, clear_point=PLAIN.clear_point + 2.0))
    assert [share for _, share in heated.freezing] == [share for _, share in PLAIN.melting]
    assert [temperature for temperature, _ in heated.freezing] == pytest.approx(
        [temperature + 2.0 for temperature, _ in PLAIN.melting], rel=1e-12
    )
    assert heated.latent_heat == PLAIN.melting_heat > PLAIN.latent_heat
    # What melts by that curve has no other one.
    assert on_heating(heated) == heated


def test_wax_with_one_crystal_form_melts_with_its_heat_of_freezing():
    assert on_heating(PARAFFIN).latent_heat == PARAFFIN.latent_heat


def test_a_density_stated_for_melt_that_is_cooling_counts_from_the_clear_point():
    # Between the two curves there is no melt on heating; the mass of a fill is that of the pour in any case.
    cooling = replace(PLAIN, density_liquid_at=47.0)
    heated = on_heating(cooling)
    assert heated.density_liquid_at == 52.8
    assert heated.density == cooling.density
    assert liquid_density(heated, 52.8) == pytest.approx(cooling.density_liquid, rel=1e-12)
