"""The straight line with its tail, and curves that are moved."""

import pytest

from coolsim.model.catalogue import FATS, NEVER_SETS, PARAFFIN_CURVES, WAXES
from coolsim.model.fats import fat_curve
from coolsim.model.freezing_curve import moved_curve, straight_curve, temperature_at
from coolsim.model.materials import catalogue_wax


def test_nine_tenths_freeze_over_the_range_and_the_rest_over_a_tail_as_long():
    assert straight_curve(45.0, 35.0) == ((25.0, 0.0), (35.0, 0.1), (45.0, 1.0))


@pytest.mark.parametrize("name", [name for name in WAXES if name not in FATS and name not in NEVER_SETS])
def test_catalogue_waxes_of_which_only_the_ends_are_known_have_the_tail(name):
    starts, ends = (WAXES[name][key].nominal for key in ("freezing_starts", "freezing_ends"))
    wax = catalogue_wax(name)
    assert wax.freezing == straight_curve(starts, ends)
    assert wax.freezing_ends == ends


def test_water_has_no_tail():
    assert catalogue_wax("water").freezing == ((0.0, 0.0), (0.1, 1.0))


def test_a_moved_straight_line_is_that_of_the_new_ends():
    moved = moved_curve(straight_curve(45.0, 35.0), starts=50.0, ends=44.0)
    assert [share for _, share in moved] == [0.0, 0.1, 1.0]
    assert [temperature for temperature, _ in moved] == pytest.approx([38.0, 44.0, 50.0], rel=1e-12)


@pytest.mark.parametrize(
    "curve", [fat_curve(FATS["soft-vegetable"]).curve, catalogue_wax(next(iter(PARAFFIN_CURVES))).freezing]
)
def test_a_moved_curve_keeps_its_shares_and_has_the_new_ends(curve):
    moved = moved_curve(curve, starts=60.0, ends=30.0)
    assert [share for _, share in moved] == [share for _, share in curve]
    assert (moved[-1][0], temperature_at(moved, 0.1)) == pytest.approx((60.0, 30.0), rel=1e-12)
    # What lies halfway between the ends stays there.
    assert (60.0 - temperature_at(moved, 0.5)) / 30.0 == pytest.approx(
        (curve[-1][0] - temperature_at(curve, 0.5)) / (curve[-1][0] - temperature_at(curve, 0.1)), rel=1e-12
    )


def test_the_temperature_of_a_share_lies_between_its_rows():
    curve = ((10.0, 0.0), (20.0, 0.0), (30.0, 0.4), (40.0, 1.0))
    assert temperature_at(curve, 0.2) == 25.0
    # Where the curve is flat, the warmest place that is still all solid.
    assert temperature_at(curve, 0.0) == 20.0
    assert temperature_at(curve, 1.0) == 40.0
