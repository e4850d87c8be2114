from dataclasses import replace

import pytest

from coolsim.model.jar import Vessel
from coolsim.model.materials import catalogue_inert, catalogue_wax
from coolsim.model.problem import Boundary, Problem
from coolsim.model.section import Block, Section, Span
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from tests.support.pair import closed_pair

# Half the cells: what is tested here is what is drawn, not how exact it is.
COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}


@pytest.fixture(scope="session")
def pair():
    """Titles and results of the two built-in scenarios, the box closed."""
    scenarios = [with_overrides(one, COARSE) for one in closed_pair()]
    return [(scenario.title, simulate(scenario.jar)) for scenario in scenarios]


@pytest.fixture(scope="session")
def drawn(pair):
    """Each figure of the pair, drawn once."""
    figures = {}

    def draw(function):
        if function not in figures:
            figures[function] = function(pair)
        return figures[function]

    return draw


@pytest.fixture(scope="session")
def odd():
    """Four runs that differ from the pair: a tin, a box filled to the rim without headroom, bare wax, a cut-off run."""
    bare, boxed = (with_overrides(one, COARSE).jar for one in closed_pair())
    steel = catalogue_inert("tinned-steel")
    tin = Vessel(diameter=0.064, height=0.045, wall=0.22e-3, base=0.22e-3, material=steel, emissivity=0.06, foot=60.0)
    small = replace(bare, vessel=tin, depth=0.036)
    vessel, surround = boxed.vessel, boxed.surround
    full = replace(
        boxed,
        depth=vessel.height - vessel.base,
        surround=replace(surround, headroom=0.0, exposed_sides=2),
        support=replace(boxed.support, reach=0.0),
    )
    section = Section(
        radial=(Span(name="wax", length=0.03, cells=8),),
        axial=(Span(name="wax", length=0.06, cells=10),),
        blocks=(Block(part="wax", material=catalogue_wax("paraffin"), radial=("wax",), axial=("wax",), start=70.0),),
    )
    side = Boundary(name="side", part="wax", facing="outwards", film=10.0)
    plain = Problem(section=section, boundaries=(side,), room=20.0)
    return [
        ("A bright tin, priced $ 3 or $ 4", simulate(small)),
        (
            "Filled to the rim, in a closed box without headroom, with neighbours on two sides of the jar",
            simulate(full),
        ),
        ("Wax without a jar", simulate(plain)),
        ("Cut off after an hour", simulate(replace(bare, horizon=3600.0))),
    ]
