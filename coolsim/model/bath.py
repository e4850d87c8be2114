"""A metal pitcher of wax flakes in a water bath, and on its way down to the pour: bodies and films.

Melt and flakes are a body of one temperature each. The melt lies round the flakes, which sink in it: heat goes from
the water through the wall into the melt, by free convection of the liquid on the wall, and from the melt to the heap of
flakes, by free convection on that. What the heap is given is melted off its outside, from as cold as it was; the melt
that runs off has the clear point. Where no melt stands against the wall yet, flakes touch it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coolsim.model.freezing import EnthalpyTable, enthalpy_at, enthalpy_table, on_heating
from coolsim.model.materials import liquid_density, viscosity
from coolsim.model.properties import Wax

_GRAVITY = 9.81
_LEAST_DEPTH = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Bath:
    """The pitcher, its water, and how the melt is handled.

    Parameters
    ----------
    diameter, height : float
        Inside of the pitcher [m].
    water : tuple of (float, float)
        Temperature of the water [°C] at times since the pitcher was put in [s], straight between them and constant
        after the last.
    water_depth : float
        How deep the pitcher stands in it [m].
    water_film : float
        Film coefficient of the water on the pitcher [W/m2/K].
    void : float
        Share of air in the heap of flakes [-].
    stirring : bool
        Whether the melt is stirred again and again.
    stirred_film : float
        Film coefficient of stirred wax on the wall and on the heap [W/m2/K].
    flake : float
        Thickness of a flake before it melts [m].
    contact : float
        Contact conductance between flakes and the wall that they touch [W/m2/K].
    start : float or None
        Temperature of the flakes and the oil [°C]; None: that of the room.
    oil_at : float
        Temperature of the wax at which the oil is added [°C].
    oil_heat_capacity : float
        Heat capacity of the oil [J/kg/K].
    stirred_for : float
        How long the oil is stirred in, out of the bath [s].
    between : float
        From one pour until the pitcher, emptied, cleaned and filled again, is back in the water for the next melt [s].
    emissivity : float
        Of the outside of the pitcher [-].

    Examples
    --------
    >>> from coolsim import Bath
    >>> Bath().at(600.0)
    85.0
    """

    diameter: float = 0.13
    height: float = 0.16
    water: tuple[tuple[float, float], ...] = ((0.0, 85.0),)
    water_depth: float = 0.08
    water_film: float = 400.0
    void: float = 0.45
    stirring: bool = True
    stirred_film: float = 150.0
    flake: float = 4e-3
    contact: float = 25.0
    start: float | None = None
    oil_at: float = 75.0
    oil_heat_capacity: float = 1900.0
    stirred_for: float = 120.0
    between: float = 900.0
    emissivity: float = 0.3

    @property
    def hottest_water(self) -> float:
        """Highest temperature that the water reaches [°C]."""
        return max(temperature for _, temperature in self.water)

    @property
    def floor(self) -> float:
        """Area of the base [m2]."""
        return 0.25 * math.pi * self.diameter**2

    def at(self, time: float) -> float:
        """Temperature of the water.

        Parameters
        ----------
        time : float
            Since the pitcher was put in [s].

        Returns
        -------
        float
            Temperature [°C].
        """
        rows = self.water
        if time <= rows[0][0]:
            return rows[0][1]
        for (before, low), (after, high) in pairwise(rows):
            if time <= after:
                return low + (high - low) * (time - before) / (after - before)
        return rows[-1][1]


@dataclass(frozen=True, slots=True)
class MeltingWax:
    """What a wax takes to melt: the wax as it is bought by its melting curve, and that as a table."""

    wax: Wax
    table: EnthalpyTable

    @property
    def clear(self) -> float:
        """Clear point [°C]."""
        return self.wax.freezing_starts

    def to_clear(self, start: float) -> float:
        """Heat that turns flakes of a temperature [°C] into melt at the clear point [J/kg]."""
        cold, clear = enthalpy_at(self.table, np.array([start, self.clear]))
        return float(clear - cold) / self.wax.density

    def film(self, wall: float, melt: float, height: float) -> float:
        """Film of free convection of the melt on an upright face.

        Parameters
        ----------
        wall, melt : float
            Temperatures of the face and of the melt far from it [°C].
        height : float
            Of the face [m].

        Returns
        -------
        float
            Film coefficient [W/m2/K].

        Notes
        -----
        Equation (22) of `coolsim.theory`.
        The form for all Rayleigh numbers, Nu = {0.825 + 0.387 Ra^(1/6)/[1 + (0.492/Pr)^(9/16)]^(8/27)}^2, with the
        properties of the melt in the middle between the two temperatures.

        References
        ----------
        Churchill, S. W. and Chu, H. H. S. (1975), Int. J. Heat Mass Transfer 18:1323.
        """
        wax = self.wax
        middle = max(0.5 * (wall + melt), self.clear)
        density = liquid_density(wax, middle)
        kinematic = viscosity(wax, middle) / density
        diffusivity = wax.conductivity_liquid / (density * wax.heat_capacity_liquid)
        prandtl = kinematic / diffusivity
        rayleigh = _GRAVITY * wax.expansion_liquid * abs(wall - melt) * height**3 / (kinematic * diffusivity)
        shape = (1.0 + (0.492 / prandtl) ** 0.5625) ** (8.0 / 27.0)
        nusselt = (0.825 + 0.387 * rayleigh ** (1.0 / 6.0) / shape) ** 2
        return float(nusselt * wax.conductivity_liquid / height)


def melting_wax(wax: Wax) -> MeltingWax:
    """Let a wax without oil follow the curve by which it melts."""
    heated = on_heating(wax)
    return MeltingWax(heated, enthalpy_table(heated))


@dataclass(frozen=True, slots=True)
class Fill:
    """How wax stands in the pitcher while it melts.

    `level` is the height of all, flakes that stick out included [m], `wetted` that of the melt against the wall [m].
    `heap` is the surface of the flakes that the melt reaches [m2]: all of them while it is stirred, else the outside of
    the part of the heap that lies in it.
    """

    level: float
    wetted: float
    heap: float


def fill_of(bath: Bath, melting: MeltingWax, *, solid: float, melt: float) -> Fill:
    """Tell how masses of flakes and of melt [kg] stand.

    Melt fills the air between the flakes first, the heap keeps clear of the wall.
    """
    wax = melting.wax
    pure = solid / wax.density_solid
    heap = pure / (1.0 - bath.void)
    liquid = melt / liquid_density(wax, melting.clear)
    drowned = min(1.0, liquid / max(heap - pure, 1e-12))
    level = max(heap, pure + liquid) / bath.floor
    wetted = max(liquid + drowned * pure, 0.0) / bath.floor
    if bath.stirring:
        # Flakes get thinner, not fewer.
        area = 2.0 * drowned * (solid + melt) / wax.density_solid / bath.flake
        return Fill(level=level, wetted=min(wetted, level), heap=area)
    radius = math.sqrt(drowned * heap / (math.pi * max(wetted, _LEAST_DEPTH)))
    area = 2.0 * math.pi * min(radius, 0.5 * bath.diameter) * wetted
    return Fill(level=level, wetted=min(wetted, level), heap=area)
