"""Problems of freezing, stated directly, and times read off their runs."""

from __future__ import annotations

import dataclasses
from typing import Literal

import numpy as np

from coolsim.model.materials import Inert, Wax, catalogue_wax
from coolsim.model.problem import Accuracy, Boundary, Melt, Path, Problem
from coolsim.model.section import Array, Block, Section, Span
from coolsim.solve.result import Result
from coolsim.solve.wax_body import last_above

CONDUCTION = Melt(mixing="none")

# A made-up wax of round numbers. Freezing cases without dimensions use its solid, a wall of 21 °C and 34 K above it.
CONDUCTIVITY, DENSITY, HEAT_CAPACITY, LATENT_HEAT = 0.24, 850.0, 2100.0, 180e3
AIR, FREEZING_POINT = 21.0, 55.0
DIFFERENCE = FREEZING_POINT - AIR


def made_up_wax(
    *,
    freezing: tuple[float, float],
    conductivity_solid: float = CONDUCTIVITY,
    conductivity_liquid: float = CONDUCTIVITY,
    density: float = DENSITY,
    heat_capacity_solid: float = HEAT_CAPACITY,
    heat_capacity_liquid: float = HEAT_CAPACITY,
    latent_heat: float = LATENT_HEAT,
) -> Wax:
    """Wax that freezes on a straight line between two temperatures [°C], k [W/m/K], rho [kg/m3], c [J/kg/K], L [J/kg].

    What conduction does not need is that of the catalogue.
    """
    ends, starts = freezing
    return dataclasses.replace(
        catalogue_wax("soft-vegetable"),
        name="made up",
        conductivity_solid=conductivity_solid,
        conductivity_liquid=conductivity_liquid,
        density=density,
        heat_capacity_solid=heat_capacity_solid,
        heat_capacity_liquid=heat_capacity_liquid,
        latent_heat=latent_heat,
        freezing=((ends, 0.0), (starts, 1.0)),
        clear_point=starts,
        density_liquid_at=max(starts, 70.0),
        melting=None,
        melting_heat=None,
    )


# A glass of round numbers: k 1.0, rho c 2.0e6.
ROUND_GLASS = Inert(name="round glass", conductivity=1.0, density=2500.0, heat_capacity=800.0)


def time_unit(size: float) -> float:
    """Square of the size [m] over the diffusivity of the solid: the time without dimensions is counted in it."""
    return size**2 * DENSITY * HEAT_CAPACITY / CONDUCTIVITY


def cylinder_without_dimensions(
    *,
    stefan: float,
    side: float,
    top: float = 0.0,
    base: float = 0.0,
    radial_cells: int,
    axial_cells: int = 1,
    height: float = 1.0,
    superheat: float = 0.0,
    width: float = 0.01,
    tolerance: float = 0.05,
) -> Problem:
    """Cylinder of one diffusivity that freezes from its faces, all lengths in radii [-], films as Biot numbers [-].

    The freezing range lies below the freezing point, `width` of the driving difference wide: mush that travels inwards
    then draws the heat that a sharp front would, to second order in the width.
    """
    size = 0.03
    wax = made_up_wax(
        freezing=(FREEZING_POINT - width * DIFFERENCE, FREEZING_POINT), latent_heat=HEAT_CAPACITY * DIFFERENCE / stefan
    )
    faces: tuple[tuple[Path, Literal["outwards", "up", "down"], float], ...] = (
        ("side", "outwards", side),
        ("top", "up", top),
        ("base", "down", base),
    )
    return Problem(
        section=one_block(
            wax,
            radius=size,
            height=size * height,
            radial_cells=radial_cells,
            axial_cells=axial_cells,
            start=FREEZING_POINT + superheat * DIFFERENCE,
        ),
        boundaries=tuple(
            Boundary(name=path, part="wax", facing=facing, film=biot * CONDUCTIVITY / size, path=path)
            for path, facing, biot in faces
            if biot
        ),
        room=AIR,
        melt=CONDUCTION,
        accuracy=Accuracy(tolerance=tolerance, longest_step=1e9, first_step=1e-4 * time_unit(size)),
        horizon=20 * time_unit(size),
    )


def in_units(problem: Problem, time: float | None) -> float:
    """Time of a cylinder without dimensions [s], in units of radius squared over diffusivity [-]; NaN for none."""
    return (np.nan if time is None else time) / time_unit(problem.section.radial[0].length)


def one_block(
    material: Inert | Wax, *, radius: float, height: float, radial_cells: int, axial_cells: int, start: float
) -> Section:
    """Cut a cylinder [m] of one material evenly into cells [-]; start [°C]."""
    return Section(
        radial=(Span(name="wax", length=radius, cells=radial_cells),),
        axial=(Span(name="wax", length=height, cells=axial_cells),),
        blocks=(Block(part="wax", material=material, radial=("wax",), axial=("wax",), start=start),),
    )


def falls_below(time: Array, quantity: Array, level: float) -> float:
    """When a quantity is above a level [-] for the last time, straight between steps [s]."""
    return float(last_above(time, np.asarray(quantity) - level))


def frozen_share_reaches(result: Result, share: float) -> float:
    """When a share [-] of the wax is solid for good [s]."""
    return falls_below(result.time, 1.0 - result.solid_fraction(), 1.0 - share)
