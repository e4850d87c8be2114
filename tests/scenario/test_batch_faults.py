"""What does not fit before the pour is one fault, with its key, what was found and what to do."""

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import with_overrides
from tests.support.pair import closed_pair

BARE = closed_pair()[0]

FAULTS = {
    "oil above its limit": (
        {"batch.highest_load": "6 %"},
        "wax.fragrance_load: found 8 % of oil in the mix, above the highest load, 6 % (batch.highest_load), take less"
        " oil, or state the limit of the supplier's sheet.",
    ),
    "limits upside down": (
        {"batch.lowest_load": "9.5 %", "batch.highest_load": "9 %"},
        "batch.lowest_load: found 9.5 %, above batch.highest_load, 9 %, give at most that.",
    ),
    "poured too near the flash point": (
        {"batch.flash_point": "70 °C"},
        "pour.temperature: found 65 °C, but wax with oil must stay 10 °C (batch.flash_margin) below the flash point of"
        " the oil, 70 °C, give at most 60 °C.",
    ),
    "wicks too long": ({"wick.trim": "60 mm"}, "wick.trim: found '60 mm', give a value from 0 mm to 50 mm."),
    "no wick": ({"wick.number": 0}, "wick.number: found 0, give a whole number from 1 to 12."),
    "a price without a weight": (
        {"prices.wax": 9.5},
        "prices.wax: found 9.5 without a unit, give a price by weight such as '9.50 per kg'.",
    ),
    "a price with its currency": (
        {"prices.jar": "1.20 EUR"},
        "prices.jar: found '1.20 EUR' (unknown unit 'EUR'), expected a price of one such as '1.20 each' (units: each).",
    ),
    "less than nothing": (
        {"prices.lid": "-1 each"},
        "prices.lid: found '-1 each', give a value from 0 each to 10000 each.",
    ),
    "a currency as a number": ({"prices.currency": 978}, "prices.currency: found 978, give a text in quotes."),
    "a pitcher that is filled for a day": (
        {"melting.between": "24 h"},
        "melting.between: found '24 h', give a value from 0 s to 12 h.",
    ),
    "no jar": ({"batch.jars": 0}, "batch.jars: found 0, give a whole number from 1 to 1000."),
}


def faults_of(changes):
    with pytest.raises(ScenarioError) as caught:
        with_overrides(BARE, {"batch.jars": 6} | changes)
    return [fault.removeprefix("tumbler-bare.toml: ") for fault in caught.value.faults]


@pytest.mark.parametrize(("changes", "message"), FAULTS.values(), ids=FAULTS)
def test_it_is_one_fault(changes, message):
    assert faults_of(changes) == [message]


def test_the_limits_hold_only_where_a_batch_is_made():
    # A jar with 12 % may be simulated; common practice would not weigh it.
    assert with_overrides(BARE, {"wax.fragrance_load": "12 %"}).batch is None
    assert faults_of({"wax.fragrance_load": "12 %"})[0].startswith("wax.fragrance_load: found 12 % of oil in the mix")
    assert with_overrides(BARE, {"wax.fragrance_load": "12 %", "batch.highest_load": "12 %"}).batch.load == 0.12


def test_a_flash_point_is_that_of_the_oil():
    assert with_overrides(BARE, {"batch.flash_point": "70 °C", "wax.fragrance_load": None}).batch.hottest_oil == 60.0
    assert with_overrides(BARE, {"batch.flash_point": "75 °C"}).batch.hottest_oil == 65.0
