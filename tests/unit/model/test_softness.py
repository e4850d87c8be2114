"""The law of the yield stress, and what it refuses."""

import math
from dataclasses import replace

import numpy as np
import pytest

from coolsim.model.problem import Melt
from coolsim.model.softness import ATMOSPHERE, Softness


def test_the_yield_stress_is_the_stiffness_times_a_power_of_the_solid_share():
    law = Softness(stiffness=2e6, exponent=3.0, gels_at=0.1)
    # 2 MPa x (0.6 - 0.1)^3 = 250 kPa, and 2 MPa x (1 - 0.1)^3; round-off.
    np.testing.assert_allclose(law.yield_stress(np.array([0.4, 0.0])), [250e3, 1458e3], rtol=1e-14)
    # The crystals do not hold together below a solid share of 10 %.
    assert law.yield_stress(np.array([0.9, 0.95, 1.0])).tolist() == [0.0, 0.0, 0.0]


@pytest.mark.parametrize("stress", [0.44, 9.0, 1e3, 4e4, 1e6])
def test_wax_gives_way_to_a_stress_down_to_the_liquid_share_that_bears_it(stress):
    law = Softness()
    share = law.liquid_at(stress)
    # Round-off of the share, which the power makes larger.
    assert law.yield_stress(share) == pytest.approx(stress, rel=1e-9)
    assert law.yield_stress(share + 1e-3) < stress < law.yield_stress(share - 1e-3)


def test_a_stress_beyond_the_stiffness_moves_all_wax():
    law = Softness()
    assert law.liquid_at(3e6) == 0.0
    assert law.liquid_at(0.0) == 1.0 - law.gels_at


def test_stiffer_wax_gives_way_only_with_more_liquid_in_it():
    soft, stiff = Softness(stiffness=1e6), Softness(stiffness=1e7)
    assert soft.liquid_at(1e3) < stiff.liquid_at(1e3)
    assert soft.feeds_below == stiff.feeds_below == 0.4 * soft.suction


def test_the_melt_circulates_where_its_buoyancy_can_move_it_unless_stated():
    # 1 - 0.02 - (0.44 / 3e6)^(1/4) = 0.9604, by hand.
    assert Melt().circulates_above == pytest.approx(0.9604, abs=5e-5)
    assert Melt(softness=Softness(gels_at=0.1)).circulates_above == pytest.approx(0.8804, abs=5e-5)
    assert Melt(flows_above=0.8).circulates_above == 0.8


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"stiffness": 0.0}, "stiffness must be above zero, not 0.0"),
        ({"stiffness": math.nan}, "stiffness must be above zero, not nan"),
        ({"exponent": -1.0}, "exponent must be above zero, not -1.0"),
        ({"gels_at": 1.0}, r"gels_at must lie in \[0, 1\), not 1.0"),
        ({"suction": -1.0}, "suction must lie between 0 and one atmosphere, not -1.0 Pa"),
        ({"suction": ATMOSPHERE + 1.0}, "suction must lie between 0 and one atmosphere, not 101326.0 Pa"),
    ],
)
def test_an_impossible_law_is_refused(changes, fault):
    with pytest.raises(ValueError, match=fault):
        replace(Softness(), **changes)
