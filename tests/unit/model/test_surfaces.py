"""Laws of the surfaces: radiation against solved radiosity networks, a lid against its layers one after the other."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.constants import Stefan_Boltzmann
from scipy.optimize import brentq

from coolsim import catalogue_inert
from coolsim.model.film_laws import LevelFilm, WallFilm
from coolsim.model.films import (
    film_across_cylinder,
    film_along_plate,
    film_in_level_layer,
    film_on_face_down,
    film_on_face_up,
    film_on_upright_wall,
)
from coolsim.model.jar import Lid
from coolsim.model.layout import problem_of
from coolsim.model.radiation import view_factor_coaxial_discs
from coolsim.model.surfaces import (
    emissivity_between,
    emissivity_through_mouth,
    glass_above_wax,
    lid_top,
    opening_exchange,
    wax_top,
)
from tests.support.pair import closed_pair

BARE, BOXED = (one.jar for one in closed_pair())


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


def radiated(warm, cold, emissivities, area_ratio):
    """Heat per area of the inner of two grey faces that see only each other [W/m2], from their radiosities."""
    emissive = Stefan_Boltzmann * (np.array([warm, cold]) + 273.15) ** 4
    view = np.array([[0.0, 1.0], [area_ratio, 1.0 - area_ratio]])
    grey = np.array(emissivities)
    radiosity = np.linalg.solve(np.eye(2) - (1.0 - grey)[:, None] * view, grey * emissive)
    return float(radiosity[0] - view[0] @ radiosity)


def test_radiation_between_a_jar_and_the_board_round_it_is_that_of_concentric_cylinders():
    exchange = Stefan_Boltzmann * (333.15**4 - 294.15**4)
    flux = radiated(60.0, 21.0, (0.8, 0.3), 0.4)
    # 1e-10: the radiosities are subtracted and lose two digits.
    assert emissivity_between(0.8, 0.3, 0.4) * exchange == pytest.approx(flux, rel=1e-10)
    # The board is the outer one, and larger by as much as its radius.
    jar = replace(
        BOXED,
        vessel=replace(BOXED.vessel, emissivity=0.8),
        surround=replace(BOXED.surround, emissivity=0.3, gap=0.75 * BOXED.vessel.diameter),
    )
    (link,) = problem_of(jar).links
    assert link.emissivity * exchange == pytest.approx(flux, rel=1e-10)


@pytest.mark.parametrize(("surface", "air"), [(65.0, 21.0), (30.0, 21.0), (24.0, 21.0)])
def test_what_passes_a_lid_passes_the_air_under_it_the_lid_and_the_air_above(surface, air):
    jar = replace(BARE, wax=replace(BARE.wax, emissivity=0.7), top_factor=1.3)
    lid = Lid(material=catalogue_inert("oak"), thickness=0.01, emissivity=0.5)

    def under_it(inside):
        """Heat that reaches the lid [W/m2]."""
        convected = film_in_level_layer(surface, inside, depth=jar.headspace) * (surface - inside)
        return convected + radiated(surface, inside, (0.7, 0.5), 1.0)

    def kept(inside):
        """The same less what leaves the lid, whose upper face is as warm as conduction says."""
        outside = inside - under_it(inside) * lid.thickness / lid.material.conductivity
        convected = 1.3 * film_on_face_up(outside, air, diameter=jar.vessel.diameter) * (outside - air)
        return under_it(inside) - convected - 0.5 * Stefan_Boltzmann * ((outside + 273.15) ** 4 - (air + 273.15) ** 4)

    exact = under_it(brentq(kept, air, surface)) / (surface - air)
    found = lid_top(jar, lid, air="room", speed=0.0)
    assert found.emissivity == 0.0
    # Four rounds of putting the temperatures of the lid right leave up to 7e-5.
    assert found.film(surface, air) == pytest.approx(exact, rel=2e-4)


def test_the_rim_shelters_the_wax_and_the_glass_above_it_but_not_itself():
    jar = replace(BARE, headspace_factor=0.6, top_factor=1.5)
    inside, rim = glass_above_wax(jar, "room")
    across = 2.0 * jar.vessel.inner_radius
    assert inside.film(40.0, 21.0) == pytest.approx(0.6 * film_on_upright_wall(40.0, 21.0, height=jar.headspace))
    assert rim.film(40.0, 21.0) == pytest.approx(film_on_face_up(40.0, 21.0, diameter=jar.vessel.diameter))
    top = wax_top(jar, air="room", sees="room", emissivity=0.9, speed=0.0)
    assert top.film(40.0, 21.0) == pytest.approx(0.6 * 1.5 * film_on_face_up(40.0, 21.0, diameter=across))


def law_of(jar, name):
    return next(law for law in problem_of(jar).boundaries if law.name == name)


def test_the_wax_in_a_box_sees_the_flaps_or_past_the_open_ones_the_room():
    jar = replace(BOXED, surround=replace(BOXED.surround, emissivity=0.4, headroom=0.05))
    mouth = emissivity_through_mouth(jar)
    exchange = Stefan_Boltzmann * (333.15**4 - 294.15**4)
    closed, opened = (
        law_of(replace(jar, surround=replace(jar.surround, flaps=flaps)), "wax surface") for flaps in ("closed", "open")
    )
    assert (closed.sees, opened.sees) == ("flaps inside", "room")
    # Mouth and flaps as plates: 1e-10 since the radiosities are subtracted.
    assert closed.emissivity * exchange == pytest.approx(radiated(60.0, 21.0, (mouth, 0.4), 1.0), rel=1e-10)
    # The opening takes up all that reaches it: what keeps it away stands in series with the mouth.
    inner = 0.5 * jar.vessel.diameter
    past = opening_exchange(inner, inner + jar.surround.gap, 0.05)
    assert opened.emissivity * exchange == pytest.approx(radiated(60.0, 21.0, (mouth, past), 1.0), rel=1e-10)


def test_the_outside_of_a_box_is_as_high_as_jar_headroom_and_pad():
    jar = replace(
        BOXED, surround=replace(BOXED.surround, headroom=0.05, under_layers=3, side_layers=2), side_factor=1.2
    )
    surround, vessel = jar.surround, jar.vessel
    height = vessel.height + 0.05 + 3 * surround.layer
    across = vessel.diameter + 2.0 * surround.gap + 4.0 * surround.layer
    wanted = 1.2 * film_on_upright_wall(30.0, 21.0, height=height, diameter=across)
    assert law_of(jar, "board outside").film(30.0, 21.0) == pytest.approx(wanted)


@pytest.mark.parametrize("speed", [0.0, 0.5])
def test_moving_air_adds_its_film_to_that_of_free_convection_and_the_factor_is_on_both(speed):
    def both(free, forced):
        return pytest.approx(1.2 * (free**3 + (forced**3 if speed else 0.0)) ** (1.0 / 3.0), rel=1e-12)

    along = film_along_plate(40.0, 21.0, length=0.07, speed=0.5)
    wall = WallFilm(height=0.08, diameter=0.07, factor=1.2, speed=speed)
    up, down = (LevelFilm(diameter=0.07, factor=1.2, speed=speed, down=down) for down in (False, True))
    free = film_on_upright_wall(40.0, 21.0, height=0.08, diameter=0.07)
    assert wall(40.0, 21.0) == both(free, film_across_cylinder(40.0, 21.0, diameter=0.07, speed=0.5))
    assert up(40.0, 21.0) == both(film_on_face_up(40.0, 21.0, diameter=0.07), along)
    assert down(40.0, 21.0) == both(film_on_face_down(40.0, 21.0, diameter=0.07), along)
