"""A small block of metal that cools by film and radiation, against its ordinary differential equation."""

import math

import numpy as np
from scipy.integrate import solve_ivp

from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.model.properties import Inert
from coolsim.model.section import Block, Section, Span
from coolsim.solve.simulate import simulate

RADIUS, HEIGHT, FILM, EMISSIVITY = 0.02, 0.03, 6.0, 0.8
START, ROOM = 150.0, 20.0
# CODATA 2018, exact.
STEFAN_BOLTZMANN = 5.670374419e-8


def test_it_cools_as_the_equation_of_its_mean_temperature_says():
    # Lumped heat capacity with radiation, rho c V dT/dt = -A (h (T - T0) + e s (T^4 - T0^4)): a textbook case, solved
    # by scipy.integrate.solve_ivp. The Biot number h R/k is 0.001.
    metal = Inert(name="metal", conductivity=200.0, density=2700.0, heat_capacity=900.0)
    section = Section(
        radial=(Span(name="wax", length=RADIUS, cells=6),),
        axial=(Span(name="wax", length=HEIGHT, cells=6),),
        blocks=(Block(part="metal", material=metal, radial=("wax",), axial=("wax",), start=START),),
    )
    faces = ("outwards", "up", "down")
    laws = tuple(
        Boundary(name=facing, part="metal", facing=facing, film=FILM, emissivity=EMISSIVITY) for facing in faces
    )
    result = simulate(
        Problem(
            section=section,
            boundaries=laws,
            room=ROOM,
            horizon=3600.0,
            stop_when_cool=False,
            accuracy=Accuracy(tolerance=0.05),
        )
    )
    area = 2.0 * math.pi * RADIUS * (RADIUS + HEIGHT)
    capacity = metal.density * metal.heat_capacity * math.pi * RADIUS**2 * HEIGHT

    def rate(_, temperature):
        radiated = EMISSIVITY * STEFAN_BOLTZMANN * ((temperature + 273.15) ** 4 - (ROOM + 273.15) ** 4)
        return -area * (FILM * (temperature - ROOM) + radiated) / capacity

    expected = solve_ivp(rate, (0.0, 3600.0), [START], t_eval=result.time, rtol=1e-9, atol=1e-9).y[0]
    mean = result.temperatures(np.arange(len(result.block))) @ result.grid.volume / result.grid.volume.sum()
    # Of a fall by 110 K: steps that err by 0.05 K, and a surface that is 0.1 % of the difference colder than the mean.
    assert expected[-1] < 40.0
    np.testing.assert_allclose(mean, expected, atol=0.15)
