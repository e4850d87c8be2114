"""Radiation laws: exact difference of fourth powers, view factors by integration, the mouth of a tube."""

import numpy as np
import pytest
from scipy.integrate import dblquad

from coolsim.model.constants import STEFAN_BOLTZMANN
from coolsim.model.radiation import mouth_exchange_factor, radiation_between, radiation_film, view_factor_coaxial_discs

ROUND_OFF = 1e-12


def test_film_times_difference_is_the_fourth_power_law():
    flux = radiation_film(60.0, 21.0, emissivity=0.9) * 39.0
    # 1e-11: the right-hand side is a difference of fourth powers and loses a digit.
    assert flux == pytest.approx(0.9 * STEFAN_BOLTZMANN * (333.15**4 - 294.15**4), rel=1e-11)


def test_film_at_equal_temperatures_is_the_slope_of_the_fourth_power():
    slope = 4.0 * STEFAN_BOLTZMANN * 294.15**3
    assert radiation_film(21.0, 21.0, emissivity=1.0) == pytest.approx(slope, rel=ROUND_OFF)


def test_array_of_surfaces_gives_the_film_of_each():
    surfaces = np.array([25.0, 40.0, 60.0])
    films = radiation_film(surfaces, 21.0, emissivity=0.9)
    one_by_one = [radiation_film(float(t), 21.0, emissivity=0.9) for t in surfaces]
    np.testing.assert_allclose(films, one_by_one, rtol=ROUND_OFF)
    between = radiation_between(surfaces, 21.0, emissivity_inner=0.9, emissivity_outer=0.5, area_ratio=0.7)
    one_by_one = [
        radiation_between(float(t), 21.0, emissivity_inner=0.9, emissivity_outer=0.5, area_ratio=0.7) for t in surfaces
    ]
    np.testing.assert_allclose(between, one_by_one, rtol=ROUND_OFF)


def test_concentric_faces_agree_with_a_solved_radiosity_network():
    # Two grey faces, inner 1 m², outer 2 m²: J = eps E + (1 - eps) sum F J, solved as a linear system.
    inner, outer, ratio = 0.8, 0.3, 0.5
    emissive = STEFAN_BOLTZMANN * np.array([333.15**4, 294.15**4])
    view = np.array([[0.0, 1.0], [ratio, 1.0 - ratio]])
    emissivity = np.array([inner, outer])
    radiosity = np.linalg.solve(np.eye(2) - (1.0 - emissivity)[:, None] * view, emissivity * emissive)
    flux = radiosity[0] - view[0] @ radiosity
    film = radiation_between(60.0, 21.0, emissivity_inner=inner, emissivity_outer=outer, area_ratio=ratio)
    # 1e-10: the radiosities are subtracted and lose two digits.
    assert film * 39.0 == pytest.approx(flux, rel=1e-10)


def test_large_surroundings_are_the_limit_of_a_small_area_ratio():
    enclosed = radiation_between(60.0, 21.0, emissivity_inner=0.9, emissivity_outer=0.5, area_ratio=1e-9)
    # What is left is of the order of the area ratio.
    assert enclosed == pytest.approx(radiation_film(60.0, 21.0, emissivity=0.9), rel=1e-8)


def integrated_view_factor(radius_a, radius_b, distance):
    """View factor of coaxial discs from its definition, by double quadrature over radius and angle.

    The third integral, over the receiving disc, is done over its radius and angle for rings of the sender.
    """
    nodes, weights = np.polynomial.legendre.leggauss(30)
    sender = 0.5 * radius_a * (nodes + 1.0)
    ring_areas = weights * 0.5 * radius_a * 2.0 * np.pi * sender
    area = np.pi * radius_a**2

    def received(angle, radius):
        squared = distance**2 + sender**2 + radius**2 - 2.0 * sender * radius * np.cos(angle)
        return radius * float(ring_areas @ (distance**2 / (np.pi * squared**2))) / area

    value, _ = dblquad(received, 0.0, radius_b, 0.0, np.pi, epsabs=1e-9, epsrel=1e-9)
    return 2.0 * value


@pytest.mark.parametrize(
    ("radius_a", "radius_b", "distance"), [(1.0, 1.0, 1.0), (1.0, 1.0, 0.4), (1.0, 2.5, 0.7), (0.0355, 0.02, 0.05)]
)
def test_view_factor_agrees_with_the_double_integral(radius_a, radius_b, distance):
    # 1e-6: the quadrature asks for 1e-9 of its integrand.
    assert view_factor_coaxial_discs(radius_a, radius_b, distance) == pytest.approx(
        integrated_view_factor(radius_a, radius_b, distance), rel=1e-6
    )


@pytest.mark.parametrize(("radius_a", "radius_b", "distance"), [(1.0, 3.0, 0.2), (0.03, 0.2, 0.15), (1.0, 1.0, 9.0)])
def test_view_factor_is_reciprocal(radius_a, radius_b, distance):
    there = radius_a**2 * view_factor_coaxial_discs(radius_a, radius_b, distance)
    back = radius_b**2 * view_factor_coaxial_discs(radius_b, radius_a, distance)
    assert there == pytest.approx(back, rel=ROUND_OFF)


@pytest.mark.parametrize(("radius_b", "expected"), [(0.5, 0.25), (1.0, 1.0), (2.0, 1.0), (1.0 + 1e-12, 1.0)])
def test_view_factor_of_touching_discs_is_exact(radius_b, expected):
    assert view_factor_coaxial_discs(1.0, radius_b, 0.0) == pytest.approx(expected, rel=1e-15)


def test_view_factor_of_far_discs_keeps_its_digits():
    # Far field: F = (rb/d)² [1 - (ra² + rb²)/d² + ...]; at d = 1e6 the bracket is 1 - 2e-12.
    assert view_factor_coaxial_discs(1.0, 1.0, 1e6) == pytest.approx(1e-12, rel=1e-11)


def test_mouth_at_the_surface_is_no_obstacle():
    assert mouth_exchange_factor(1.0, 0.92) == pytest.approx(0.92, rel=ROUND_OFF)


@pytest.mark.parametrize("emissivity", [0.3, 0.92, 1.0])
def test_mouth_agrees_with_a_solved_radiosity_network(emissivity):
    # Grey disc, black mouth at zero emission, re-radiating wall; wall view factors from reciprocity.
    distance = 0.7
    direct = view_factor_coaxial_discs(1.0, 1.0, distance)
    wall_area = 2.0 * distance  # in disc areas
    to_disc = (1.0 - direct) / wall_area
    view = np.array([[0.0, direct, 1.0 - direct], [direct, 0.0, 1.0 - direct], [to_disc, to_disc, 1.0 - 2.0 * to_disc]])
    # Rows: J1 = eps E1 + (1 - eps) sum F J; J2 = 0; the wall returns all it gets.
    reflect = np.array([1.0 - emissivity, 0.0, 1.0])
    radiosity = np.linalg.solve(np.eye(3) - reflect[:, None] * view, [emissivity, 0.0, 0.0])
    lost = radiosity[0] - view[0] @ radiosity
    assert mouth_exchange_factor(direct, emissivity) == pytest.approx(lost, rel=1e-10)


@pytest.mark.parametrize(
    ("depth", "transmission"),
    # Clausing, P. (1932), Ann. Phys. 12:961: share of diffuse particles that pass a tube of this length over
    # its radius, wall returning all diffusely (from memory).
    [(0.1, 0.9524), (0.2, 0.9092), (0.5, 0.8013), (1.0, 0.6720)],
)
def test_black_surface_in_a_tube_loses_what_passes_the_tube(depth, transmission):
    factor = mouth_exchange_factor(view_factor_coaxial_discs(1.0, 1.0, depth), 1.0)
    # 3 %: one wall zone at one temperature against a wall that varies along the tube; the error is largest at
    # the greatest depth and always on the high side.
    assert transmission - 1e-4 < factor < 1.03 * transmission


@pytest.mark.parametrize("bad", [-0.1, 1.1, float("nan")])
def test_emissivity_that_cannot_be_is_refused(bad):
    with pytest.raises(ValueError, match="emissivity"):
        radiation_film(40.0, 21.0, emissivity=bad)
    with pytest.raises(ValueError, match="emissivity_inner"):
        radiation_between(40.0, 21.0, emissivity_inner=bad, emissivity_outer=0.9)
    with pytest.raises(ValueError, match="emissivity_outer"):
        radiation_between(40.0, 21.0, emissivity_inner=0.9, emissivity_outer=bad)
    with pytest.raises(ValueError, match="area_ratio"):
        radiation_between(40.0, 21.0, emissivity_inner=0.9, emissivity_outer=0.9, area_ratio=bad)
    with pytest.raises(ValueError, match="emissivity"):
        mouth_exchange_factor(0.5, bad)
    with pytest.raises(ValueError, match="view factor"):
        mouth_exchange_factor(bad, 0.9)


@pytest.mark.parametrize(("radius_a", "radius_b", "distance"), [(0.0, 1.0, 1.0), (1.0, -1.0, 1.0), (1.0, 1.0, -0.1)])
def test_discs_that_cannot_be_are_refused(radius_a, radius_b, distance):
    with pytest.raises(ValueError, match="radii must be positive"):
        view_factor_coaxial_discs(radius_a, radius_b, distance)
