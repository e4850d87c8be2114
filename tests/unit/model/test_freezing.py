"""The curve by which a wax melts, beside the one by which it freezes."""

from dataclasses import replace

import pytest

from coolsim.model.freezing import on_heating
from coolsim.model.materials import catalogue_wax, liquid_density

PLAIN = catalogue_wax("soft-vegetable")
BENT = replace(
    PLAIN, freezing=((35.0, 0.0), (41.0, 0.4), (45.0, 1.0)), melting=None, melting_heat=None, clear_point=50.0
)


def test_on_heating_the_whole_curve_moves_up_to_the_clear_point_and_nothing_else_changes():
    heated = on_heating(BENT)
    assert heated.freezing == ((40.0, 0.0), (46.0, 0.4), (50.0, 1.0))
    assert replace(heated, freezing=BENT.freezing) == BENT
    assert liquid_density(heated, 80.0) == liquid_density(BENT, 80.0)


def test_a_density_stated_for_melt_that_is_cooling_counts_from_the_clear_point():
    # Between the two curves there is no melt on heating; the mass of a fill is that of the pour in any case.
    cooling = replace(BENT, density_liquid_at=46.0)
    heated = on_heating(cooling)
    assert heated.density_liquid_at == 50.0
    assert heated.density == cooling.density
    assert liquid_density(heated, 50.0) == pytest.approx(cooling.density_liquid, rel=1e-12)
