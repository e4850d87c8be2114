"""The first skin at the glass against the closed form of two bodies brought into contact, one of which freezes."""

import pytest
from held import held

from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.contact import FIRST_SKIN, skin_of
from tests.support.pair import closed_pair

BARE, _ = closed_pair()


def test_lowest_temperature_of_the_wall_is_that_of_two_bodies_in_contact():
    held(FIRST_SKIN)


@pytest.mark.parametrize("grid", [1.4, 2.0, 3.0])
def test_lowest_temperature_and_remelting_do_not_depend_on_the_grid(grid):
    usual, fine = skin_of(BARE), skin_of(BARE, grid=grid)
    # The grid's error of 0.3 K, and 0.1 K by which the wall warms between the first steps that are judged. The skin
    # melts again while the wall warms by 0.09 K a second, so 3 s are 0.3 K.
    assert usual.coldest == pytest.approx(fine.coldest, abs=0.4)
    assert usual.melted_again == pytest.approx(fine.melted_again, abs=3.0)


def test_what_sets_at_a_metal_wall_that_was_free_is_no_first_skin():
    # A quarter of a millimetre of steel is as hot as the melt within seconds (0.9 kJ/m2K against some 500 W/m2K); its
    # wall begins to set minutes later, because the room cools it, while the melt is still hot.
    tin = with_overrides(
        BARE,
        {
            "vessel.material": "tinned-steel",
            "vessel.wall": "0.25 mm",
            "vessel.base": "0.25 mm",
            "pour.temperature": "60 °C",
        },
    )
    result = simulate(tin.jar)
    assert result.events.first_skin is None
    assert result.events.rim_set > 60.0
    # The glass of the same size has one.
    assert skin_of(BARE).melted_again is not None
