"""What a batch takes, by hand arithmetic with the densities of the catalogue."""

import math

import numpy as np
import pytest

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import WAXES
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.workshop.amounts import amounts
from tests.support.pair import closed_pair

BARE = closed_pair()[0]
SOFT = {name: value.nominal for name, value in WAXES["soft-vegetable"].items()}
# Liquid at the pour of 65 °C, 5 K below the temperature of its stated density: 877 (1 + 7.3e-4 x 5) = 880.2 kg/m3.
HOT = 880.2


def of(**keys):
    return amounts(with_overrides(BARE, {name.replace("__", "."): value for name, value in keys.items()}))


def test_the_mass_in_a_jar_is_that_of_the_hot_liquid():
    assert SOFT["density_liquid"] == 877.0
    found = of(batch__jars=1)
    # 0.1 g: the density above is rounded to 0.02 %.
    assert found.density == pytest.approx(HOT, abs=0.05)
    assert found.net_weight == pytest.approx(235e-6 * HOT, abs=1e-4)
    assert found.fill_volume == pytest.approx(235e-6, rel=1e-9)


def test_wax_and_oil_by_hand():
    # 6 jars of 206.85 g and 20 g that stay behind: 1261.1 g of mix; 8 % of it is oil, 100.9 g, and 1160.2 g wax.
    found = of(batch__jars=6, batch__left_behind="20 g")
    # 0.2 g: figures above are rounded to 0.1 g.
    assert 1e3 * found.mix == pytest.approx(1261.1, abs=0.2)
    assert 1e3 * found.oil == pytest.approx(100.9, abs=0.2)
    assert 1e3 * found.wax == pytest.approx(1160.2, abs=0.2)
    # 8 g in 100 g of mix are 8 g to 92 g of wax.
    assert found.load_of_wax == pytest.approx(8 / 92, rel=1e-9)
    # Round-off.
    assert found.wax + found.oil == pytest.approx(6 * found.net_weight + 20e-3, rel=1e-12)
    assert found.wax_each + found.oil_each == pytest.approx(found.net_weight, rel=1e-12)


def test_a_fill_stated_as_a_mass_is_that_mass_at_the_level_of_the_hot_liquid():
    found = of(batch__jars=2, pour__mass="200 g", batch__left_behind="0 g")
    area = math.pi * BARE.jar.vessel.inner_radius**2
    # Round-off for the mass; the density of the hot liquid is rounded above.
    assert found.net_weight == pytest.approx(0.2, rel=1e-12)
    assert found.level_at_pour == pytest.approx(0.2 / (HOT * area), rel=1e-4)
    assert found.mix == pytest.approx(0.4, rel=1e-12)


def test_the_wax_stands_lower_once_it_has_set():
    found = of(batch__jars=1)
    top = simulate(BARE.jar).shrinkage
    mean = float(top.area @ top.level) / float(top.area.sum())
    # 0.3 mm: stiff wax at the wall keeps void from the beginning, the soft middle is drawn down a little longer.
    assert found.level_set == pytest.approx(mean, abs=0.3e-3)
    assert found.level_set < found.level_at_pour < found.rim


def test_the_level_falls_by_what_wax_loses_while_suction_moves_it():
    # 40 kPa, two fifths of the suction, move it down to 1 - 0.02 - (0.04 / 3)^(1/4) = 64.0 % liquid, on the way from
    # 65 °C. Less suction leaves it higher.
    found, airy = of(batch__jars=1), of(batch__jars=1, mush__suction="30 kPa")
    wax = BARE.jar.wax
    stiff = np.interp(0.640, *np.array(wax.freezing).T[::-1])
    hot, cold = wax.volume.density(np.array([65.0, stiff]), np.array([1.0, 0.640]))
    # Rounding of the share.
    assert found.level_set / found.level_at_pour == pytest.approx(hot / cold, abs=1e-5)
    assert found.level_set < airy.level_set < airy.level_at_pour


def test_a_melt_fills_whole_jars_and_leaves_the_rest():
    # 1000 g of wax take 1000 x 8/92 = 86.96 g of oil; less 10 g there are 1076.96 g: 5 jars of 206.85 g and 42.7 g.
    found = of(batch__jars=5, batch__melt="1 kg").filled
    assert found.jars == 5
    assert 1e3 * found.oil == pytest.approx(86.96, abs=0.01)
    # 0.3 g: five times the rounding of the mass in a jar.
    assert 1e3 * found.left == pytest.approx(42.7, abs=0.3)
    assert of(batch__jars=1).filled is None
    assert of(batch__jars=1, batch__melt="50 g").filled.jars == 0


def test_just_enough_wax_for_the_jars_fills_them_all():
    needed = of(batch__jars=7)
    again = of(batch__jars=7, batch__melt=f"{1e3 * needed.wax:.9f} g")
    assert again.filled.jars == 7
    assert not again.warnings
    # Less than a microgram.
    assert again.filled.left < 1e-9


@pytest.mark.parametrize(
    ("changes", "warning"),
    [
        ({"batch.melt": "150 g"}, "the melt of 150 g fills no jar: one needs 199 g of wax."),
        ({"wax.fragrance_load": "3 %"}, "3 % of oil in the mix is less than the lowest load, 4 % (batch.lowest_load)."),
    ],
)
def test_what_is_odd_is_said(changes, warning):
    found = amounts(with_overrides(BARE, {"batch.jars": 6} | changes))
    assert found.warnings == (warning,)


def test_wax_without_fragrance_needs_none():
    found = amounts(with_overrides(BARE, {"batch.jars": 6, "wax.fragrance_load": None}))
    assert (found.oil, found.load_of_wax, found.warnings) == (0.0, 0.0, ())
    assert not amounts(with_overrides(BARE, {"batch.jars": 6, "wax.fragrance_load": "4 %"})).warnings


def test_a_fill_by_mass_has_one_density_that_of_the_pour():
    by_mass = {"batch.jars": 6, "pour.volume": None, "pour.mass": "200 g"}
    scenario = with_overrides(BARE, by_mass)
    found = amounts(scenario)
    assert found.net_weight == pytest.approx(0.2, rel=1e-12)
    assert found.level_at_pour == scenario.jar.depth
    assert found.fill_volume == pytest.approx(0.2 / found.density, rel=1e-12)


def test_a_mass_that_would_stand_over_the_rim_when_hot_is_refused():
    # At the density half-way to the start of freezing this mass would just fit; at 95 °C it stands over the brim.
    rim = {"wax.kind": "paraffin", "pour.temperature": "95 °C", "wax.fragrance_load": "5 %", "pour.mass": "236 g"}
    with pytest.raises(ScenarioError, match=r"pour.mass: found a fill .* deep, above the brim"):
        with_overrides(BARE, rim)


def test_without_a_batch_there_is_nothing_to_weigh():
    with pytest.raises(ScenarioError, match=r"tumbler-bare.toml: batch: missing. Add a table \[batch\] with jars."):
        amounts(BARE)


def test_a_wick_reaches_from_the_base_to_the_holder_on_the_rim():
    # The rim is 86 - 8 = 78 mm over the base; tab and holder take 20 mm.
    found = of(batch__jars=6)
    assert found.wick == pytest.approx(0.098, rel=1e-9)
    assert found.wicks == 6
    found = of(batch__jars=6, wick__holder="12 mm", wick__number=3)
    assert found.wick == pytest.approx(0.090, rel=1e-9)
    assert found.wicks == 18


def test_a_wick_stands_out_of_wax_that_reaches_near_the_rim():
    # 72.6 mm of wax and 10 mm out of it are more than the 78 mm of the rim.
    full = of(batch__jars=1, pour__volume=None, pour__level="72.6 mm", wick__trim="10 mm")
    # A tenth of a millimetre: the level is one of hot liquid, the run's of one density.
    assert full.wick == pytest.approx(0.0726 + 0.010 + 0.020, abs=0.1e-3)


PRICES = {
    "prices__currency": "EUR",
    "prices__wax": "9.50 per kg",
    "prices__fragrance": "85 per kg",
    "prices__jar": "1.20 each",
    "prices__wick": "0.15 each",
    "prices__lid": "0.40 each",
    "prices__label": "0.20 each",
}


def test_the_cost_by_hand():
    # 1160.2 g of wax and 100.9 g of oil (above), 6 of each piece: 11.02 + 8.58 + 6 x 1.95 = 31.30.
    found = of(batch__jars=6, batch__left_behind="20 g", **PRICES).cost
    # 0.01: figures above are rounded to 0.1 g.
    assert found.batch == pytest.approx(31.30, abs=0.01)
    assert found.jar == pytest.approx(31.30 / 6, abs=0.002)
    assert (found.currency, found.left_out) == ("EUR", ())
    # Two wicks more in each jar.
    three = of(batch__jars=6, batch__left_behind="20 g", wick__number=3, **PRICES).cost
    assert three.batch - found.batch == pytest.approx(12 * 0.15, rel=1e-9)


def test_prices_by_the_pound_are_those_of_the_pound():
    by_pound = of(batch__jars=6, prices__wax="4.00 per lb").cost
    assert by_pound.batch == pytest.approx(4.0 * of(batch__jars=6).wax / 0.45359237, rel=1e-9)


def test_a_cost_says_what_has_no_price():
    assert of(batch__jars=6).cost is None
    found = of(batch__jars=6, prices__wax="10 per kg", prices__jar="0 each").cost
    assert found.left_out == ("fragrance oil", "wicks", "lids", "labels")
    assert found.batch == pytest.approx(10.0 * of(batch__jars=6).wax, rel=1e-9)
    # Without oil its price is not missed.
    plain = of(batch__jars=6, wax__fragrance_load=None, prices__wax="10 per kg").cost
    assert plain.left_out == ("jars", "wicks", "lids", "labels")
