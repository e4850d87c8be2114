"""What a maker does before the pour: how many jars, how much oil, and the pitcher in its water bath.

Everything is frozen, in SI with temperatures in °C. A key of the scenario stands behind each field.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """How much is made at once, and what the supplier of the oil allows.

    Parameters
    ----------
    jars : int
        How many jars are filled [-].
    load : float
        Fragrance load: mass of oil in the mass of the mix [-].
    melt : float or None
        Mass of wax, without oil, that is melted; None: as much as the jars need [kg].
    left_behind : float
        Mass of the mix that stays in the pitcher [kg].
    lowest_load, highest_load : float
        Least and most oil that the supplier's sheet allows, mass of oil in the mass of the mix [-].
    flash_point : float or None
        Flash point of the oil, from its safety data sheet [°C].
    flash_margin : float
        How far wax with oil, and wax that gets oil, must stay below the flash point [K].

    Examples
    --------
    >>> from coolsim import Batch
    >>> Batch(jars=6).highest_load
    0.1
    """

    jars: int = 1
    load: float = 0.0
    melt: float | None = None
    left_behind: float = 10e-3
    lowest_load: float = 0.04
    highest_load: float = 0.10
    flash_point: float | None = None
    flash_margin: float = 10.0

    @property
    def hottest_oil(self) -> float | None:
        """Hottest wax that the oil may meet [°C]; None if its flash point is not stated."""
        return None if self.flash_point is None else self.flash_point - self.flash_margin
