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
