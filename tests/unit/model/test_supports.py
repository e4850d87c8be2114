"""What a jar stands on: rack, slab, mat, a plate that is warmed, cooled or held."""

import pytest

from coolsim import Support, catalogue_inert, simulate, with_overrides
from coolsim.errors import ScenarioError
from coolsim.model.films import film_on_face_down, film_on_face_up
from coolsim.model.layout import problem_of
from tests.support.pair import closed_pair

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE, BOXED = (with_overrides(one, QUICK) for one in closed_pair())
RACK = {"support": {"kind": "rack"}}


def run(scenario, **overrides):
    return simulate(with_overrides(scenario, {key.replace("__", "."): value for key, value in overrides.items()}).jar)


@pytest.fixture(scope="module")
def oak():
    return simulate(BARE.jar)


def test_a_rack_has_no_bench_and_lets_the_base_give_more_heat_to_the_air(oak):
    result = simulate(with_overrides(BARE, RACK).jar)
    assert "bench" not in result.parts
    assert result.ledger.closed
    assert dict(result.ledger.by_path)["base"] > dict(oak.ledger.by_path)["base"]
    assert result.events.fully_set < oak.events.fully_set


@pytest.mark.parametrize("under_layers", [0, 2])
def test_a_box_can_stand_on_a_rack(under_layers):
    result = simulate(with_overrides(BOXED, {**RACK, "surround.under_layers": under_layers}).jar)
    assert result.ledger.closed
    assert result.events.fully_set is not None


def test_stone_takes_heat_faster_than_oak_and_a_towel_on_it_stops_that(oak):
    stone = run(BARE, support__material="granite")
    towel = run(BARE, support__material="granite", support__mat="towel", support__mat_thickness="5 mm")
    assert stone.events.fully_set < oak.events.fully_set
    assert stone.events.fully_set < towel.events.fully_set
    assert dict(stone.ledger.by_path)["base"] > dict(towel.ledger.by_path)["base"]
    assert "mat" in towel.parts


def test_under_a_jar_on_a_rack_the_film_is_that_of_a_face_down():
    law = next(one for one in problem_of(with_overrides(BARE, RACK).jar).boundaries if one.name == "underside")
    assert law.film(40.0, 21.0) == film_on_face_down(40.0, 21.0, diameter=BARE.jar.vessel.diameter)
    assert (law.part, law.facing, law.emissivity) == ("glass", "down", BARE.jar.vessel.emissivity)


def test_under_board_on_a_rack_the_face_is_as_wide_as_the_inside_of_the_box():
    jar = with_overrides(BOXED, {**RACK, "surround.under_layers": 1, "surround.emissivity": 0.6}).jar
    law = next(one for one in problem_of(jar).boundaries if one.name == "underside")
    wide = jar.vessel.diameter + 2.0 * jar.surround.gap
    assert law.film(40.0, 21.0) == pytest.approx(film_on_face_down(40.0, 21.0, diameter=wide))
    assert (law.part, law.facing, law.emissivity) == ("pad", "down", 0.6)


@pytest.mark.parametrize("boxed", [False, True])
def test_a_bench_meets_the_air_as_wide_as_what_stands_on_it_and_its_reach(boxed):
    own = {"support.reach": "100 mm", "support.underside": "air", "support.emissivity": 0.7}
    jar = with_overrides(BOXED if boxed else BARE, own).jar
    laws = {one.name: one for one in problem_of(jar).boundaries}
    across = jar.vessel.diameter + 0.2
    if boxed:
        across += 2.0 * (jar.surround.gap + jar.surround.side_layers * jar.surround.layer)
    top, below = laws["bench top"], laws["bench underside"]
    assert top.film(30.0, 21.0) == pytest.approx(film_on_face_up(30.0, 21.0, diameter=across))
    assert below.film(30.0, 21.0) == pytest.approx(film_on_face_down(30.0, 21.0, diameter=across))
    assert (top.facing, below.facing, top.spans, top.emissivity, below.emissivity) == (
        "up",
        "down",
        ("reach",),
        0.7,
        0.7,
    )


@pytest.mark.parametrize("layers", [0, 1])
def test_the_foot_touches_what_is_next_and_all_below_has_the_contact_of_the_bench(layers):
    own = {"surround.under_layers": layers, "vessel.foot": "40 W/m2K", "support.contact": "70 W/m2K"}
    found = {one.parts: one.conductance for one in problem_of(with_overrides(BOXED, own).jar).contacts}
    assert found == ({("glass", "pad"): 40.0, ("pad", "bench"): 70.0} if layers else {("glass", "bench"): 40.0})


def test_a_mat_as_good_as_none_changes_nothing():
    # Of granite, a tenth of the slab, in a contact a thousand times as good as it.
    slab = {"support__material": "granite", "support__contact": "1000 W/m2K"}
    thick = run(BARE, **slab, support__thickness="33 mm")
    parted = run(BARE, **slab, support__thickness="30 mm", support__mat="granite", support__mat_thickness="3 mm")
    # The joint has a resistance of a thirtieth of the slab's, and the mat ends under the jar.
    assert parted.events.fully_set == pytest.approx(thick.events.fully_set, rel=0.01)
    assert parted.grid.z_edges[-1] == pytest.approx(thick.grid.z_edges[-1])


def test_a_warm_plate_delays_and_a_cold_one_held_from_below_hurries(oak):
    steel = {"support__material": "steel", "support__thickness": "5 mm"}
    warm = run(BARE, support__temperature="40 °C")
    held = run(BARE, **steel, support__temperature="5 °C", support__underside="held")
    left = run(BARE, **steel)
    assert warm.events.fully_set > oak.events.fully_set
    assert held.events.fully_set < left.events.fully_set
    # Held metal stays as it is, and takes what it is given.
    bench = held.temperatures(held.grid.by_column[:1])
    assert bench[-1, 0] == pytest.approx(5.0, abs=0.5)
    assert held.ledger.closed


def test_an_oven_warm_box_starts_warm():
    problem = problem_of(with_overrides(BOXED, {"surround.temperature": "40 °C"}).jar)
    starts = {block.part: block.start for block in problem.section.blocks}
    assert (starts["board"], starts["pad"], starts["bench"]) == (40.0, 40.0, 21.0)
    assert {node.start for node in problem.nodes} == {40.0}


def test_supports_that_cannot_be_are_refused():
    with pytest.raises(ValueError, match="needs a temperature"):
        Support(material=catalogue_inert("steel"), thickness=0.005, underside="held")
    with pytest.raises(ValueError, match="nothing to lay a mat on"):
        Support(material=None, mat=catalogue_inert("towel"), mat_thickness=0.005)


@pytest.mark.parametrize(
    ("support", "told"),
    [
        ({"kind": "rack", "material": "oak"}, "support.material: found with kind = 'rack'"),
        ({"kind": "rack", "underside": "held"}, "support.underside: found 'held'"),
        ({"thickness": "30 mm"}, "support.material: missing"),
        ({"material": "oak"}, "support.thickness: missing"),
        ({"material": "oak", "thickness": "30 mm", "underside": "held"}, "support.temperature: missing"),
        ({"material": "oak", "thickness": "30 mm", "mat": "towel"}, "support.mat_thickness: missing"),
        ({"material": "oak", "thickness": "30 mm", "mat_thickness": "5 mm"}, "support.mat: missing"),
    ],
)
def test_keys_that_do_not_fit_are_one_message(support, told):
    with pytest.raises(ScenarioError, match=told) as caught:
        with_overrides(BARE, {"support": support})
    assert len(caught.value.faults) == 1
