"""Problems of freezing, stated directly: what the checks against outside figures share."""

import dataclasses

import numpy as np

from coolsim.model.jar import Jar, Support, Surround, Vessel
from coolsim.model.materials import Inert, Wax, catalogue_inert, catalogue_wax, with_fragrance
from coolsim.model.problem import Accuracy, Boundary, Melt, Problem
from coolsim.model.section import Block, Section, Span
from coolsim.solve.result import Result
from coolsim.solve.wax_body import last_above

CONDUCTION = Melt(mixing="none")

# A made-up wax of round numbers. Freezing cases without dimensions use its solid, a wall of 21 °C and 34 K above it.
CONDUCTIVITY, DENSITY, HEAT_CAPACITY, LATENT_HEAT = 0.24, 850.0, 2100.0, 180e3
AIR, FREEZING_POINT = 21.0, 55.0
DIFFERENCE = FREEZING_POINT - AIR


def made_up_wax(
    *,
    freezing,
    conductivity_solid=CONDUCTIVITY,
    conductivity_liquid=CONDUCTIVITY,
    density=DENSITY,
    heat_capacity_solid=HEAT_CAPACITY,
    heat_capacity_liquid=HEAT_CAPACITY,
    latent_heat=LATENT_HEAT,
) -> Wax:
    """Wax that freezes on a straight line between two temperatures; what conduction does not need is a catalogue's."""
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
    """Square of the size over the diffusivity of the solid: the time without dimensions is counted in it."""
    return size**2 * DENSITY * HEAT_CAPACITY / CONDUCTIVITY


def cylinder_without_dimensions(
    *,
    stefan,
    side,
    top=0.0,
    base=0.0,
    radial_cells,
    axial_cells=1,
    height=1.0,
    superheat=0.0,
    width=0.01,
    tolerance=0.05,
) -> Problem:
    """Cylinder of one diffusivity that freezes from its faces, all lengths in radii, films as Biot numbers.

    The freezing range lies below the freezing point, `width` of the driving difference wide: mush that travels inwards
    then draws the heat that a sharp front would, to second order in the width.
    """
    size = 0.03
    wax = made_up_wax(
        freezing=(FREEZING_POINT - width * DIFFERENCE, FREEZING_POINT), latent_heat=HEAT_CAPACITY * DIFFERENCE / stefan
    )
    faces = (("side", "outwards", side), ("top", "up", top), ("base", "down", base))
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


def in_units(problem: Problem, time):
    """Time of a cylinder without dimensions, in units of radius squared over diffusivity."""
    return time / time_unit(problem.section.radial[0].length)


def one_block(material, *, radius, height, radial_cells, axial_cells, start) -> Section:
    """Cut a cylinder of one material evenly."""
    return Section(
        radial=(Span(name="wax", length=radius, cells=radial_cells),),
        axial=(Span(name="wax", length=height, cells=axial_cells),),
        blocks=(Block(part="wax", material=material, radial=("wax",), axial=("wax",), start=start),),
    )


def falls_below(time, quantity, level) -> float:
    """When a quantity is above a level for the last time, straight between steps."""
    return float(last_above(time, np.asarray(quantity) - level))


def frozen_share_reaches(result: Result, share: float) -> float:
    """When a share of the wax is solid for good."""
    return falls_below(result.time, 1.0 - result.solid_fraction(), 1.0 - share)


# --- jars -----------------------------------------------------------------------------------------


def tumbler(*, boxed, diameter=0.078, height=0.090, depth=0.060, **changes) -> Jar:
    """Soft vegetable wax with 8 % of fragrance in a glass tumbler on oak, bare or in a closed box of board."""
    surround = Surround(gap=0.012, headroom=0.02, board=catalogue_inert("board"), layer=0.0032)
    return Jar(
        name="tumbler",
        vessel=Vessel(diameter=diameter, height=height, wall=0.003, base=0.006, material=catalogue_inert("glass")),
        wax=with_fragrance(catalogue_wax("soft-vegetable"), 0.08),
        depth=depth,
        pour=65.0,
        support=Support(material=catalogue_inert("oak"), thickness=0.03),
        surround=surround if boxed else None,
        **changes,
    )


def tin(**changes) -> Jar:
    """A small lacquer-free tin of 0.22 mm on granite, bare: metal that carries heat along its wall."""
    return Jar(
        name="tin",
        vessel=Vessel(
            diameter=0.0635,
            height=0.0445,
            wall=0.00022,
            base=0.00022,
            material=catalogue_inert("tinned-steel"),
            emissivity=0.06,
            foot=60.0,
        ),
        wax=with_fragrance(catalogue_wax("soft-vegetable"), 0.08),
        depth=0.037,
        pour=65.0,
        support=Support(material=catalogue_inert("granite"), thickness=0.032, underside="insulated"),
        **changes,
    )


EVENT_TIMES = ("rim_set", "wick_free_until", "top_closed", "fully_set", "solid_throughout", "cool")


def event_times(events) -> dict[str, float]:
    """All times among the events, by name [s]."""
    return {name: getattr(events, name) for name in EVENT_TIMES}
