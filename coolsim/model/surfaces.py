"""The surfaces of a jar and of what stands round it: which law holds on which face."""

from __future__ import annotations

import math
from collections.abc import Callable

from coolsim.model.air_spaces import film_in_level_layer
from coolsim.model.film_laws import LevelFilm, WallFilm
from coolsim.model.films import film_on_face_down, film_on_upright_wall
from coolsim.model.jar import Jar, Lid, WaterBath
from coolsim.model.problem import Boundary, Film
from coolsim.model.radiation import mouth_exchange_factor, radiation_film, view_factor_coaxial_discs
from coolsim.model.water import water

_LEAST_UNDER_LID, _LID_ITERATIONS = 1e-3, 4

Law = Callable[[float, float], float]
"""Film coefficient [W/m2/K] of the temperatures of surface and air [°C]."""


def glass_above_wax(jar: Jar, air: str) -> list[Boundary]:
    """Laws of the inner face of the wall between the wax and the brim, and of the brim itself."""
    vessel, height, factor = jar.vessel, jar.headspace, jar.headspace_factor
    found = []
    if height > 1e-6:
        found.append(
            Boundary(
                name="glass above the wax",
                part="glass",
                facing="inwards",
                film=WallFilm(height=height, factor=factor),
                air=air,
                path="top",
            )
        )
    found.append(
        Boundary(name="rim", part="glass", facing="up", film=LevelFilm(diameter=vessel.diameter), air=air, path="top")
    )
    return found


def wax_top(jar: Jar, *, air: str, sees: str, emissivity: float, speed: float) -> Boundary:
    """Law of the open surface of the wax.

    Effective emissivity towards what it `sees` [-], speed of the air above the jar [m/s].
    """
    factor = jar.top_factor * (jar.headspace_factor if jar.headspace > 1e-6 else 1.0)
    return Boundary(
        name="wax surface",
        part="wax",
        facing="up",
        film=LevelFilm(diameter=2 * jar.vessel.inner_radius, factor=factor, speed=speed),
        emissivity=emissivity,
        air=air,
        sees=sees,
        path="top",
    )


def lid_top(jar: Jar, lid: Lid, *, air: str, speed: float) -> Boundary:
    """Law of the wax under a lid.

    The heat goes through the air under it, the lid, and the air above with its speed [m/s]. Radiation is in its
    film, and what surrounds the lid is taken to be as warm as the air there.

    Equation (27) of `coolsim.theory`.
    """
    depth = max(jar.headspace, _LEAST_UNDER_LID)
    between = 1.0 / (1.0 / jar.wax.emissivity + 1.0 / lid.emissivity - 1.0)
    through = lid.material.conductivity / lid.thickness
    above = LevelFilm(diameter=jar.vessel.diameter, factor=jar.top_factor, speed=speed)

    def film(surface: float, air: float) -> float:
        inside = outside = 0.5 * (surface + air)
        whole = 0.0
        for _ in range(_LID_ITERATIONS):
            below = film_in_level_layer(surface, inside, depth=depth)
            below += radiation_film(surface, inside, emissivity=between)
            beyond = above(outside, air) + radiation_film(outside, air, emissivity=lid.emissivity)
            whole = 1.0 / (1.0 / below + 1.0 / through + 1.0 / beyond)
            flow = whole * (surface - air)
            inside, outside = surface - flow / below, air + flow / beyond
        return whole

    return Boundary(name="wax under the lid", part="wax", facing="up", film=film, air=air, sees=air, path="top")


def emissivity_through_mouth(jar: Jar) -> float:
    """Effective emissivity of the wax surface through the mouth of the jar, towards black surroundings [-]."""
    radius = jar.vessel.inner_radius
    view = view_factor_coaxial_discs(radius, radius, max(jar.headspace, 0.0))
    return mouth_exchange_factor(view, jar.wax.emissivity)


def emissivity_between(inner: float, outer: float, area_ratio: float) -> float:
    """Effective emissivity between concentric cylinders, per area of the inner one [-].

    The ratio is inner over outer area [-].

    Equation (19) of `coolsim.theory`.
    """
    return 1.0 / (1.0 / inner + area_ratio * (1.0 / outer - 1.0))


def opening_exchange(mouth: float, opening: float, distance: float) -> float:
    """Exchange factor from the mouth of the jar to the open top of the box, the board between re-radiating.

    It is per area of the mouth [-], by the radii of both and their distance [m].

    Notes
    -----
    Equation (20) of `coolsim.theory`.
    Three-surface network with black ends: F12 + 1/(1/F1w + A1/(A2 F2w)).
    """
    forth = view_factor_coaxial_discs(mouth, opening, distance)
    area_ratio = (mouth / opening) ** 2
    to_wall, from_opening = 1.0 - forth, 1.0 - forth * area_ratio
    if to_wall < 1e-12 or from_opening < 1e-12:
        return forth
    return forth + 1.0 / (1.0 / to_wall + area_ratio / from_opening)


def rack_law(jar: Jar, *, on_pad: bool) -> Boundary:
    """Law of the underside of a jar, or of the board under it, on a wire rack; the air below is that of the room."""
    surround = jar.surround
    wide = jar.vessel.diameter + (2.0 * surround.gap if on_pad and surround is not None else 0.0)
    film = LevelFilm(diameter=wide, speed=jar.room.air_speed, down=True)
    if on_pad and surround is not None:
        emissivity = surround.emissivity
        return Boundary(name="underside", part="pad", facing="down", film=film, emissivity=emissivity, path="base")
    emissivity = jar.vessel.emissivity
    return Boundary(name="underside", part="glass", facing="down", film=film, emissivity=emissivity, path="base")


def laws_under_water(jar: Jar, bath: WaterBath, spans: tuple[str, ...]) -> list[Boundary]:
    """Laws of the wall in these spans and of the underside of a jar that stands in water on a rack."""
    vessel, stated = jar.vessel, bath.film

    def beside(surface: float, water_at: float) -> float:
        return film_on_upright_wall(surface, water_at, height=bath.depth, diameter=vessel.diameter, fluid=water)

    def below(surface: float, water_at: float) -> float:
        return film_on_face_down(surface, water_at, diameter=vessel.diameter, fluid=water)

    films: tuple[Film, Film] = (beside, below) if stated is None else (stated, stated)
    side = Boundary(
        name="glass under water", part="glass", facing="outwards", film=films[0], air=bath.temperature, spans=spans
    )
    base = Boundary(name="underside", part="glass", facing="down", film=films[1], air=bath.temperature, path="base")
    return [side, base]


def support_laws(jar: Jar, *, footprint: float | None = None, around: bool = True) -> list[Boundary]:
    """Laws of what the jar or the box stands on, top and underside.

    The footprint is a radius [m], that of the jar if left out.
    """
    support = jar.support
    across = 2 * ((0.5 * jar.vessel.diameter if footprint is None else footprint) + support.reach)
    found = []
    if support.reach > 0 and around:
        found.append(
            Boundary(
                name="bench top",
                part="bench",
                facing="up",
                spans=("reach",),
                film=LevelFilm(diameter=across, speed=jar.room.air_speed),
                emissivity=support.emissivity,
                path="base",
            )
        )
    if support.underside == "held":
        below = Boundary(
            name="bench underside", part="bench", facing="down", film=math.inf, air=support.start or 0.0, path="base"
        )
        found.append(below)
    if support.underside == "air":
        found.append(
            Boundary(
                name="bench underside",
                part="bench",
                facing="down",
                film=LevelFilm(diameter=across, down=True),
                emissivity=support.emissivity,
                path="base",
            )
        )
    return found
