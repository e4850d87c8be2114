"""What every workshop knows: common practice, no source."""

import functools
import math

import pytest
from made_up_jars import event_times, tumbler

from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.workshop.amounts import amounts
from tests.support.pair import closed_pair

EIGHT_OUNCES = 235e-6  # m3 of hot wax, about


@functools.cache
def eight_ounce_jar(*, boxed):
    inner_radius = 0.036
    result = simulate(tumbler(boxed=boxed, depth=EIGHT_OUNCES / (math.pi * inner_radius**2)))
    assert result.ledger.closed
    return result


def test_a_boxed_jar_of_eight_ounces_is_cold_by_the_next_morning():
    # Poured at six in the evening, within 3 K of the room at eight: under 14 h. It is an hour's matter at least.
    cool = eight_ounce_jar(boxed=True).events.cool
    assert 3600.0 < cool < 14 * 3600.0


@pytest.mark.parametrize("name", ["rim_set", "top_closed", "wick_free_until", "fully_set", "cool"])
def test_the_box_slows_the_cooling(name):
    bare, boxed = (event_times(eight_ounce_jar(boxed=boxed).events)[name] for boxed in (False, True))
    # "Slows" means that one sees it without a clock that counts seconds.
    assert boxed > 1.1 * bare


def test_the_top_of_a_jar_closes_long_after_its_rim_has_set():
    for boxed in (False, True):
        events = eight_ounce_jar(boxed=boxed).events
        assert events.top_closed > 1.5 * events.rim_set


def test_two_pounds_of_wax_with_their_oil_fill_five_jars_of_eight_ounces():
    # Common practice, no source: 908 g of wax plus its oil fill five straight-sided jars of 8 oz.
    # What fill that implies, by hand: with 8 % oil in the mix 908 g make 987 g, less 10 g in the pitcher 977 g. At
    # 880 kg/m3 (hot liquid) that is 1110 mL: 222 mL in each of five jars. Of a jar that holds 8 US fl oz (236.6 mL)
    # brimful that is 94 %, 5 mm below the rim of one 80 mm high: the most that five can take; six would get 78 %.
    # So "fills five" holds for fills of 78 to 94 % of the brim, and the usual 85 to 90 % lies between.
    brim = 8 * 29.5735e-3 * 1e-3
    for share, jars in ((0.77, 6), (0.80, 5), (0.85, 5), (0.90, 5), (0.93, 5), (0.95, 4)):
        volume = f"{1e6 * share * brim:.2f} mL"
        melt = {"batch.melt": "908 g", "pour.volume": volume, "wax.fragrance_load": "8 %", "batch.left_behind": "10 g"}
        filled = amounts(with_overrides(closed_pair()[0], melt)).filled
        assert filled.jars == jars, share
