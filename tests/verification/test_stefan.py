"""Freezing from a cold wall into a deep melt: roots against tabulated ones, coolsim against similarity solutions."""

import numpy as np
import pytest
from held import held
from scipy.special import erf, erfc

from coolsim.studies.verify.from_a_wall import (
    DAY,
    EVERY_STEFAN_NUMBER,
    FROZEN_SOIL,
    FROZEN_WAX,
    REFERENCE,
    REFERENCE_WAX,
    SHARP,
    SOIL,
    SOIL_FRONTS,
    TWO_REGIONS,
    WAX_ZONES,
    one_region,
    reference_run,
    two_regions,
)

TABULATED = 6e-7  # roots with six decimals


@pytest.mark.parametrize(
    "case", [EVERY_STEFAN_NUMBER, REFERENCE_WAX, FROZEN_SOIL, FROZEN_WAX], ids=lambda case: case.id
)
def test_wax_and_soil_freeze_from_a_wall_as_the_similarity_solutions_say(case):
    held(case)


@pytest.mark.parametrize(
    ("stefan", "root"), [(0.1, 0.22001627), (0.2, 0.30642391), (0.3, 0.36988022), (0.5, 0.46478592), (1.0, 0.62006263)]
)
def test_root_of_one_region_is_the_tabulated_one(stefan, root):
    # Eight decimals, computed independently.
    assert one_region(stefan) == pytest.approx(root, abs=6e-9)


@pytest.mark.parametrize(("stefan_solid", "stefan_liquid", "root"), TWO_REGIONS)
def test_root_of_two_regions_is_the_tabulated_one(stefan_solid, stefan_liquid, root):
    assert two_regions(stefan_solid, stefan_liquid, 1.5) == pytest.approx(root, abs=TABULATED)


def reference_root():
    alpha = 0.24 / (850 * 2100), 0.16 / (850 * 2300)
    return two_regions(2100 * 34 / 180e3, 2300 * 20 / 180e3, alpha[0] / alpha[1])


@pytest.mark.parametrize(("time", "front", "flux"), REFERENCE)
def test_root_of_the_reference_wax_gives_the_tabulated_fronts_and_fluxes(time, front, flux):
    root, alpha = reference_root(), 0.24 / (850 * 2100)
    assert root == pytest.approx(0.348958827369, abs=1e-12)
    assert 2 * root * np.sqrt(alpha * time) == pytest.approx(front, abs=6e-8)  # mm with four decimals
    assert 0.24 * 34 / erf(root) / np.sqrt(np.pi * alpha * time) == pytest.approx(flux, abs=6e-4)  # three decimals


@pytest.mark.parametrize("direction", ["axial", "radial"])
@pytest.mark.parametrize("time", [one[0] for one in REFERENCE])
def test_temperatures_on_both_sides_of_a_sharp_front_are_the_exact_ones(direction, time):
    root, solid, liquid = reference_root(), 0.24 / (850 * 2100), 0.16 / (850 * 2300)
    cooling = reference_run(direction, cells=220)
    grid, field = cooling.result.grid, cooling.at(time)
    x, found = (grid.r - 100.0, field[0]) if direction == "radial" else (grid.z, field[:, 0])
    front = 2 * root * np.sqrt(solid * time)
    exact = np.where(
        x < front,
        21.0 + 34.0 * erf(x / (2 * np.sqrt(solid * time))) / erf(root),
        75.0 - 20.0 * erfc(x / (2 * np.sqrt(liquid * time))) / erfc(root * np.sqrt(solid / liquid)),
    )
    outside_front_cells = np.abs(x - front) > 3 * np.interp(front, x, np.gradient(x))
    # 0.2 K: stated, of 54 K. The cell that the front passes through stays at 55 °C until it is frozen, so within a few
    # cells of it the field goes in steps of a cell's share of the gradient, up to 0.7 K.
    assert found[outside_front_cells] == pytest.approx(exact[outside_front_cells], abs=0.2)


def test_narrower_ranges_approach_the_sharp_front():
    exact = REFERENCE[-1][1]
    wide, narrow, narrower = (
        abs(reference_run(width=width).frozen_depth(7200.0) / exact - 1.0) for width in (4.0, 1.0, SHARP)
    )
    # A range of 4 K about the freezing point is an eighth of the 34 K between it and the wall and moves the front by
    # more than the tolerance of the sharp checks; 0.1 K does not: what is left there is the grid.
    assert wide > 5e-3
    assert narrow < wide / 2
    assert narrower < 1e-3


@pytest.mark.parametrize(("solidus", "gamma", "psi", "liquidus_at", "solidus_at"), SOIL_FRONTS)
def test_three_zones_with_one_conductivity_of_the_mush_have_the_published_fronts(
    solidus, gamma, psi, liquidus_at, solidus_at
):
    zones = SOIL(solidus=solidus, mush_follows_fraction=False)
    assert zones.roots() == pytest.approx((gamma, psi), abs=TABULATED)
    assert zones.fronts[1] * np.sqrt(DAY) == pytest.approx(liquidus_at, abs=TABULATED)
    assert zones.fronts[0] * np.sqrt(DAY) == pytest.approx(solidus_at, abs=TABULATED)


def test_three_zones_of_the_reference_wax_have_the_tabulated_fronts():
    zones = WAX_ZONES(mush_follows_fraction=False)
    # Eight decimals, and millimetres and watts with four; computed independently.
    assert zones.roots() == pytest.approx((1.60644686, 0.29757525), abs=1e-8)
    assert zones.fronts[0] * 60.0 == pytest.approx(13.0938e-3, abs=6e-8)
    assert zones.fronts[1] * 60.0 == pytest.approx(17.6986e-3, abs=6e-8)
    assert zones.wall_flux(3600.0) == pytest.approx(547.2846, abs=6e-5)
