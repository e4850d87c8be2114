"""A canister of hot water with a lid on a table, as schools measure it: how well the films can be trusted at all."""

from held import held

from coolsim.studies.verify.practice import HOT_WATER


def test_hot_water_cools_as_quickly_as_schools_measure():
    # Without radiation the loss would be below the range of all measurements.
    held(HOT_WATER)
