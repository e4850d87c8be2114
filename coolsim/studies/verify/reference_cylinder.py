"""One freezing cylinder, stated for coolsim and as a law of its wax.

`statements/REF1.md` says what it is, in SI units and °C, and `REF1.csv` when it is solid.
"""

from __future__ import annotations

import numpy as np

from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.model.section import Array
from coolsim.studies.verify.freezing_problems import CONDUCTION, falls_below, made_up_wax, one_block
from coolsim.studies.verify.statement import given, values

ALL_SOLID, SURFACE_SOLID = (values("REF1")[event] for event in ("all solid", "top solid"))
_given = given("REF1")
RADIUS, HEIGHT = _given["R"], _given["H"]
DENSITY, HEAT_CAPACITY, CONDUCTIVITY, LATENT_HEAT = (_given[name] for name in ("rho", "c", "k", "L"))
ENDS, STARTS, POUR, AIR = (_given[name] for name in ("T_end", "T_start", "T_pour", "T_air"))
SIDE, TOP, BASE = (_given[name] for name in ("h_side", "h_top", "h_base"))
HORIZON = 24000.0
# Enthalpies per volume [J/m3], zero for the solid at 0 °C, and the temperature that rises with them in three lines.
SENSIBLE = DENSITY * HEAT_CAPACITY
SOLIDUS = SENSIBLE * ENDS
LIQUIDUS = SENSIBLE * STARTS + DENSITY * LATENT_HEAT
POURED = SENSIBLE * POUR + DENSITY * LATENT_HEAT
MUSH = (STARTS - ENDS) / (LIQUIDUS - SOLIDUS)  # kelvin per enthalpy


def stated_for_coolsim(*, radial_cells: int, axial_cells: int, tolerance: float) -> Problem:
    """State the cylinder on an even grid of cells [-], with steps that err by a tolerance [K]."""
    wax = made_up_wax(
        freezing=(ENDS, STARTS),
        conductivity_solid=CONDUCTIVITY,
        conductivity_liquid=CONDUCTIVITY,
        density=DENSITY,
        heat_capacity_solid=HEAT_CAPACITY,
        heat_capacity_liquid=HEAT_CAPACITY,
        latent_heat=LATENT_HEAT,
    )
    return Problem(
        section=one_block(
            wax, radius=RADIUS, height=HEIGHT, radial_cells=radial_cells, axial_cells=axial_cells, start=POUR
        ),
        boundaries=(
            Boundary(name="side", part="wax", facing="outwards", film=SIDE, path="side"),
            Boundary(name="top", part="wax", facing="up", film=TOP, path="top"),
            Boundary(name="base", part="wax", facing="down", film=BASE, path="base"),
        ),
        room=AIR,
        melt=CONDUCTION,
        accuracy=Accuracy(tolerance=tolerance, first_step=1.0),
        horizon=HORIZON,
        stop_when_cool=False,
    )


def temperature(enthalpy: Array) -> Array:
    """Temperature of the wax [°C]."""
    in_mush: Array = np.clip(enthalpy, SOLIDUS, LIQUIDUS)
    return ENDS + (enthalpy - in_mush) / SENSIBLE + (in_mush - SOLIDUS) * MUSH


def capacity(enthalpy: Array) -> Array:
    """Heat per volume and kelvin, that of freezing included [J/m3/K]."""
    return np.where((enthalpy > SOLIDUS) & (enthalpy < LIQUIDUS), 1.0 / MUSH, SENSIBLE)


def bulk_events(time: Array, enthalpy: Array, volume: Array) -> dict[str, float]:
    """Find the times of events that every discretisation has alike [s]."""
    liquid = np.clip((enthalpy - SOLIDUS) / (LIQUIDUS - SOLIDUS), 0.0, 1.0) @ volume / volume.sum()
    events = {f"{100 * share:.0f} % frozen": falls_below(time, liquid, 1.0 - share) for share in (0.25, 0.5, 0.75, 0.9)}
    events["mean at the start of freezing"] = falls_below(time, temperature(enthalpy) @ volume / volume.sum(), STARTS)
    events["all solid"] = falls_below(time, enthalpy.max(axis=1), SOLIDUS)
    return events


def surface_solid(time: Array, enthalpy: Array, radial_cells: int, axial_cells: int) -> float:
    """When the whole open surface of so many cells [-] is below the end of freezing [s], from the film above it."""
    towards = CONDUCTIVITY / (0.5 * HEIGHT / axial_cells)
    surface = (towards * temperature(enthalpy[:, -radial_cells:]) + TOP * AIR) / (towards + TOP)
    return falls_below(time, surface.max(axis=1), ENDS)
