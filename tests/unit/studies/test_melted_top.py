"""Whether a melt levels a top, against volumes that can be worked out by hand."""

import numpy as np
import pytest

from coolsim.studies.repair.melted_top import reached, stands_over_melt

RADIUS, RINGS = 0.035, 400
EDGES = RADIUS * np.sqrt(np.linspace(0.0, 1.0, RINGS + 1))
AREA = np.pi * np.diff(EDGES**2)
R = np.sqrt(0.5 * (EDGES[1:] ** 2 + EDGES[:-1] ** 2))
DIP = 4e-3
BOWL = DIP * (R / RADIUS) ** 2  # a paraboloid: its mean is half its height
# Rings of equal area: levels are off by half a step of the bowl.
STEP = DIP / RINGS


@pytest.mark.parametrize("depth", [2.2e-3, 2.5e-3, 3e-3])
def test_a_melt_of_one_depth_levels_once_it_is_as_deep_as_the_rim_stands_over_the_mean(depth):
    over = stands_over_melt(BOWL, np.full(RINGS, depth), AREA)
    assert over == pytest.approx(0.5 * DIP - depth, abs=STEP)
    assert over < 0.0


@pytest.mark.parametrize("depth", [0.1e-3, 0.5e-3, 1e-3, 1.9e-3])
def test_a_thinner_melt_fills_the_bowl_from_its_bottom(depth):
    # A paraboloid of dip D filled to the height y holds A y^2/(2 D): the melt A d stands sqrt(2 D d) high.
    over = stands_over_melt(BOWL, np.full(RINGS, depth), AREA)
    assert over == pytest.approx(DIP - np.sqrt(2.0 * DIP * depth), abs=STEP)


def test_what_runs_into_the_cavity_no_longer_levels():
    depth, run_off = 3e-3, 5e-6
    sunk = run_off / AREA.sum()
    over = stands_over_melt(BOWL, np.full(RINGS, depth), AREA, run_off=run_off)
    assert over == pytest.approx(0.5 * DIP - depth + sunk, abs=STEP)
    # All of it and more: the floor is bare.
    assert stands_over_melt(BOWL, np.full(RINGS, depth), AREA, run_off=1.0) == pytest.approx(DIP, abs=2 * STEP)


def test_wax_that_does_not_melt_at_the_glass_stands_out():
    depth = np.where(R > 0.95 * RADIUS, 0.0, 3e-3)
    assert stands_over_melt(BOWL, depth, AREA) > 1e-3


def test_nothing_melted_stands_as_high_as_the_bowl():
    assert stands_over_melt(BOWL, np.zeros(RINGS), AREA) == pytest.approx(DIP, abs=2 * STEP)


def test_a_goal_is_reached_between_two_steps_or_never():
    time = np.array([0.0, 10.0, 20.0, 30.0])
    assert reached(time, np.array([3.0, 1.0, -1.0, 1.0])) == 15.0
    assert reached(time, np.array([-1.0, 1.0, 1.0, 1.0])) == 0.0
    assert reached(time, np.array([3.0, 2.0, 1.0, 0.5])) is None
