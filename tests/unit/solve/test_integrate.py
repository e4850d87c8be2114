"""Which steps are taken again, and when a run ends."""

from dataclasses import replace

import numpy as np
import pytest

from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.problem import Accuracy, Boundary, Melt, Node, NodeLink, Problem
from coolsim.model.section import Block, Section, Span
from coolsim.scenario import with_overrides
from coolsim.solve import integrate as loop
from coolsim.solve.network import build
from coolsim.solve.simulate import simulate
from coolsim.solve.stepper import Stepper
from coolsim.studies.verify.problems import STILL, Layer, cylinder, inert, reference_wax, sets_at
from tests.support.pair import closed_pair


def lukewarm(tolerance):
    """A kelvin over the room: only what a test says of a step can make it shorter than a minute."""
    return cylinder(
        [Layer(part="wax", material=inert(0.2, 2e6), length=0.03, cells=4, start=22.0)],
        boundaries=[Boundary(name="side", part="wax", facing="outwards", film=5.0)],
        horizon=3600.0,
        accuracy=Accuracy(tolerance=tolerance, first_step=1.0, longest_step=60.0),
    )


@pytest.mark.parametrize("tolerance", [0.2, 1.0])
@pytest.mark.parametrize(("tolerances", "longest"), [(9.9, 60.0), (10.1, 10.0)])
def test_a_step_that_bends_by_more_than_ten_tolerances_is_taken_again(monkeypatch, tolerance, tolerances, longest):
    class Bent(Stepper):
        """Says of each step over ten seconds that some temperature bends in it."""

        def advance(self, state, dt):
            step = super().advance(state, dt)
            return replace(step, bend=[tolerances * tolerance if dt > 10.0 else 0.0])

    monkeypatch.setattr(loop, "Stepper", Bent)
    history = loop.integrate(build(lukewarm(tolerance)))
    steps = np.diff(history.time)
    # Halved, and grown by at most 1.6 at a time: between five and ten seconds, or as long as is allowed.
    assert 0.5 * longest < steps[20:].max() <= longest * (1.0 + 1e-12)
    assert (history.rejected > 0) == (tolerances > 10.0)


def test_a_run_ends_when_the_wax_is_cool_whatever_else_is_hot():
    # A hot plate under the wax, with air between them.
    section = Section(
        radial=(Span(name="r", length=0.01, cells=1),),
        axial=tuple(Span(name=name, length=0.01, cells=1) for name in ("plate", "air", "wax")),
        blocks=(
            Block(part="plate", material=inert(1.0, 2e6), radial=("r",), axial=("plate",), start=90.0),
            Block(part="wax", material=reference_wax((45.0, 50.0)), radial=("r",), axial=("wax",), start=40.0),
        ),
    )
    side = Boundary(name="side", part="wax", facing="outwards", film=10.0)
    told = []
    history = loop.integrate(
        build(Problem(section=section, boundaries=(side,), room=21.0, melt=STILL)), on_step=told.append
    )
    assert history.ended == "cool"
    assert told[-1].hottest <= 24.0 < told[-2].hottest


@pytest.mark.parametrize("relaxation", [20.0, 60.0])
def test_steps_stay_below_half_of_the_relaxation_time_while_wax_is_stirred(monkeypatch, relaxation):
    usual, later = stirred_and_later(relaxation)
    # Where a step hardly errs it may be longer, up to twice the relaxation time.
    assert 0.45 * relaxation < usual <= 2.0 * relaxation
    monkeypatch.setattr(loop, "_MIXING_ERROR", 1e-9)
    held, free = stirred_and_later(relaxation)
    # It is this that holds them back, and nothing does when the last wax has come to rest.
    assert held == pytest.approx(0.45 * relaxation, rel=1e-9)
    assert min(free, later) > relaxation


def stirred_and_later(relaxation):
    wax = reference_wax((45.0, 50.0))
    problem = replace(
        cylinder(
            [Layer(part="wax", material=wax, length=0.01, cells=3, start=65.0)],
            boundaries=[Boundary(name="side", part="wax", facing="outwards", film=15.0)],
            axial=(Span(name="height", length=0.02, cells=3),),
            horizon=3600.0,
            accuracy=Accuracy(tolerance=5.0, first_step=1.0, longest_step=300.0),
        ),
        melt=Melt(relaxation=relaxation),
    )
    network = build(problem)
    history = loop.integrate(network)
    liquid = network.cells.liquid(history.enthalpy, network.cells.piece(history.enthalpy)).max(axis=1)
    stirred = liquid[1:] > problem.melt.circulates_above
    steps = np.diff(history.time)
    return steps[stirred].max(), steps[~stirred].max()


@pytest.mark.parametrize("tolerance", [0.2, 1.0])
@pytest.mark.parametrize(("tolerances", "longest"), [(1.9, 60.0), (2.1, 10.0)])
def test_a_step_that_passes_the_extremes_by_more_than_two_tolerances_is_taken_again(
    monkeypatch, tolerance, tolerances, longest
):
    tried = []

    class Watched(Stepper):
        def advance(self, state, dt):
            tried.append(dt)
            return super().advance(state, dt)

    monkeypatch.setattr(loop, "Stepper", Watched)
    # Says of each step over ten seconds that it passes the extremes.
    monkeypatch.setattr(loop._Extremes, "passed", lambda *_: tolerances * tolerance if tried[-1] > 10.0 else 0.0)
    history = loop.integrate(build(lukewarm(tolerance)))
    steps = np.diff(history.time)
    assert 0.5 * longest < steps[20:].max() <= longest * (1.0 + 1e-12)
    assert (history.rejected > 0) == (tolerances > 2.0)


def test_the_extremes_are_those_of_the_start_and_of_all_that_has_lain_outside():
    watch = loop._Extremes(lukewarm(0.2), 40.0, 60.0)
    assert watch.passed((39.0, 60.0), (45.0, 45.0)) == pytest.approx(1.0)
    assert watch.passed((40.0, 62.0), (21.0, 61.0)) == pytest.approx(1.0)
    # What was outside once counts on.
    assert watch.passed((20.5, 61.0), (45.0, 45.0)) == pytest.approx(0.5)
    heated = replace(lukewarm(0.2), source=lambda r, z, time: 0.0 * r)
    assert loop._Extremes(heated, 40.0, 40.0).passed((40.0, 90.0), (21.0, 21.0)) == 0.0


def test_the_first_step_is_as_short_as_the_quickest_cell_needs_unless_all_have_one_length():
    thin = cylinder(
        [Layer(part="wax", material=inert(0.2, 2e6), length=0.5e-3, cells=1, start=60.0)],
        boundaries=[Boundary(name="side", part="wax", facing="outwards", film=50.0)],
        axial=(Span(name="height", length=0.2, cells=2),),
        horizon=100.0,
        accuracy=Accuracy(first_step=30.0, longest_step=60.0),
    )
    # Round the axis a cell conducts 2 pi r k/(r/2) to its face: film and that, and along the axis k over 0.1 m to the
    # other cell, over the heat that it holds.
    radius, height = 0.5e-3, 0.1
    area = np.pi * radius**2
    loss = 2.0 * np.pi * radius * height / (1.0 / 50.0 + 0.5 * radius / 0.2) + 0.2 * area / height
    first = loop.integrate(build(thin)).time[1]
    assert first == pytest.approx(area * height * 2e6 / loss, rel=1e-9)
    fixed = replace(thin, accuracy=Accuracy(tolerance=1e6, first_step=25.0, longest_step=25.0))
    assert loop.integrate(build(fixed)).time[1] == 25.0


def with_air(room):
    """Nothing but a little air that follows the room within a second, beside a cylinder that is insulated."""
    return replace(
        lukewarm(0.2),
        boundaries=(),
        nodes=(Node(name="air", capacity=1.0, start=21.0),),
        node_links=(NodeLink(ends=("air", "room"), conductance=10.0),),
        room=room,
    )


def test_a_node_that_goes_on_as_it_went_does_not_shorten_the_steps_and_one_that_departs_does():
    # Three kelvins in a step of a minute, and a step may depart by five tolerances: one kelvin.
    steady = loop.integrate(build(with_air(lambda time: 21.0 + 0.05 * time)))
    assert steady.rejected == 0
    assert np.diff(steady.time)[20:].max() == pytest.approx(60.0)
    # Three kelvins at once.
    sudden = loop.integrate(build(with_air(lambda time: 21.0 if time < 1800.0 else 24.0)))
    assert sudden.rejected > 0
    # A little less does no harm: 0.9 of five tolerances.
    slight = loop.integrate(build(with_air(lambda time: 21.0 if time < 1800.0 else 21.9)))
    assert slight.rejected == 0


def test_the_last_liquid_and_the_last_wax_that_creeps_vanish_in_short_steps():
    problem = replace(
        cylinder(
            [Layer(part="wax", material=reference_wax((45.0, 50.0)), length=0.02, cells=4, start=60.0)],
            boundaries=[Boundary(name="side", part="wax", facing="outwards", film=20.0)],
            horizon=3 * 3600.0,
            accuracy=Accuracy(tolerance=5.0),
        ),
        melt=Melt(mixing="none", softness=sets_at(0.35)),
    )
    network = build(problem)
    history = loop.integrate(network)
    most, steps = history.enthalpy.max(axis=1), np.diff(history.time)
    for fraction in (0.35, 0.0):
        gone = int(np.argmax(most <= enthalpy_at_fraction(network.tables[0], fraction)))
        assert steps[gone - 1] <= 0.003 * history.time[gone - 1]
    # At this tolerance they are long elsewhere.
    assert steps.max() > 0.03 * history.time[gone]


@pytest.mark.parametrize("which", [0, 1], ids=["bare", "boxed"])
def test_a_run_ends_soon_after_its_wax_is_cool(which):
    jar = with_overrides(closed_pair()[which], {"run.refinement": 0.5, "run.tolerance": "0.8 °C"}).jar
    result = simulate(jar)
    assert result.ended == "cool"
    # Where nobody looked ahead it was a quarter of an hour or more: steps are as long there.
    assert np.diff(result.time)[:-1].max() > 900.0
    assert 0.0 <= result.time[-1] - result.events.cool < 120.0
