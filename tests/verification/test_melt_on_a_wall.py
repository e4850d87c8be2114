"""A melt poured on a thick cold wall: the two meet at one temperature and stay there while a layer freezes."""

import pytest
from held import held

from coolsim.studies.verify.contact import IRON, ON_A_WALL, ON_GLASS, effusivity


def test_iron_and_wax_freeze_on_a_wall_as_the_similarity_solution_says():
    held(ON_A_WALL)


def test_iron_on_copper_has_the_root_and_interface_of_the_data():
    assert IRON.root() == pytest.approx(0.81625, abs=6e-6)  # five decimals
    assert IRON.interface(IRON.root()) == pytest.approx(680.5, abs=0.06)  # one decimal


def test_wax_on_glass_has_the_tabulated_interface_and_front():
    root = ON_GLASS.root()
    assert ON_GLASS.interface(root) == pytest.approx(44.641, abs=6e-4)  # three decimals
    assert ON_GLASS.front(60.0) == pytest.approx(1.0321e-3, abs=6e-8)  # millimetres with four


def test_two_bodies_that_do_not_freeze_meet_at_the_contact_temperature():
    # Effusivities weigh the two temperatures: three decimals, computed independently.
    hot, cold = effusivity(ON_GLASS.liquid), effusivity(ON_GLASS.wall)
    assert (hot * 75.0 + cold * 21.0) / (hot + cold) == pytest.approx(36.304, abs=6e-4)
