"""What a workshop can do differently is said in one place, in its own units."""

from typing import get_args

import pytest

from coolsim.report.text.changes import change_text, value_data
from coolsim.studies.pour.changes import ChangeName

SAID = {
    "put it into the box": (None, "put it into the box"),
    "put it into the box, flaps closed": (
        None,
        "put it into the box, flaps closed",
        "put it into the box, flaps closed",
    ),
    "put it alone into the box": (None, "put it alone into the box"),
    "leave it bare": (None, "leave it bare on the bench"),
    "warm the jar": (35.0, "warm the jar to 35 °C", "warm the jar to 95 °F"),
    "cool the jar": (20.0, "let the jar cool to 20 °C", "let the jar cool to 68 °F"),
    "warm the room": (25.0, "warm the room to 25 °C", "warm the room to 77 °F"),
    "cool the room": (15.0, "cool the room to 15 °C", "cool the room to 59 °F"),
    "warm the water": (25.0, "warmer water, at 25 °C", "warmer water, at 77 °F"),
    "cool the water": (15.0, "colder water, at 15 °C", "colder water, at 59 °F"),
    "pour hotter": (65.0, "pour hotter, at 65 °C", "pour hotter, at 149 °F"),
    "pour cooler": (55.0, "pour cooler, at 55 °C", "pour cooler, at 131 °F"),
    "fill less": (0.75, "fill only 75 % as high"),
    "other wax": ("coconut-blend", "take another wax: coconut blend"),
    "still air": (None, "keep draughts off"),
    "close the flaps": (None, "close the flaps"),
    "open the flaps": (None, "open the flaps"),
    "cover the flaps": (0.01, "lay a towel of 10 mm over the flaps", "lay a towel of 13/32 in over the flaps"),
    "stand it alone": (None, "stand it alone in the box"),
    "stand it among others": (None, "stand other jars on two sides of it"),
    "stand them apart": (0.024, "stand the jars 24 mm apart", "stand the jars 15/16 in apart"),
    "lay a towel under it": (0.01, "lay a towel of 10 mm under it", "lay a towel of 13/32 in under it"),
    "allow longer": (7200.0, "allow 2:00 h"),
}


def test_every_change_has_words():
    assert set(SAID) == {*get_args(ChangeName), "allow longer"}


@pytest.mark.parametrize(("name", "said"), SAID.items())
def test_a_change_says_where_it_goes_in_the_units_of_the_workshop(name, said):
    value, metric, *us = said
    assert change_text(name, value, "metric") == metric
    assert change_text(name, value, "us") == (us[0] if us else metric)


@pytest.mark.parametrize(
    ("name", "key"),
    [("warm the jar", "value_C"), ("fill less", "share"), ("cover the flaps", "value_m"), ("allow longer", "value_s")],
)
def test_a_number_says_its_unit_in_json(name, key):
    assert value_data(name, 1.5) == {key: 1.5}
    assert value_data("other wax", "beeswax") == {"value": "beeswax"}
