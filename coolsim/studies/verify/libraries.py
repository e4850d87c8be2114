"""Checks against other libraries, whose numbers stand here with version and date."""

from __future__ import annotations

from collections.abc import Iterator

from coolsim.model import films
from coolsim.studies.verify.case import Case, Value, value
from coolsim.studies.verify.problems import solved
from coolsim.studies.verify.reference_cylinder import bulk_events, stated_for_coolsim, surface_solid

_UP = ((25.0, 0.075, 5.37123), (40.0, 0.075, 7.86824), (60.0, 0.075, 9.32337), (60.0, 0.1, 8.67638))
_WALL = ((1.0, 4.75117), (2.5, 4.53506), (6.0, 4.40570))
_GAP = ((0.3, 0.02, 3.24043), (0.075, 0.02, 4.58267), (0.9, 0.03, 2.46220))
_ACROSS = ((0.05, 2.76134), (0.5, 8.75339), (3.0, 22.93402))
_ALONG = ((0.1, 3.92969), (1.0, 12.42678), (10.0, 39.29692))
_AIR = 0.005  # share by which two tables of air may move a film


def _films() -> Iterator[Value]:
    for surface, diameter, film in _UP:
        where = f"{surface:.0f} °C, {1e3 * diameter:.0f} mm"
        up = films.film_on_face_up(surface, 21.0, diameter=diameter)
        down = films.film_on_face_down(surface, 21.0, diameter=diameter)
        yield value(f"face up, {where}", up, film, share=_AIR, unit="W/m²K")
        yield value(f"face down, {where}", down, 0.5 * film, share=_AIR, unit="W/m²K")
    for height, film in _WALL:
        wall = films.film_on_upright_wall(60.0, 20.0, height=height)
        yield value(f"wall of {height:g} m, 60 °C", wall, film, share=_AIR, unit="W/m²K")
    for height, width, film in _GAP:
        gap = films.film_in_upright_gap(50.0, 25.0, height=height, width=width)
        where = f"{1e3 * width:.0f} mm, {1e3 * height:.0f} mm high"
        yield value(f"gap of {where}", gap, film, share=_AIR, unit="W/m²K")
    for speed, film in _ACROSS:
        across = films.film_across_cylinder(40.0, 21.0, diameter=0.075, speed=speed)
        yield value(f"air across a jar, {speed:g} m/s", across, film, share=_AIR, unit="W/m²K")
    for speed, film in _ALONG:
        along = films.film_along_plate(40.0, 21.0, length=0.1, speed=speed)
        yield value(f"air along a plate, {speed:g} m/s", along, film, share=_AIR, unit="W/m²K")


FILMS_OF_A_LIBRARY = Case(
    id="L1",
    title="Film laws and the air in them",
    setup="Level faces and a cylinder of the size of a jar in air of 21 °C, walls of 1 to 6 m in air of 20 °C, upright"
    " gaps between 50 and 25 °C. Films without radiation.",
    formulas=(
        r"$h = Nu\,k/L, \quad Ra = g \beta \Delta T L^3/(\nu \alpha)$",
        r"up: $Nu = 0.54\,Ra^{1/4}$, down: $0.27\,Ra^{1/4}$",
        r"wall: $Nu^{1/2} = 0.825 + 0.387\,(Ra\,\Psi)^{1/6}$",
    ),
    equation="McAdams (level faces), Churchill & Chu (wall), VDI (gap), Churchill & Bernstein (across), laminar plate.",
    source="The library ht 1.2.0 with the air of CoolProp 8.0.0, computed on 2026-11-28. Tests hold each formula to ht"
    " with coolsim's own air within 1e-9.",
    mark="open library",
    slack="0.5 %: properties of the air of 0.2 % each.",
    run=_films,
)

# FiPy steps the same cells; the elements of scikit-fem are 24 by 56, and their surface is of first order, so left out.
_FIPY = (4215.814, 7431.735, 11722.035, 15618.707, 3038.384, 21911.985)
_FIPY_SURFACE = 4841.846
_FEM = (4182.116, 7400.069, 11700.100, 15599.659, 3051.501, 21906.555)


def _cylinder() -> Iterator[Value]:
    for name, cells, share, times in (("FiPy", (12, 28), 2.5e-3, _FIPY), ("scikit-fem", (48, 112), 5e-3, _FEM)):
        result = solved(stated_for_coolsim(radial_cells=cells[0], axial_cells=cells[1], tolerance=0.1))
        found = bulk_events(result.time, result.history.enthalpy, result.grid.volume)
        for (event, time), theirs in zip(found.items(), times, strict=True):
            yield value(f"{name}: {event}", time, theirs, share=share, unit="s")
        if name == "FiPy":
            surface = surface_solid(result.time, result.history.enthalpy, *cells)
            yield value("FiPy: whole surface solid", surface, _FIPY_SURFACE, share=5e-3, unit="s")


CYLINDER_BY_LIBRARIES = Case(
    id="L2",
    title="One freezing cylinder by two other libraries",
    setup="The cylinder of R4. FiPy has finite volumes on the same 12 by 28 cells, scikit-fem finite elements, 24 by"
    " 56, beside 48 by 112 cells here; both step the enthalpy by backward differences of second order.",
    formulas=(r"$\frac{\partial H}{\partial t} = \nabla \cdot (k \nabla T)$",),
    equation="Enthalpy in r and z, each library with operators of its own.",
    source="FiPy 4.0.3 and scikit-fem 12.0.2, run on 2026-11-28 by a test that runs them anew.",
    mark="open library",
    slack="FiPy 0.25 %: only the steps differ, of up to 300 s, which cost 0.2 % early; its surface 0.5 %, cell by cell."
    " scikit-fem 0.5 %: 0.3 % early with the first quarter, 0.1 % late with the last liquid.",
    run=_cylinder,
    problems=(("", lambda: stated_for_coolsim(radial_cells=12, axial_cells=28, tolerance=0.1)),),
)
