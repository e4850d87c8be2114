"""A cylinder in a room whose temperature goes up and down as a sine, against the closed form."""

import math

import numpy as np
from scipy.special import jv

from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.model.properties import Inert
from coolsim.model.section import Block, Section, Span
from coolsim.solve.simulate import simulate

RADIUS, FILM = 0.04, 12.0
SOLID = Inert(name="solid", conductivity=0.3, density=900.0, heat_capacity=2000.0)
MEAN, SWING, PERIOD = 20.0, 6.0, 4 * 3600.0


def test_swing_and_delay_in_the_cylinder_are_those_of_the_closed_form():
    # An infinite cylinder with a film, periodic for ever: T - MEAN = Re(C J0(q r) e^(i w t)) with q^2 = -i w/a, and
    # k q C J1(q R) = h (C J0(q R) - SWING) at the surface. Derived here; the method of complex temperatures is that of
    # Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, chapter VII, from memory.
    section = Section(
        radial=(Span(name="wax", length=RADIUS, cells=40),),
        axial=(Span(name="wax", length=0.02, cells=1),),
        blocks=(Block(part="solid", material=SOLID, radial=("wax",), axial=("wax",), start=MEAN),),
    )
    omega = 2.0 * math.pi / PERIOD
    side = Boundary(name="side", part="solid", facing="outwards", film=FILM)
    result = simulate(
        Problem(
            section=section,
            boundaries=(side,),
            room=lambda time: MEAN + SWING * math.cos(omega * time),
            horizon=7 * PERIOD,
            stop_when_cool=False,
            accuracy=Accuracy(tolerance=0.02),
        )
    )
    diffusivity = SOLID.conductivity / (SOLID.density * SOLID.heat_capacity)
    q = np.sqrt(-1j * omega / diffusivity)
    c = FILM * SWING / (FILM * jv(0, q * RADIUS) - SOLID.conductivity * q * jv(1, q * RADIUS))
    r = result.grid.r
    # After six periods the start is forgotten: the slowest mode fades with R^2/(1.4^2 a), 82 min, to 1e-7.
    late = result.time >= 6 * PERIOD
    time = result.time[late][:, None]
    expected = MEAN + np.real(c * jv(0, q * r[None, :]) * np.exp(1j * omega * time))
    found = result.temperatures(np.arange(len(r)))[late]
    # The swing at the axis is 2 K and an hour late. Cells of 1 mm and steps that err by 0.02 K: 1 % of it.
    assert np.ptp(expected[:, 0]) > 2.0
    np.testing.assert_allclose(found, expected, atol=0.03)
    assert result.ledger.closed
