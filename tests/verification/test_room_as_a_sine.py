"""A cylinder in a room whose temperature goes up and down as a sine, against the closed form."""

from held import held

from coolsim.studies.verify.small_bodies import ROOM_AS_A_SINE


def test_swing_and_delay_in_the_cylinder_are_those_of_the_closed_form():
    held(ROOM_AS_A_SINE)
