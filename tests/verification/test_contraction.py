"""The softness rule and the law of volume against their exact limits.

The closed forms were computed independently for this project from conservation of mass: with beta = 1 - rho_l/rho_s,
one volume of solid formed draws beta/(1 - beta) volumes of liquid from the free surface. The fronts are prescribed
here, so that what is tested is the contraction and nothing else.
"""

import dataclasses

import numpy as np
import pytest
from held import held

from coolsim.errors import MaterialError
from coolsim.model.freezing import enthalpy_at
from coolsim.model.materials import catalogue_wax
from coolsim.model.softness import Softness
from coolsim.solve.shrinkage import shrink
from coolsim.studies.verify.contraction import (
    BETA,
    CONTRACTION,
    HEIGHT,
    PLACES,
    SHARP,
    above,
    body,
    follow,
    law,
    pipe,
    profile,
)
from coolsim.studies.verify.contraction import held as followed

# What no suction moves.
UNDER_A_SKIN = dataclasses.replace(SHARP, suction=0.0)
WAX = catalogue_wax("soft-vegetable")


def test_freezing_from_side_and_bottom_leaves_the_closed_profiles():
    held(CONTRACTION)


def below(wax, front):
    """Liquid share of each cell below a level `front` (nt,)."""
    share = np.clip((front[:, None] - wax.z_edges[:-1]) / np.diff(wax.z_edges), 0.0, 1.0)
    return np.repeat(share[:, :, None], len(wax.r), axis=2)


def test_in_a_jar_the_smoothing_moves_the_pipe_by_less_than_a_hundredth_of_its_depth():
    # 0.02 of the depth of 60 mm is 1.2 mm, a thirtieth of the radius.
    wide, jar = (profile(pipe(96, **shape), PLACES) for shape in ({}, {"radius": 0.035, "height": 0.06}))
    assert jar == pytest.approx(wide, abs=0.01)
    # And it is there, so that the bodies here must be wide.
    assert abs(jar - wide).max() > 1e-3


def test_on_its_way_the_top_has_sunk_as_far_as_freezing_from_the_bottom_has_drawn_it():
    wax = body(6, 60)
    liquid = above(wax, np.linspace(0.0, HEIGHT, 481))
    enthalpy = wax.table.solidus + liquid * (wax.table.liquidus - wax.table.solidus)
    times = [0.0, 0.25, 0.6, 1.0, 2.0]
    tops = shrink(
        np.linspace(0.0, 1.0, len(enthalpy)), enthalpy, wax, law=law(), softness=SHARP, void_shows=0.1, at=times
    )
    # All melt gives evenly, so what freezes last has least of it: beta H (1 - (1 - x)^(1/(1 - beta))) at a share x of
    # the cells. The path is followed in 150 stretches, and the top is that of the one before. Nothing moves after the
    # end.
    expected = BETA * HEIGHT * (1.0 - (1.0 - np.minimum(times, 1.0)) ** (1.0 / (1.0 - BETA)))
    assert [top.rim_dip for top in tops] == pytest.approx(expected, abs=BETA * HEIGHT / 100)
    assert tops[0].rim_dip == 0.0
    assert tops[-1].rim_dip == tops[-2].rim_dip


@pytest.mark.parametrize("count", [15, 60])
def test_without_suction_a_skin_from_the_top_leaves_the_surface_still_and_all_as_void_below_it(count):
    wax = body(6, count)
    found = follow(wax, below(wax, np.linspace(HEIGHT, 0.0, 8 * count + 1)), softness=UNDER_A_SKIN)
    assert found.level == pytest.approx(HEIGHT, rel=1e-15)
    assert found.void_volume == pytest.approx(BETA * wax.volume.sum(), rel=1e-9)


def lost_by_freezing(left):
    """Share of the height by which melt under a skin that sinks is less, when of it a share is left by its places.

    What freezes at a place is what is still there: all places have thinned alike, to (1 - s)^(beta/(1 - beta)) when a
    share s of them has frozen, and the sum of beta/(1 - beta) of that is beta (1 - (1 - s)^(1/(1 - beta))).
    """
    return BETA * (1.0 - left ** (1.0 / (1.0 - BETA)))


def test_with_suction_a_skin_is_drawn_down_whole():
    # Frozen from the top down to 0.8 of the height: flat, no void, and lower by what has frozen lost.
    wax = body(6, 60)
    found = follow(wax, below(wax, np.linspace(HEIGHT, 0.8 * HEIGHT, 400)))
    assert np.ptp(found.level) < 1e-12 * HEIGHT
    # Half a per cent for the stretches in which it is followed.
    assert found.rim_dip == pytest.approx(HEIGHT * lost_by_freezing(0.8), rel=5e-3)
    # Less than half a per cent of each cell freezes when it is stiff already.
    assert found.void_volume < 5e-3 * found.ledger.total


@pytest.mark.parametrize("softness", [Softness(), Softness(stiffness=1e7, suction=3e4)])
def test_what_is_too_stiff_for_the_suction_keeps_its_place_and_loses_its_volume_as_void(softness):
    # The same everywhere: it sinks as one until it is as stiff as that, with v = 1 - beta (1 - f), then it stays.
    wax = body(6, 6)
    found = follow(wax, np.linspace(1.0, 0.0, 2000)[:, None, None] * np.ones_like(wax.volume), softness=softness)
    then = 1.0 - BETA * (1.0 - softness.liquid_at(softness.feeds_below))
    # It is followed in 150 stretches: half of one, of a loss of a tenth.
    assert found.level / HEIGHT == pytest.approx(then, abs=BETA / 300)
    assert found.void_volume / wax.volume.sum() == pytest.approx(then - (1.0 - BETA), abs=BETA / 300)


def test_wax_that_is_molten_again_has_neither_void_nor_dip():
    wax = body(6, 6)
    share = np.append(np.linspace(1.0, 0.0, 200), np.linspace(0.0, 1.0, 200))
    solid, molten = (
        follow(wax, part[:, None, None] * np.ones_like(wax.volume), softness=Softness())
        for part in (share[:200], share)
    )
    assert min(solid.void_volume / wax.volume.sum(), solid.rim_dip / HEIGHT) > 0.3 * BETA
    # What was drawn from the surface comes back to it: round-off.
    assert molten.void_volume < 1e-12 * wax.volume.sum()
    assert abs(molten.rim_dip) < 1e-9 * HEIGHT


@pytest.mark.parametrize("left", [0.75, 0.9, 1.0])
@pytest.mark.parametrize("softness", [SHARP, UNDER_A_SKIN])
def test_wax_that_melts_again_takes_back_what_it_lost(left, softness):
    """As much of it as has melted, or all of it: never more."""
    wax = body(4, 48)
    front = np.append(np.linspace(HEIGHT, 0.5 * HEIGHT, 97), np.linspace(0.5 * HEIGHT, left * HEIGHT, 97))
    # A cell at the top is never molten, so that the top is closed throughout.
    below_skin = 47 / 48
    found = follow(wax, below(wax, np.minimum(front, HEIGHT * below_skin)), softness=softness)
    assert min(found.cavity.min(), found.pores.min()) >= 0.0
    # Conservation of mass: what was molten and is frozen at the end has lost its share. Whether that shows as a lower
    # surface or as void is what the suction decides.
    molten = min(left / below_skin, 1.0)
    gone, lost = (found.ledger.surface, lost_by_freezing(molten)) if softness.suction else (
        found.void_volume, BETA * (1.0 - molten)
    )  # fmt: skip
    # Half a thousandth: a stretch on the way back does not begin where one on the way there had ended.
    assert gone / wax.volume.sum() == pytest.approx(below_skin * lost, rel=0.01, abs=5e-4)


# --- the law of volume --------------------------------------------------------------------------------

CURVES = {
    "ends at 35 °C": ((35.0, 0.0), (45.0, 1.0)),
    "ends at 22 °C": ((22.0, 0.0), (45.0, 1.0)),
    "ends at 10 °C": ((10.0, 0.0), (20.0, 0.05), (34.0, 0.5), (46.0, 1.0)),
    "a third liquid at 20 °C": ((5.0, 0.0), (20.0, 1.0 / 3.0), (46.0, 1.0)),
}


@pytest.mark.parametrize("name", CURVES)
def test_volume_is_exact_at_20_degrees_whatever_the_curve(name):
    wax = dataclasses.replace(WAX, freezing=CURVES[name], melting=None)
    left = wax.liquid_at(20.0)
    assert left == pytest.approx({"ends at 10 °C": 0.05, "a third liquid at 20 °C": 1.0 / 3.0}.get(name, 0.0))
    volumes = 1.0 / wax.volume.density(np.array([wax.density_liquid_at, 20.0]), np.array([1.0, left]))
    assert volumes == pytest.approx([1.0, 1.0 - wax.total_shrinkage], rel=1e-12)
    start = 1.0 / wax.volume.density(np.array([46.0]), np.array([1.0]))[0]
    assert start == pytest.approx(1.0 - wax.expansion_liquid * (wax.density_liquid_at - 46.0), rel=1e-12)
    solid = wax.volume.as_solid(np.array([20.0, 30.0]))
    assert solid[1] / solid[0] - 1.0 == pytest.approx(10.0 * wax.expansion_solid, rel=1e-9)


@pytest.mark.parametrize("name", CURVES)
def test_the_solid_is_never_larger_than_the_liquid(name):
    wax = dataclasses.replace(WAX, freezing=CURVES[name], melting=None)
    temperature = np.linspace(wax.freezing[0][0], wax.freezing_starts, 50)
    assert (wax.volume.as_solid(temperature) < wax.volume.as_liquid(temperature)).all()


@pytest.mark.parametrize("name", CURVES)
def test_a_jar_that_cools_to_20_degrees_has_lost_the_stated_total(name):
    wax = dataclasses.replace(WAX, freezing=CURVES[name], melting=None)
    cells = body(4, 4, wax=wax)
    hot, cold = enthalpy_at(cells.table, np.array([wax.density_liquid_at, 20.0]))
    enthalpy = np.linspace(hot, cold, 300)[:, None, None] * np.ones_like(cells.volume)
    found = followed(cells, enthalpy, wax.volume, Softness())
    # The table looks up 20 °C in pieces that are equally wide in enthalpy.
    assert found.ledger.total == pytest.approx(wax.total_shrinkage * cells.volume.sum(), rel=1e-3)


def test_shrinkages_that_contradict_each_other_are_refused_with_both_figures():
    with pytest.raises(MaterialError) as refused:
        dataclasses.replace(WAX, total_shrinkage=0.03)
    # 7.3e-4 1/K over the 50 K from 70 °C.
    assert str(refused.value) == (
        "soft-vegetable: total_shrinkage is 3 %, but from 70 down to 20 °C the liquid alone would lose 3.65 %"
        " (expansion_liquid), and the solid must be smaller than the liquid all the way up to the start of freezing;"
        " give a larger total_shrinkage"
    )
    # Just above it, where it is the solid at the start of freezing that would be the larger one.
    with pytest.raises(MaterialError, match=r"total_shrinkage is 3\.7 %.* lose 3\.65 %"):
        dataclasses.replace(WAX, total_shrinkage=0.037, expansion_solid=8e-4)


def test_a_total_that_the_little_solid_would_have_to_lose_alone_is_refused():
    # From 50 to 20 °C the liquid alone loses 0.6 %; a tenth has frozen, which would lose 5 % of the whole.
    barely = dict(freezing=((15.0, 0.0), (20.0, 0.9), (45.0, 1.0)), density_liquid_at=50.0, expansion_liquid=2e-4)
    dataclasses.replace(WAX, melting=None, total_shrinkage=0.0454, **barely)
    with pytest.raises(MaterialError) as refused:
        dataclasses.replace(WAX, melting=None, total_shrinkage=0.05, **barely)
    # Nine tenths of liquid at 0.994, a tenth of solid at 0.6 at least: 1 - 0.8946 - 0.06.
    assert str(refused.value) == (
        "soft-vegetable: total_shrinkage is 5 %, but at 20 °C 90 % of this wax is still liquid, so what has frozen by"
        " then would have lost 44.6 %, and no wax loses more than 40 %; give a total_shrinkage of at most 4.54 %"
    )
