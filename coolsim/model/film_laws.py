"""Film laws as data: each with the sizes of its surface, and called for two temperatures.

What is plain data the solver can tell by its kind, and work out for many surfaces at once.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

from coolsim.model.air import refuse_unless_positive
from coolsim.model.air_spaces import exchange_through_opening, film_in_upright_gap
from coolsim.model.films import (
    combined_film,
    film_across_cylinder,
    film_along_plate,
    film_on_face_down,
    film_on_face_up,
    film_on_upright_wall,
)
from coolsim.model.radiation import radiation_film


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmLaw(ABC):
    """A film times a factor [-]; with an emissivity [-] the radiation to what is as warm as the air is in it.

    With an area [m2] as its factor it is a conductance [W/K].
    """

    factor: float = 1.0
    emissivity: float = 0.0

    def __call__(self, surface: float, air: float) -> float:
        """Film coefficient [W/m2/K] of the temperatures of surface and air [°C]."""
        film = self._convected(surface, air)
        if self.emissivity:
            film += radiation_film(surface, air, emissivity=self.emissivity)
        return self.factor * film

    @abstractmethod
    def _convected(self, surface: float, air: float) -> float: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class WallFilm(FilmLaw):
    """Film on an upright plate of a height, or a cylinder with a diameter too [m], that air of a speed passes [m/s]."""

    height: float
    diameter: float | None = None
    speed: float = 0.0

    def __post_init__(self) -> None:
        refuse_unless_positive("height", self.height)
        if self.diameter is not None:
            refuse_unless_positive("diameter", self.diameter)

    def _convected(self, surface: float, air: float) -> float:
        film = film_on_upright_wall(surface, air, height=self.height, diameter=self.diameter)
        if self.speed and self.diameter is not None:
            return combined_film(film, film_across_cylinder(surface, air, diameter=self.diameter, speed=self.speed))
        return film


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelFilm(FilmLaw):
    """Film on a level disc of a diameter [m], looking up or down, in air of a speed [m/s]."""

    diameter: float
    down: bool = False
    speed: float = 0.0

    def __post_init__(self) -> None:
        refuse_unless_positive("diameter", self.diameter)

    def _convected(self, surface: float, air: float) -> float:
        law = film_on_face_down if self.down else film_on_face_up
        film = law(surface, air, diameter=self.diameter)
        if self.speed:
            return combined_film(film, film_along_plate(surface, air, length=self.diameter, speed=self.speed))
        return film


@dataclass(frozen=True, slots=True, kw_only=True)
class GapFilm(FilmLaw):
    """Film across the closed air gap beside a jar, of a height and width [m]."""

    height: float
    width: float

    def __post_init__(self) -> None:
        refuse_unless_positive("height", self.height)
        refuse_unless_positive("width", self.width)

    def _convected(self, surface: float, air: float) -> float:
        return film_in_upright_gap(surface, air, height=self.height, width=self.width, law="elsherbiny")


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningExchange(FilmLaw):
    """Conductance of a level opening of a diameter [m], by the temperatures inside and outside: [W/K], not a film."""

    diameter: float

    def __post_init__(self) -> None:
        refuse_unless_positive("diameter", self.diameter)

    def _convected(self, surface: float, air: float) -> float:
        return exchange_through_opening(surface, air, diameter=self.diameter)
