"""What the wax lost by contracting: the outcome, as data."""

from __future__ import annotations

from dataclasses import dataclass

from coolsim.model.section import Array
from coolsim.overview import Overview, OverviewTable
from coolsim.units import format_quantity

NEAR_AXIS = 5e-3
"""The middle of a top is the mean within this radius: on the axis itself the level has no bound [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeLedger:
    """Where the lost volume went at the end of the run, in all and by parts [m3].

    `surface` shows as a lower surface; `solid` is the contraction of the solid, less what has grown because it was
    warmed again; `open_share` is the mass gained or lost by rounding [-].
    """

    total: float
    surface: float
    cavities: float
    pores: float
    solid: float
    open_share: float


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Shrinkage(Overview):
    """The top and the inside of the wax when the run ended.

    Parameters
    ----------
    level : (nr,) ndarray
        Height of the surface above the bottom of the wax, column by column [m].
    r, area : (nr,) ndarray
        Mean radius [m] and area [m2] of the columns.
    pour_level : float
        Height of the surface when it was poured [m].
    cavity : (nz, nr) ndarray
        Share of each wax cell that is hidden cavity [-].
    pores : (nz, nr) ndarray
        Share of each wax cell that is pores [-].
    rim_dip, half_dip, centre_dip : float
        How far the surface lies below the pour level at the wall, at half the radius, and on the mean within 5 mm of
        the axis [m].
    cavity_volume : float
        Volume of the hidden cavities [m3].
    hollow, roof : (nr,) ndarray
        How high the cavity is in each column, in one piece, and how deep it begins below the surface above it [m]; no
        height, and NaN, where there is none.
    cavity_roof : float or None
        Least depth of a cavity below the surface above it [m]; None without a cavity.
    cavity_place : (float, float) or None
        Mean radius and height of the cavity above the bottom of the wax [m].
    ledger : VolumeLedger
        Where the lost volume went.
    """

    level: Array
    r: Array
    area: Array
    pour_level: float
    cavity: Array
    pores: Array
    rim_dip: float
    half_dip: float
    centre_dip: float
    cavity_volume: float
    hollow: Array
    roof: Array
    cavity_roof: float | None
    cavity_place: tuple[float, float] | None
    ledger: VolumeLedger

    def __repr__(self) -> str:
        return f"<Shrinkage: middle {format_quantity(self.depth, 'length')} below the rim>"

    def overview(self) -> OverviewTable:
        """Return the main figures of the top, as a notebook shows them."""
        lengths = {
            "Dish: half-way in below the rim": self.dish,
            "Hole: middle below half-way in": self.hole,
            "Middle below the rim": self.depth,
            "Fall of the rim": self.rim_dip,
            "Fall of the middle": self.centre_dip,
        }
        volumes = {
            "Sunk volume": self.dish_volume,
            "Void in the wax": self.void_volume,
            "Of it hidden cavity": self.cavity_volume,
        }
        rows = [(name, format_quantity(one, "length")) for name, one in lengths.items()]
        rows += [(name, f"{1e6 * one:.1f} mL") for name, one in volumes.items()]
        return OverviewTable(title="Top and inside (estimates)", rows=tuple(rows))

    @property
    def dish(self) -> float:
        """How far the surface at half the radius lies below the rim [m]."""
        return self.half_dip - self.rim_dip

    @property
    def hole(self) -> float:
        """How far the middle lies below the surface at half the radius [m]."""
        return self.centre_dip - self.half_dip

    @property
    def depth(self) -> float:
        """How far the middle lies below the rim, dish and hole together; negative where it is domed [m]."""
        return self.centre_dip - self.rim_dip

    @property
    def void_volume(self) -> float:
        """All void in the wax, cavities and pores [m3]."""
        return self.ledger.cavities + self.ledger.pores

    @property
    def dish_volume(self) -> float:
        """Volume between the surface and a flat top as high as its highest place [m3]."""
        return float(self.area @ (self.level.max() - self.level))
