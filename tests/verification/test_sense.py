"""What anyone who has poured candles expects of the top, each with its physical reason. No source: common practice."""

from dataclasses import replace

import pytest

from coolsim.model.materials import catalogue_wax
from coolsim.model.problem import Boundary, Problem
from coolsim.model.section import Block, Section, Span
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from tests.support.pair import closed_pair

BARE, BOXED = closed_pair()


def top_of(scenario, **changes):
    result = simulate(replace(scenario.jar, **changes))
    assert result.ledger.closed
    assert result.shrinkage.ledger.open_share < 1e-12
    return result


@pytest.mark.parametrize("flows_above", [0.5, 0.7, 0.9, 0.99])
def test_box_makes_the_dish_smaller_however_long_the_melt_circulates(flows_above):
    # The box takes away the side's lead, though of a lone jar only a part of it: by 10 to 13 % of the volume.
    bare, boxed = (top_of(one, melt=replace(one.jar.melt, flows_above=flows_above)).shrinkage for one in (BARE, BOXED))
    assert boxed.dish_volume < 0.95 * bare.dish_volume
    assert boxed.depth < 1.02 * bare.depth


def cylinder(**films):
    """A cylinder of wax that loses heat only where a film is given."""
    section = Section(
        radial=(Span(name="r", length=0.035, cells=16),),
        axial=(Span(name="z", length=0.06, cells=24),),
        blocks=(Block(part="wax", material=catalogue_wax("soft-vegetable"), radial=("r",), axial=("z",), start=65.0),),
    )
    facing = {"top": "up", "side": "outwards", "base": "down"}
    boundaries = tuple(
        Boundary(name=name, part="wax", facing=facing[name], film=film, path=name) for name, film in films.items()
    )
    return simulate(Problem(section=section, boundaries=boundaries, room=21.0, horizon=48 * 3600.0)).shrinkage


def test_cooling_from_below_with_insulated_side_and_top_gives_the_flattest_top_and_no_cavity():
    # The front rises level under a melt that is open everywhere: the whole surface goes down as one, and the last wax
    # to freeze is the surface itself.
    below = cylinder(base=10.0)
    leaky = cylinder(base=10.0, side=0.1, top=0.1)
    others = [cylinder(side=10.0), cylinder(side=10.0, base=10.0), cylinder(side=10.0, base=10.0, top=10.0)]
    # Nothing in it differs along r: what is left is round-off.
    assert abs(below.depth) < 1e-6
    # A per cent of the loss through side and top each, as of good insulation, is felt little: 0.4 mm, a sixth of the
    # least of the others.
    assert abs(below.depth) < abs(leaky.depth) < 0.5e-3
    assert all(abs(one.depth) > 1.5e-3 and one.dish_volume > 1e-6 for one in others)
    # Cavities below a microlitre are none.
    assert max(below.cavity_volume, leaky.cavity_volume) < 1e-9
    assert below.rim_dip > max(one.rim_dip for one in others)


def test_hotter_pour_lowers_the_whole_level_more():
    # More liquid contraction before anything stiffens: 10 K of 7.3e-4 per kelvin is 0.7 % of the depth.
    usual, hot = (top_of(with_overrides(BOXED, {"pour.temperature": pour})) for pour in ("60 °C", "70 °C"))
    depth = usual.shrinkage.pour_level
    assert hot.shrinkage.rim_dip - usual.shrinkage.rim_dip == pytest.approx(0.0073 * depth, rel=0.4)
    assert hot.shrinkage.centre_dip > usual.shrinkage.centre_dip


def test_colder_room_sets_sooner():
    # A larger difference drives more heat through the same films.
    cold, warm = (top_of(with_overrides(BARE, {"room.temperature": room})) for room in ("15 °C", "24 °C"))
    assert cold.events.fully_set < warm.events.fully_set
    assert cold.events.top_closed < warm.events.top_closed


def test_less_loss_through_the_top_closes_it_later_and_leaves_a_smaller_cavity():
    # While the top is open the level feeds what freezes; what is left to freeze under a late top is little.
    usual, quiet = (top_of(BARE, top_factor=factor) for factor in (1.0, 0.3))
    assert quiet.events.top_closed > usual.events.top_closed
    assert quiet.shrinkage.cavity_volume < usual.shrinkage.cavity_volume


def test_colder_jar_makes_the_first_skin_more_likely_to_stay():
    # Cold glass takes more heat from the wax that touches it before it is as warm as that.
    cold, usual, warm = (
        top_of(with_overrides(BARE, {"vessel.temperature": glass})).events.first_skin
        for glass in ("5 °C", "21 °C", "40 °C")
    )
    assert cold.coldest < usual.coldest
    assert cold.melted_again is None or cold.melted_again > usual.melted_again
    assert warm is None


@pytest.mark.parametrize("scenario", [BARE, BOXED], ids=["bare", "boxed"])
def test_numbers_of_the_top_hold_on_a_grid_twice_as_fine(scenario):
    usual, fine = (
        top_of(scenario, accuracy=replace(scenario.jar.accuracy, refinement=grid)).shrinkage for grid in (1.0, 2.0)
    )
    # 5 %: stated aim.
    for name in ("rim_dip", "centre_dip", "depth", "void_volume", "dish_volume"):
        assert getattr(usual, name) == pytest.approx(getattr(fine, name), rel=0.05), name
