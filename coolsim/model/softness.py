r"""How soft mush is: the yield stress of the network that the crystals build.

One law stands behind every answer to "does it still move": :math:`\tau = A (s - s_0)^m`, s the solid share. What moves
the wax is a stress, too, so a stress tells the liquid share below which the wax no longer gives way to it.

Its three figures are an estimate through published points: fats begin to gel at 1.5 % solid cooled fast (Higaki et al.
2004, Food Res. Int.), a yield stress appears below 8.8 % (Soft Matter 2022, D1SM01646F), fluid shortening still pours
at about 10 % (a trade dictionary), compact crystals percolate at 10 to 22 % (Garboczi et al. 1995, Phys. Rev. E), and
margarine, shortening and butter have a hardness of 4.4 to 810 kPa (Haighton 1959, JAOCS 36:345).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coolsim.model.section import Array

BUOYANT_STRESS = 0.44
"""What drives the melt round: wax 2 K colder than its neighbour, over the 35 mm of a jar's radius [Pa]."""

FED_SHARE = 0.4
"""Share of the suction that still moves mush to where wax shrinks, fitted to a resolved computation [-]."""

ATMOSPHERE = 101_325.0
"""No suction is stronger [Pa]."""

AIRY_SUCTION = 3e4
"""Suction that is left where dissolved air comes out of the wax, an estimate [Pa]."""

FLOWING = 1.0
"""Stress that wax is taken to have at least, so that melt has a finite softness [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Softness:
    """The law of the yield stress, and the suction that wax bears.

    Parameters
    ----------
    stiffness : float
        A, the yield stress that the law gives an entirely solid wax [Pa].
    exponent : float
        m, how fast it falls with the solid share [-].
    gels_at : float
        s0, the solid share at which the crystals begin to hold together [-].
    suction : float
        What the wax bears before voids open in it [Pa]: one atmosphere, less what dissolved air gives back as it comes
        out.
    sure_within : float
        Factor by which `stiffness` may be off, either way [-].

    Raises
    ------
    ValueError
        If a figure is impossible.

    Notes
    -----
    An estimate through published points, as told at the top of this module: A 3 MPa (1 to 10), m 4, s0 0.02 (0.01 to
    0.1). It belongs to fats; for paraffin and beeswax no figures were found, and A may be ten times off.

    Examples
    --------
    >>> law = Softness()
    >>> round(law.liquid_at(1000.0), 3)
    0.845
    >>> float(law.yield_stress(0.845).round(-1))
    1000.0
    """

    stiffness: float = 3e6
    exponent: float = 4.0
    gels_at: float = 0.02
    suction: float = 1e5
    sure_within: float = 10.0 / 3.0

    def __post_init__(self) -> None:
        for name in ("stiffness", "exponent", "sure_within"):
            if not (np.isfinite(getattr(self, name)) and getattr(self, name) > 0.0):
                raise ValueError(f"{name} must be above zero, not {getattr(self, name)}")
        if not 0.0 <= self.gels_at < 1.0:
            raise ValueError(f"gels_at must lie in [0, 1), not {self.gels_at}")
        if not 0.0 <= self.suction <= ATMOSPHERE:
            raise ValueError(f"suction must lie between 0 and one atmosphere, not {self.suction} Pa")

    @property
    def feeds_below(self) -> float:
        """Yield stress below which suction still moves mush [Pa]."""
        return FED_SHARE * self.suction

    def yield_stress(self, liquid: Array | float) -> Array:
        """Yield stress [Pa] by liquid share [-]; nothing while the crystals do not hold together.

        Equation (36) of `coolsim.theory`.
        """
        stress: Array = self.stiffness * np.maximum(1.0 - self.gels_at - liquid, 0.0) ** self.exponent
        return stress

    def liquid_at(self, stress: float) -> float:
        """Liquid share [-] below which a stress [Pa] no longer moves the wax; 0 if it moves all of it.

        Equation (36) of `coolsim.theory`.
        """
        share: float = (stress / self.stiffness) ** (1.0 / self.exponent)
        return max(0.0, 1.0 - self.gels_at - share)
