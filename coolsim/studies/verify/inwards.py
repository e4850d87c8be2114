"""Wax that freezes inwards from the faces of a cylinder, against computed tables."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.model.properties import Inert
from coolsim.model.section import Block, Section, Span
from coolsim.studies.verify.case import Case, Value, value
from coolsim.studies.verify.freezing_problems import (
    AIR,
    CONDUCTION,
    CONDUCTIVITY,
    FREEZING_POINT,
    cylinder_without_dimensions,
    frozen_share_reaches,
    in_units,
    made_up_wax,
)
from coolsim.studies.verify.problems import orders, solved
from coolsim.studies.verify.reference_cylinder import ALL_SOLID, SURFACE_SOLID, stated_for_coolsim, surface_solid
from coolsim.studies.verify.statement import given, rows, values

COMPLETE = tuple((float(row["Bi [-]"]), float(row["Ste [-]"]), float(row["tau [-]"])) for row in rows("V5"))
"""Bi, Ste and the time of complete freezing, in radius squared over the diffusivity of the solid."""

FRONTS = tuple((float(row["s [-]"]), float(row["tau [-]"])) for row in rows("V5-front"))
"""Where the front is at Bi 1, Ste 0.3, in radii, and when."""

# A glass of round numbers.
ROUND_GLASS = Inert(name="round glass", conductivity=1.0, density=2500.0, heat_capacity=800.0)


def complete_freezing(biot: float, stefan: float, *, cells: int) -> float:
    """Time of complete freezing [-] at Bi [-] and Ste [-], on cells [-]."""
    problem = cylinder_without_dimensions(stefan=stefan, side=biot, radial_cells=cells)
    return in_units(problem, solved(problem).required_events().solid_throughout)


def _complete() -> Iterator[Value]:
    for cells, share, cases in ((50, 2e-3, COMPLETE), (200, 1e-3, (COMPLETE[3], COMPLETE[5], COMPLETE[-1]))):
        for biot, stefan, tau in cases:
            found = complete_freezing(biot, stefan, cells=cells)
            yield value(f"Bi {biot:g}, Ste {stefan:g}, {cells} cells", found, tau, share=share)
    problem = cylinder_without_dimensions(stefan=0.3, side=1.0, radial_cells=100, width=0.005)
    result = solved(problem)
    # The front is read off the frozen share, which counts the mush where a sharp front would have it.
    for front, tau in FRONTS:
        found = in_units(problem, frozen_share_reaches(result, 1.0 - front**2))
        yield value(f"Bi 1, Ste 0.3: front at {front:g} R", found, tau, share=2e-3)


def _complete_orders() -> Iterator[Value]:
    (biot, stefan, tau), cells = COMPLETE[5], (12, 24)
    errors = [complete_freezing(biot, stefan, cells=one) / tau - 1 for one in cells]
    yield from orders(f"Bi {biot:g}, Ste {stefan:g}", cells, errors, within=0.5)


INWARDS = Case(
    id="R1",
    title="A cylinder freezes inwards",
    setup="A long cylinder of liquid at its freezing point, cooled through a film. Times in radius squared over the"
    " diffusivity of the solid; Ste = c(Tf − Ta)/L, Bi = hR/k. The point is a range of 1 % of the difference.",
    formulas=(
        r"$\frac{\partial T}{\partial \tau} = \frac{1}{r}\frac{\partial}{\partial r}\left(r \frac{\partial T}"
        r"{\partial r}\right)$ for $s < r < 1$",
        r"$\frac{ds}{d\tau} = Ste\,\frac{\partial T}{\partial r}$ at the front $s$",
    ),
    equation="One phase with a moving front: no closed form.",
    source="Computed independently for this project, by two methods that agree within 1e-5. All lie between the"
    " quasi-steady bounds of London & Seban (1943).",
    mark="this project",
    slack="0.2 % on 50 cells: 0.1 % for cells, steps and the narrow range, and it sees an error of first order in a"
    " face. 0.1 % on 200 cells. Fronts 0.2 %: the mush moves the early ones by 0.1 %. Order"
    " within 0.5: where the front is sharp, it falls towards 1.5.",
    run=_complete,
    orders=_complete_orders,
    problems=(("V5", lambda: cylinder_without_dimensions(stefan=0.3, side=1.0, radial_cells=50)),),
)


def short_cylinder(name: str, *, cells: int) -> Problem:
    """State the cylinder of a statement, as high as wide, on cells to the radius [-]."""
    stated = given(name)
    return cylinder_without_dimensions(
        stefan=stated["Ste"],
        side=stated["Bi_side"],
        top=stated["Bi_top"],
        base=stated["Bi_base"],
        height=stated["H"],
        superheat=stated["theta_start"] - 1.0,
        radial_cells=cells,
        axial_cells=2 * cells,
        tolerance=0.25,
    )


def _from_all_faces() -> Iterator[Value]:
    for name, called, cells, within in (("F1", "equal films", 24, 1 / 24), ("F3", "three films, hot", 32, 0.02)):
        problem, (tau, axis, place) = short_cylinder(name, cells=cells), values(name).values()
        events = solved(problem).required_events()
        radius, height = (one / problem.section.radial[0].length for one in events.last_liquid)
        yield value(f"{called}: all frozen", in_units(problem, events.solid_throughout), tau, share=2e-3)
        yield value(f"{called}: last liquid, radius", radius, axis, within=1 / cells, span=1.0)
        yield value(f"{called}: last liquid, height", height, place, within=within, span=2.0)


def _short_orders() -> Iterator[Value]:
    cells, errors = (8, 16, 32), []
    for one in cells:
        problem = short_cylinder("F1", cells=one)
        frozen = in_units(problem, solved(problem).required_events().solid_throughout)
        errors.append(frozen / values("F1")["all solid"] - 1)
    yield from orders("equal films", cells, errors)


FROM_ALL_FACES = Case(
    id="R2",
    title="A cylinder freezes from all faces",
    setup="As high as wide. Equal films, Bi 1 and Ste 0.3; and three films, Bi 1.4, 1 and 0.4 at side, top and base,"
    " Ste 0.4, with a superheat of half the difference. 24 and 32 cells to the radius; lengths in radii.",
    formulas=(
        r"$\frac{\partial H}{\partial \tau} = \nabla^2 T, \quad"
        r" -\frac{\partial T}{\partial n} = Bi\,(T - T_a)$",
    ),
    equation="Enthalpy in r and z: no closed form.",
    source="Computed independently for this project; the place of the last liquid within 0.02 radii.",
    mark="this project",
    slack="0.2 % of the time: 24 cells cost 0.1 %. The place within a cell, or as well as it is known.",
    run=_from_all_faces,
    orders=_short_orders,
    problems=(
        ("F1", lambda: short_cylinder("F1", cells=24)),
        ("F3", lambda: short_cylinder("F3", cells=32)),
    ),
)  # fmt: skip

_SHARP = (FREEZING_POINT - 0.06, FREEZING_POINT)


def jar_slice(freezing: tuple[float, float], *, glass: bool, cells: int) -> Problem:
    """State a level slice of a jar of 35.5 mm radius on cells [-]: k 0.24 / 0.16, c 2100 / 2300, poured at 75 °C."""
    wax = made_up_wax(freezing=freezing, conductivity_liquid=0.16, heat_capacity_liquid=2300.0)
    radial = [Span(name="wax", length=0.0355, cells=cells)]
    blocks = [Block(part="wax", material=wax, radial=("wax",), axial=("z",), start=75.0)]
    if glass:
        radial.append(Span(name="wall", length=0.003, cells=cells // 12))
        blocks.append(Block(part="glass", material=ROUND_GLASS, radial=("wall",), axial=("z",), start=21.0))
    return Problem(
        section=Section(radial=tuple(radial), axial=(Span(name="z", length=0.01, cells=1),), blocks=tuple(blocks)),
        boundaries=(Boundary(name="side", part="glass" if glass else "wax", facing="outwards", film=9.5),),
        room=AIR,
        melt=CONDUCTION,
        accuracy=Accuracy(tolerance=0.1, first_step=0.1),
        horizon=30000.0,
    )


def _slices() -> Iterator[Value]:
    for name, freezing, glass, cells, seconds in (
        ("point, bare", _SHARP, False, 100, 19221.0),
        ("point, glass", _SHARP, True, 100, 18557.0),
        ("48 to 55 °C, bare", (48.0, 55.0), False, 50, 20567.0),
    ):
        events = solved(jar_slice(freezing, glass=glass, cells=cells)).required_events()
        yield value(f"{name}: all frozen", events.solid_throughout or np.nan, seconds, share=1e-3, unit="s")
    result = solved(jar_slice((50.0, 57.0), glass=True, cells=100))
    found = result.required_events().solid_throughout or np.nan
    yield value("50 to 57 °C, glass: all frozen", found, 18661.0, share=1e-3, unit="s")
    at = [float(np.interp(1800.0, result.time, one)) for one in result.temperatures(np.arange(len(result.block))).T]
    grid = result.grid
    inner, outer = grid.r_edges[100], grid.r_edges[-1]
    from_wax = CONDUCTIVITY / (inner - grid.r[99])
    to_wall = ROUND_GLASS.conductivity / (inner * np.log(grid.r[100] / inner))
    in_wall = ROUND_GLASS.conductivity / (outer * np.log(outer / grid.r[-1]))
    for name, computed, reference in (
        ("centre", at[0], 70.302),
        ("inside of glass", (from_wax * at[99] + to_wall * at[100]) / (from_wax + to_wall), 51.453),
        ("outside of glass", (in_wall * at[-1] + 9.5 * AIR) / (in_wall + 9.5), 50.589),
    ):
        yield value(f"the same, 1800 s: {name}", computed, reference, within=0.02, unit="°C", span=54.0)


def _slice_orders() -> Iterator[Value]:
    cells, errors = (24, 48), []
    for one in cells:
        frozen = solved(jar_slice((50.0, 57.0), glass=True, cells=one)).required_events().solid_throughout
        errors.append((frozen or np.nan) - 18661.0)
    yield from orders("50 to 57 °C, glass", cells, errors)


SLICES = Case(
    id="R3",
    title="A slice of a jar freezes, bare and in glass",
    setup="Wax of 35.5 mm radius, k 0.24 solid and 0.16 liquid, c 2100 and 2300, 180 kJ/kg, poured at 75 °C; bare, or"
    " in 3 mm of glass at 21 °C; film 9.5 W/m²/K to 21 °C. 50 and 100 cells.",
    formulas=(
        r"$\frac{\partial H}{\partial t} = \frac{1}{r}\frac{\partial}{\partial r}"
        r"\left(r\,k(T) \frac{\partial T}{\partial r}\right)$",
    ),
    equation="Enthalpy with the conductivity of solid and liquid: no closed form.",
    source="Computed independently for this project: ±5 s bare, ±1 s with glass.",
    mark="this project",
    slack="0.1 % for cells and the width of the narrow range; 0.02 °C for cells, steps and reading between steps.",
    run=_slices,
    orders=_slice_orders,
    problems=(("", lambda: jar_slice((50.0, 57.0), glass=True, cells=50)),),
)


def _reference_cylinder() -> Iterator[Value]:
    cells = (48, 112)
    # Steps so short that their share in the difference is small; with 0.5 K all is solid 0.1 % later.
    result = solved(stated_for_coolsim(radial_cells=cells[0], axial_cells=cells[1], tolerance=0.1))
    surface = surface_solid(result.time, result.history.enthalpy, *cells)
    yield value("whole surface below 44 °C", surface, SURFACE_SOLID, share=1.5e-3, unit="s")
    found = result.required_events().solid_throughout or np.nan
    yield value("all of it below 44 °C", found, ALL_SOLID, share=5e-4, unit="s")


def _cylinder_orders() -> Iterator[Value]:
    cells, errors = ((12, 28), (24, 56)), []
    for radial, axial in cells:
        result = solved(stated_for_coolsim(radial_cells=radial, axial_cells=axial, tolerance=0.1))
        errors.append(surface_solid(result.time, result.history.enthalpy, radial, axial) - SURFACE_SOLID)
    yield from orders("whole surface", ["12 × 28", "24 × 56"], errors, within=0.2)


REFERENCE_CYLINDER = Case(
    id="R4",
    title="A cylinder with three films freezes over a range",
    setup="Radius 36 mm, height 80 mm; rho 900, c 2200, k 0.20 in both phases, 150 kJ/kg given off evenly from 50 to 44"
    " °C; poured at 65 °C, films of 6, 9 and 12 W/m²/K at side, top and base to 21 °C. 48 by 112 cells.",
    formulas=(r"$\frac{\partial H}{\partial t} = \nabla \cdot (k \nabla T)$",),
    equation="Enthalpy in r and z: no closed form.",
    source="Computed independently for this project: ±0.5 s the surface, ±2 s all of it. Two other libraries find the"
    " same times: see L2.",
    mark="this project",
    slack="Error of these even cells, computed independently too: −0.10 and +0.02 %. The rest is left to the steps.",
    run=_reference_cylinder,
    orders=_cylinder_orders,
    problems=(("REF1", lambda: stated_for_coolsim(radial_cells=24, axial_cells=56, tolerance=0.1)),),
)
