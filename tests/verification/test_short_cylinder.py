"""A short bar that cools on all faces: the product of the solutions of the long bar and of the plate."""

import pytest
from held import held

from coolsim.studies.verify.bars import SHORT_BAR, SHORT_NAMES, SHORT_POINTS, cool_short_bar, product

TABULATED = 1e-6  # the numbers have six decimals


def test_short_bar_follows_the_product_solution():
    held(SHORT_BAR)


@pytest.mark.parametrize(("slenderness", "biot", "fourier", "shares"), SHORT_POINTS)
def test_product_solution_gives_the_tabulated_numbers(slenderness, biot, fourier, shares):
    assert product(slenderness, biot, fourier) == pytest.approx(shares, abs=TABULATED)


@pytest.mark.parametrize(("slenderness", "biot", "fourier", "shares"), SHORT_POINTS)
def test_half_a_bar_on_an_insulated_bottom_is_half_of_the_whole_bar(slenderness, biot, fourier, shares):
    half = cool_short_bar(slenderness, biot, fourier, whole=False)
    assert dict(zip(SHORT_NAMES, half, strict=True)) == pytest.approx(
        dict(zip(SHORT_NAMES, shares, strict=True)), abs=1e-3
    )
    # 1e-9: the plane of symmetry carries no heat; the two grids are the same, only round-off differs.
    assert half == pytest.approx(cool_short_bar(slenderness, biot, fourier, whole=True), abs=1e-9)
