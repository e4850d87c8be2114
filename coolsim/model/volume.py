r"""Volume of a wax by temperature and liquid share.

:math:`v(T, f) = f\,v_l(T) + (1 - f)\,v_s(T)`, relative to the liquid at a reference temperature. The liquid expands by
a stated figure, and so does the solid, counted from 20 °C. The volume of the solid there is such that the stated total
shrinkage is met with the liquid that is left at 20 °C.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

REFERENCE = 20.0
"""Where the total shrinkage of a wax is defined [°C]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeLaw:
    """Specific volume of a wax [-], relative to the liquid at a reference temperature [°C].

    The liquid expands by `expansion_liquid` [1/K], referred to its volume at the reference; at 20 °C the solid has the
    volume `solid` [-], and it expands by `expansion_solid` [1/K], referred to that.

    Equation (33) of `coolsim.theory`.
    """

    reference: float
    expansion_liquid: float
    solid: float
    expansion_solid: float

    def as_liquid(self, temperature: Array) -> Array:
        """Volume of the liquid [-] by temperature [°C]."""
        volume: Array = 1.0 + self.expansion_liquid * (temperature - self.reference)
        return volume

    def as_solid(self, temperature: Array) -> Array:
        """Volume of the solid [-] by temperature [°C]."""
        volume: Array = self.solid * (1.0 + self.expansion_solid * (temperature - REFERENCE))
        return volume

    def volume(self, temperature: Array, liquid: Array) -> Array:
        """Volume relative to the liquid at the reference temperature [-], by temperature [°C] and liquid [-]."""
        solid = self.as_solid(temperature)
        volume: Array = solid + liquid * (self.as_liquid(temperature) - solid)
        return volume

    def density(self, temperature: Array, liquid: Array) -> Array:
        """Density relative to the liquid at the reference temperature [-], by temperature [°C] and liquid [-]."""
        density: Array = 1.0 / self.volume(temperature, liquid)
        return density


def volume_law(
    *, total_shrinkage: float, liquid_left: float, reference: float, expansion_liquid: float, expansion_solid: float
) -> VolumeLaw:
    """Find the law that loses the total shrinkage [-] from the liquid at a reference [°C] to 20 °C.

    `liquid_left` is the liquid share at 20 °C [-]. What never freezes there has the volume of its liquid.

    Equation (33) of `coolsim.theory`.
    """
    cold = 1.0 + expansion_liquid * (REFERENCE - reference)
    solid = cold if liquid_left >= 1.0 else (1.0 - total_shrinkage - liquid_left * cold) / (1.0 - liquid_left)
    return VolumeLaw(
        reference=reference, expansion_liquid=expansion_liquid, solid=solid, expansion_solid=expansion_solid
    )
