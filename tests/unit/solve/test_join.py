"""Sections that are joined and share nothing run as each does alone."""

from dataclasses import replace

import numpy as np

from coolsim.model.problem import Accuracy, Boundary, Contact, Melt, Problem
from coolsim.model.section import Block, Section, Span
from coolsim.solve.integrate import integrate
from coolsim.solve.join import join, split
from coolsim.solve.network import build
from coolsim.studies.verify.problems import inert, reference_wax

GLASS = inert(1.0, 2e6, "glass")


def jar(contact):
    """Wax in glass, in contacts that take a good part of the difference: wall, base, and base on what it stands on."""
    section = Section(
        radial=(Span(name="wax", length=0.03, cells=4), Span(name="wall", length=0.004, cells=2)),
        axial=(
            Span(name="bench", length=0.01, cells=2),
            Span(name="base", length=0.004, cells=2),
            Span(name="wax", length=0.04, cells=4),
        ),
        blocks=(
            Block(part="bench", material=inert(0.2, 1e6, "oak"), radial=("wax", "wall"), axial=("bench",), start=21.0),
            Block(part="glass", material=GLASS, radial=("wax", "wall"), axial=("base",), start=21.0),
            Block(part="glass", material=GLASS, radial=("wall",), axial=("wax",), start=21.0),
            Block(part="wax", material=reference_wax((45.0, 50.0)), radial=("wax",), axial=("wax",), start=65.0),
        ),
    )
    return Problem(
        section=section,
        boundaries=(
            Boundary(name="side", part="glass", facing="outwards", film=10.0),
            Boundary(name="under", part="bench", facing="down", film=10.0, path="base"),
        ),
        contacts=(
            Contact(parts=("wax", "glass"), conductance=contact),
            Contact(parts=("bench", "glass"), conductance=2.0 * contact),
        ),
        melt=Melt(mixing="none"),
        # Steps of one length, so that they are the same alone and together.
        accuracy=Accuracy(tolerance=1e6, first_step=20.0, longest_step=20.0),
        horizon=1200.0,
        stop_when_cool=False,
    )


def test_joined_sections_keep_their_contacts():
    problems = [jar(20.0), jar(60.0)]
    networks = [build(problem) for problem in problems]
    joined = join(networks, [3, 5])
    for (_, found), network in zip(split(joined, integrate(joined.network)), networks, strict=True):
        alone = integrate(network)
        # Round-off: each has the same equations, times a number.
        np.testing.assert_allclose(found.time, alone.time, rtol=1e-12)
        np.testing.assert_allclose(found.enthalpy, alone.enthalpy, rtol=1e-9)
        np.testing.assert_allclose(found.lost, alone.lost, rtol=1e-9, atol=1e-9)
    # The contacts tell: without them, or with each other's, it would be another run.
    ends = [integrate(network).enthalpy[-1] for network in (*networks, build(replace(problems[0], contacts=())))]
    for one, other in ((0, 1), (0, 2)):
        assert np.abs(ends[one] - ends[other]).max() > 0.01 * np.abs(ends[one]).max()
