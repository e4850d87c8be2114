"""What a maker has at hand before the pour: jars, wax and oil, wicks, and what they cost.

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
        Mass of wax, without oil, that is melted at once; None: as much as the jars need, or the pitcher takes [kg].
    left_behind : float
        Mass of the mix that stays in the pitcher after each melt [kg].
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Wick:
    """The wicks of a jar.

    Parameters
    ----------
    number : int
        How many a jar has [-].
    trim : float
        How far a wick stands out of the wax at least [m].
    holder : float
        What the tab at its foot and the holder over the rim take of it together [m].

    Examples
    --------
    >>> from coolsim import Wick
    >>> round(1e3 * Wick().length(level=0.060, rim=0.080))
    100
    """

    number: int = 1
    trim: float = 6e-3
    holder: float = 20e-3

    def length(self, *, level: float, rim: float) -> float:
        """Tell how long a wick is cut.

        Parameters
        ----------
        level, rim : float
            Height of the hot wax, and of the rim, over the inside of the base [m].

        Returns
        -------
        float
            From the base to the holder on the rim, or as far as it stands out of wax that reaches higher, and what tab
            and holder take [m].
        """
        return max(level + self.trim, rim) + self.holder


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What a batch is made of costs, in a currency of the maker's; None for what is not stated.

    Parameters
    ----------
    currency : str
        What the money is called; may be empty.
    wax, fragrance : float or None
        Of wax and of fragrance oil [1/kg].
    jar, wick, lid, label : float or None
        Of one jar, one wick with its tab, one lid and one label [-].

    Examples
    --------
    >>> from coolsim import Prices
    >>> Prices(wax=9.5).jar is None
    True
    """

    currency: str = ""
    wax: float | None = None
    fragrance: float | None = None
    jar: float | None = None
    wick: float | None = None
    lid: float | None = None
    label: float | None = None
