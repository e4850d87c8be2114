"""Wax that freezes inwards from the wall, against computed tables and published bounds."""

import math

import numpy as np
import pytest
from held import held
from scipy.integrate import solve_ivp

from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.model.section import Block, Section, Span
from coolsim.solve.wax_body import last_above
from coolsim.studies.verify.freezing_problems import (
    AIR,
    CONDUCTION,
    CONDUCTIVITY,
    DENSITY,
    DIFFERENCE,
    FREEZING_POINT,
    HEAT_CAPACITY,
    LATENT_HEAT,
    cylinder_without_dimensions,
    in_units,
    made_up_wax,
)
from coolsim.studies.verify.inwards import FROM_ALL_FACES, INWARDS, SLICES, complete_freezing, jar_slice
from coolsim.studies.verify.problems import solved


@pytest.mark.parametrize("case", [INWARDS, FROM_ALL_FACES, SLICES], ids=lambda case: case.id)
def test_wax_freezes_inwards_as_computed(case):
    held(case)


@pytest.mark.parametrize(("biot", "stefan"), [(0.5, 0.1), (1.0, 1.0), (5.0, 0.3)])
def test_freezing_time_lies_between_the_quasi_steady_bounds(biot, stefan):
    # Plank; London & Seban 1943: Q < Ste tau < Q (1 + Ste) with Q = 1/4 + 1/(2 Bi).
    quasi_steady = 0.25 + 0.5 / biot
    assert quasi_steady < stefan * complete_freezing(biot, stefan, cells=50) < quasi_steady * (1 + stefan)


@pytest.mark.parametrize(("width", "least", "most"), [(0.05, -1e-3, 1e-3), (0.20, 0.03, 0.08)])
def test_a_freezing_range_must_be_wide_to_be_felt(width, least, most):
    # A range of 5 % of the driving difference changes the time by less than 0.1 %, one of 20 % by 3 to 8 %; computed
    # independently.
    problem = cylinder_without_dimensions(stefan=0.3, side=1.0, radial_cells=50, width=width)
    found = in_units(problem, solved(problem).events.solid_throughout)
    assert least < found / 2.841330 - 1.0 < most


def test_corner_front_stands_where_the_similarity_solution_has_it():
    # Rathjen & Jiji 1971: a quarter space of liquid at 0.3, freezing at 0, walls -1, Ste 4.
    # The front crosses the diagonal at x / sqrt(4 alpha t) = 0.895 +- 0.001, computed independently. Here the corner
    # lies at a radius 3000 times its size, where r is as good as Cartesian.
    size, cells, width = 0.03, 100, 0.005
    diffusivity = CONDUCTIVITY / (DENSITY * HEAT_CAPACITY)
    wax = made_up_wax(
        freezing=(FREEZING_POINT - 0.5 * width * DIFFERENCE, FREEZING_POINT + 0.5 * width * DIFFERENCE),
        latent_heat=HEAT_CAPACITY * DIFFERENCE / 4.0,
    )
    start = FREEZING_POINT + 0.3 * DIFFERENCE
    problem = Problem(
        section=Section(
            radial=(Span(name="r", length=size, cells=cells, finer="end", stretch=4.0),),
            axial=(Span(name="z", length=size, cells=cells, finer="start", stretch=4.0),),
            blocks=(Block(part="wax", material=wax, radial=("r",), axial=("z",), start=start),),
            inner_radius=100.0,
        ),
        boundaries=(
            Boundary(name="side", part="wax", facing="outwards", film=math.inf, path="side"),
            Boundary(name="base", part="wax", facing="down", film=math.inf, path="base"),
        ),
        room=AIR,
        melt=CONDUCTION,
        accuracy=Accuracy(tolerance=0.1, longest_step=1e9, first_step=0.01),
        # The far faces are three diffusion lengths away and still as hot as at the start.
        horizon=(size / 3.0) ** 2 / (4.0 * diffusivity),
        stop_when_cool=False,
    )
    result = solved(problem)
    diagonal = result.wax.cells[np.arange(cells), np.arange(cells)[::-1]]
    half_frozen = enthalpy_at_fraction(result.wax.table, 0.5)
    passed = last_above(result.time, result.history.enthalpy[:, diagonal] - half_frozen)
    # The cells near the corner froze while the first steps and cells were felt.
    late = np.isfinite(passed) & (result.wax.z > 0.2 * size)
    place = result.wax.z[late] / np.sqrt(4.0 * diffusivity * passed[late])
    assert late.sum() > 5
    assert place.mean() == pytest.approx(0.895, abs=1e-3)


def test_bare_wax_with_a_freezing_range_agrees_with_a_library_integrator():
    # No figure from elsewhere is at hand for 50-57 °C without glass, so scipy's LSODA integrates an own semi-discrete
    # form, with flux from the Kirchhoff potential.
    cells, radius, film = 50, 0.0355, 9.5
    temperature = np.linspace(20.0, 80.0, 60001)
    liquid = np.clip((temperature - 50.0) / 7.0, 0.0, 1.0)
    step = temperature[1] - temperature[0]

    def integral(values):
        return np.concatenate([[0.0], np.cumsum(0.5 * (values[1:] + values[:-1]) * step)])

    enthalpy = DENSITY * (integral(2100.0 + 200.0 * liquid) + LATENT_HEAT * liquid)
    conductivity = 0.24 - 0.08 * liquid
    potential = integral(conductivity)
    edges = np.linspace(0.0, radius, cells + 1)
    volume, distance = 0.5 * np.diff(edges**2), radius / cells
    solidus = np.interp(50.0, temperature, enthalpy)

    def rate(_, content):
        now = np.interp(content, enthalpy, temperature)
        flow = np.zeros(cells + 1)
        flow[1:-1] = edges[1:-1] / distance * np.diff(np.interp(now, temperature, potential))
        outermost = np.interp(now[-1], temperature, conductivity)
        flow[-1] = -radius * (now[-1] - AIR) / (1.0 / film + 0.5 * distance / outermost)
        return np.diff(flow) / volume

    def frozen(_, content):
        return content.max() - solidus

    frozen.terminal = True
    start = np.full(cells, np.interp(75.0, temperature, enthalpy))
    library = solve_ivp(
        rate, (0.0, 30000.0), start, method="LSODA", lband=1, uband=1, rtol=1e-4, atol=2e3, events=frozen
    )
    found = solved(jar_slice((50.0, 57.0), glass=False, cells=cells)).events.solid_throughout
    # 0.05 %: the same cells, so only the two integrators and the tables differ.
    assert found == pytest.approx(library.t_events[0][0], rel=5e-4)
