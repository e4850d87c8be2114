"""What is known of a value beforehand: of which contact, of which material."""

import pytest

from coolsim.model.catalogue import CONTACTS
from coolsim.scenario import with_overrides
from coolsim.scenario.plausible import plausible
from tests.support.pair import closed_pair

BARE, BOXED = closed_pair()


@pytest.mark.parametrize(
    ("scenario", "overrides", "contact"),
    [
        (BOXED, {"surround.under_layers": 1}, "jar-on-board"),
        (BOXED, {"surround.under_layers": 0}, "glass-on-bench"),
        (BARE, {}, "glass-on-bench"),
        (BARE, {"vessel.material": "steel"}, "tin-on-bench"),
    ],
)
def test_the_contact_of_the_foot_is_that_with_what_the_jar_stands_on(scenario, overrides, contact):
    known = plausible(with_overrides(scenario, {"vessel.foot": None, **overrides}), "vessel.foot")
    assert (known.low, known.high) == (CONTACTS[contact].low, CONTACTS[contact].high)
    assert known.centre == CONTACTS[contact].nominal


@pytest.mark.parametrize(
    ("wax", "low", "high"),
    [("soft-vegetable", 1e6, 1e7), ("paraffin", 3e5, 3e7), ("beeswax", 3e5, 3e7), ("paraffin-47", 3e5, 3e7)],
)
def test_the_stiffness_of_waxes_that_are_no_fats_is_known_ten_times_worse(wax, low, high):
    found = plausible(with_overrides(BARE, {"wax.kind": wax, "pour.temperature": "80 °C"}), "mush.stiffness")
    assert (found.low, found.centre, found.high) == pytest.approx((low, 3e6, high))
    assert ("ten times either way" in found.source) == (low == 3e5)
