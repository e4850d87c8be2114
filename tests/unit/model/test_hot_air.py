"""Hot air on a jar: which faces it meets, and what else it changes in the problem."""

from dataclasses import replace

from coolsim.model.freezing import on_heating
from coolsim.model.hot_air import HotAir, under_hot_air
from coolsim.model.layout import problem_of
from tests.support.pair import closed_pair


def test_hot_air_meets_the_top_the_glass_above_it_and_the_rim_and_nothing_else():
    problem = problem_of(closed_pair()[0].jar)
    found = under_hot_air(problem, HotAir(air=180.0, film=60.0, on_glass=0.3, stirring=4.0))
    films = {"wax surface": 60.0, "glass above the wax": 18.0, "rim": 18.0}
    assert len(found.boundaries) == len(problem.boundaries)
    for before, law in zip(problem.boundaries, found.boundaries, strict=True):
        met = before.name in films
        assert law == (replace(before, film=films[before.name], air=180.0) if met else before)
    assert set(films) < {law.name for law in problem.boundaries}
    before, after = ({block.part: block.material for block in one.section.blocks} for one in (problem, found))
    assert after == before | {"wax": on_heating(before["wax"])}
    assert (found.melt.mixing, found.melt.conductivity_factor) == ("effective", 4.0)
    # It starts with cool wax: that is no reason to end.
    assert problem.stop_when_cool
    assert not found.stop_when_cool
