"""What a jar sees through the open top of its box, against a solved radiosity network."""

import numpy as np
import pytest

from coolsim.model.radiation import view_factor_coaxial_discs
from coolsim.model.surfaces import opening_exchange


@pytest.mark.parametrize(
    ("mouth", "opening", "distance"), [(0.039, 0.06, 0.015), (0.039, 0.18, 0.08), (0.03, 0.04, 0.3)]
)
def test_the_exchange_with_the_open_top_is_that_of_the_network(mouth, opening, distance):
    # Black mouth, black opening at zero emission, and what is between returns all it gets: the wall of the box, and the
    # level between the rims. J = E for the mouth, 0 for the opening, and for the rest what falls on it.
    forth = view_factor_coaxial_discs(mouth, opening, distance)
    area, above = mouth**2, opening**2
    rest = above  # of any size: its own view of itself is what is left
    to_mouth, to_opening = area * (1.0 - forth) / rest, (above - area * forth) / rest
    view = np.array([[0.0, forth, 1.0 - forth], [0.0, 0.0, 0.0], [to_mouth, to_opening, 1.0 - to_mouth - to_opening]])
    radiosity = np.linalg.solve(np.eye(3) - np.diag([0.0, 0.0, 1.0]) @ view, [1.0, 0.0, 0.0])
    lost = radiosity[0] - view[0] @ radiosity
    # Round-off of the small system.
    assert opening_exchange(mouth, opening, distance) == pytest.approx(lost, rel=1e-10)


def test_an_opening_at_the_mouth_is_no_obstacle():
    assert opening_exchange(0.039, 0.18, 0.0) == pytest.approx(1.0, rel=1e-12)
