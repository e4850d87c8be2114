"""Film coefficients of many surfaces: laws that are data at once, those of a kind as arrays, others one by one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from typing import Any

import numpy as np

from coolsim.model.air import AIR_HIGHEST, AIR_LOWEST, dry_air_of_many, rayleigh_of
from coolsim.model.air_spaces import MEASURED_GAP_RAYLEIGH, measured_gap, opening_flow
from coolsim.model.film_laws import FilmLaw, GapFilm, LevelFilm, OpeningExchange, WallFilm
from coolsim.model.films import (
    FACE_LAMINAR_RAYLEIGH,
    FREE_FACE,
    HELD_FACE,
    WALL_LAMINAR_RAYLEIGH,
    curvature,
    laminar_face,
    laminar_wall,
)
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Array

TOGETHER_FROM = 25
"""Number of laws from which on arrays are quicker than calls one by one [-]."""


class Films:
    """Film coefficients, or conductances: numbers, and laws of two temperatures [°C].

    Where there are many laws, those of still air that are data are worked out together, to round-off as one by one.
    What is rare is called one by one in any case: moving air, water, lids, and flows beyond the laminar.
    """

    def __init__(self, films: Sequence[float | Callable[[float, float], float]]) -> None:
        self._fixed = [0.0 if callable(film) else film for film in films]
        laws = {index: film for index, film in enumerate(films) if callable(film)}
        many = {index: law for index, law in laws.items() if isinstance(law, FilmLaw) and _of_still_air(law)}
        self._many = _Many(many) if len(many) >= TOGETHER_FROM else None
        self._alone = [(index, law) for index, law in laws.items() if self._many is None or index not in many]

    def at(self, surface: Array, air: Array) -> Array:
        """Coefficients [W/m2/K], or conductances [W/K], at the temperatures of each surface and the air there [°C]."""
        films = self._fixed.copy()
        if self._alone:
            surfaces, airs = surface.tolist(), air.tolist()
            for index, law in self._alone:
                films[index] = law(surfaces[index], airs[index])
        found = np.array(films)
        if self._many is not None:
            self._many.put(found, surface, air)
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """Laws of one kind: their lengths [m], films over Nusselt number and conductivity [1/m], and Nusselt numbers [-].

    The last are a function of Rayleigh and Prandtl numbers [-] and differences of temperature [K]. It holds up to the
    `highest` Rayleigh number [-].
    """

    length: Array
    scale: Array
    highest: float
    nusselt: Callable[[Array, Array, Array], Array]


def _walls(laws: Sequence[WallFilm]) -> _Kind:
    height = np.array([law.height for law in laws])
    ratio = np.array([0.0 if law.diameter is None else law.height / law.diameter for law in laws])
    return _Kind(
        length=height,
        scale=1.0 / height,
        highest=WALL_LAMINAR_RAYLEIGH,
        nusselt=lambda rayleigh, prandtl, _: (
            laminar_wall(rayleigh, prandtl) * curvature(rayleigh, prandtl, ratio, np.log, np.maximum)
        ),
    )


def _level_faces(laws: Sequence[LevelFilm]) -> _Kind:
    length = np.array([0.25 * law.diameter for law in laws])
    looks = np.array([-1.0 if law.down else 1.0 for law in laws])

    def nusselt(rayleigh: Array, prandtl: Array, difference: Array) -> Array:
        return laminar_face(rayleigh, np.where(looks * difference >= 0.0, FREE_FACE, HELD_FACE), np.maximum)

    return _Kind(length=length, scale=1.0 / length, highest=FACE_LAMINAR_RAYLEIGH, nusselt=nusselt)


def _gaps(laws: Sequence[GapFilm]) -> _Kind:
    width = np.array([law.width for law in laws])
    ratio = np.array([law.width / law.height for law in laws])
    return _Kind(
        length=width,
        scale=1.0 / width,
        highest=MEASURED_GAP_RAYLEIGH[1],
        nusselt=lambda rayleigh, prandtl, difference: measured_gap(rayleigh, ratio, np.maximum),
    )


def _openings(laws: Sequence[OpeningExchange]) -> _Kind:
    diameter = np.array([law.diameter for law in laws])
    return _Kind(
        length=diameter,
        scale=diameter,
        highest=inf,
        nusselt=lambda rayleigh, prandtl, difference: opening_flow(rayleigh * (difference > 0.0), prandtl),
    )


_KINDS: Mapping[type, Callable[[Sequence[Any]], _Kind]] = {
    WallFilm: _walls,
    LevelFilm: _level_faces,
    GapFilm: _gaps,
    OpeningExchange: _openings,
}


def _of_still_air(law: FilmLaw) -> bool:
    return type(law) in _KINDS and not (isinstance(law, WallFilm | LevelFilm) and law.speed)


class _Many:
    """Laws of still air by their places among others, those of a kind behind each other."""

    def __init__(self, laws: Mapping[int, FilmLaw]) -> None:
        groups = [[at for at, law in laws.items() if type(law) is kind] for kind in _KINDS]
        groups = [group for group in groups if group]
        kinds = [_KINDS[type(laws[group[0]])]([laws[at] for at in group]) for group in groups]
        first = np.cumsum([0, *(len(group) for group in groups)]).tolist()
        self._kinds = [(slice(*ends), kind.nusselt) for ends, kind in zip(pairwise(first), kinds, strict=True)]
        self._at = np.array([at for group in groups for at in group])
        self._laws = [laws[at] for at in self._at.tolist()]
        factor = np.array([law.factor for law in self._laws])
        self._length = np.concatenate([kind.length for kind in kinds])
        self._scale = factor * np.concatenate([kind.scale for kind in kinds])
        self._highest = np.repeat([kind.highest for kind in kinds], [len(group) for group in groups])
        self._radiated = factor * np.array([law.emissivity for law in self._laws])
        self._radiates = bool(self._radiated.any())

    def put(self, films: Array, surface: Array, air: Array) -> None:
        """Put the films in their places, for the temperatures of all surfaces and the air there [°C]."""
        surface, air = surface.take(self._at), air.take(self._at)
        mean = 0.5 * (surface + air)
        if np.minimum.reduce(mean) >= AIR_LOWEST and np.maximum.reduce(mean) <= AIR_HIGHEST:
            state = dry_air_of_many(mean)
            difference = surface - air
            rayleigh = rayleigh_of(state, np.abs(difference), self._length)
            numbers = [of(rayleigh[part], state.prandtl[part], difference[part]) for part, of in self._kinds]
            film = np.concatenate(numbers) * state.conductivity * self._scale
            if self._radiates:
                film += self._radiated * radiation_film(surface, air, emissivity=1.0)
            films[self._at] = film
            (rare,) = (rayleigh > self._highest).nonzero()
        else:
            rare = np.arange(len(mean))
        # In the order of the laws, so that the first that is refused is the same one.
        for place in sorted(rare.tolist(), key=self._at.__getitem__):
            films[self._at[place]] = self._laws[place](float(surface[place]), float(air[place]))
