"""How fats freeze by their acids."""

from dataclasses import replace

import numpy as np
import pytest

from coolsim.errors import MaterialError
from coolsim.model.catalogue import ASSUMED, FATS, WAXES, Composition
from coolsim.model.fats import ERROR, clear_point, composed_values, fat_curve, stable
from coolsim.model.freezing_curve import temperature_at

FORMS = ("alpha", "beta-prime", "beta")
SHARES = (0.95, 0.90, 0.75, 0.50, 0.25, 0.10)


def fat(form="beta-prime", **percent):
    """A fat of acids by the number of carbons: c16, c18, o, e, l for 16:0, 18:0, 18:1, 18:1 trans and 18:2 [%]."""
    names = {"c12": "12:0", "c14": "14:0", "c16": "16:0", "c18": "18:0", "o": "18:1", "e": "18:1 trans", "l": "18:2"}
    return Composition(((1.0, tuple((names[short], one / 100.0) for short, one in percent.items())),), form)


SOFT, SOFTER, NO_TRANS, HARD = (
    FATS[name] for name in ("soft-vegetable", "softer-vegetable", "vegetable-no-trans", "hard-vegetable")
)


@pytest.mark.parametrize(
    ("composition", "starts", "at", "liquid", "out"),
    [
        (SOFT, 46.5, (44.6, 43.2, 39.6, 34.3, 28.4, 23.3), 0.047, 124e3),
        (SOFTER, 46.3, (43.6, 41.4, 36.2, 29.3, 22.4, 16.5), 0.18, 106e3),
        (NO_TRANS, 55.6, (54.6, 53.4, 47.9, 39.3, 30.4, 22.4), 0.07, 133e3),
    ],
    ids=["soft", "softer", "no trans"],
)
def test_a_curve_is_that_of_an_independent_computation(composition, starts, at, liquid, out):
    # Computed independently from the same acids, printed to 0.1 °C, which the curve is rounded to as well.
    found = fat_curve(composition)
    assert found.starts == pytest.approx(starts, abs=0.06)
    assert [temperature_at(found.curve, one) for one in SHARES] == pytest.approx(at, abs=0.11)
    assert 1.0 - found.solid(20.0) == pytest.approx(liquid, abs=0.006)
    # That heat was summed over the triglycerides; here it goes with the solid share, and the last of a fat gives less.
    assert found.heat * found.solid(20.0) == pytest.approx(out, rel=0.05)


@pytest.mark.parametrize(
    ("form", "starts", "heat"), [("alpha", 53.7, 125e3), ("beta-prime", 64.0, 175e3), ("beta", 70.1, 210e3)]
)
def test_a_fully_hydrogenated_oil_freezes_sharply_in_each_form(form, starts, heat):
    # Computed independently, printed to 0.1 °C and 1 kJ/kg.
    found = fat_curve(replace(HARD, form=form))
    assert found.starts == pytest.approx(starts, abs=0.06)
    assert found.heat == pytest.approx(heat, abs=1e3)
    assert found.starts - found.curve[0][0] < 1.5


def test_the_catalogue_states_what_the_acids_of_the_soft_wax_give():
    values, found, melted = WAXES["soft-vegetable"], fat_curve(SOFT), stable(SOFT)
    assert values["freezing_starts"].nominal == found.starts
    assert values["freezing_ends"].nominal == found.ends
    assert values["latent_heat"].nominal == found.heat
    assert values["clear_point"].nominal == melted.starts == clear_point(SOFT)
    assert values["melting_heat"].nominal == melted.heat
    assert {values[name].mark for name in ("freezing_starts", "latent_heat", "melting_heat")} == {ASSUMED}


def test_measured_fats_lie_within_the_stated_error():
    # Published: fully hydrogenated soybean oil melts at 66 to 72 °C; palm stearin is clear at 59.8 °C and starts to
    # freeze at 44.1, between the two forms in which it may; palm oil, which stays in beta-prime, melts at 43.0.
    # The acids of palm oil and stearin are typical ones, from memory.
    assert 66.0 - ERROR < stable(HARD).starts < 72.0 + ERROR
    stearin = fat(c14=1, c16=60, c18=5, o=28, l=6)
    assert clear_point(stearin) == pytest.approx(59.8, abs=ERROR)
    alpha, prime = (fat_curve(replace(stearin, form=form)).starts for form in ("alpha", "beta-prime"))
    assert alpha < 44.1 < prime
    assert 0.5 * (alpha + prime) == pytest.approx(44.1, abs=ERROR)
    palm = fat(c14=1, c16=44, c18=4.5, o=39, l=11.5)
    assert fat_curve(palm).starts == pytest.approx(43.0, abs=ERROR)


@pytest.mark.parametrize("form", FORMS)
def test_a_pure_triglyceride_melts_at_one_temperature(form):
    # Its points stand 0.02 K apart, because a curve has a slope: half a kelvin over all.
    found = fat_curve(fat(form, c18=100))
    assert found.starts - found.curve[0][0] < 0.6


@pytest.mark.parametrize("name", FATS)
@pytest.mark.parametrize("form", ["beta-prime", "beta"])
def test_a_curve_rises_from_all_solid_to_all_liquid(name, form):
    temperatures, shares = np.array(fat_curve(replace(FATS[name], form=form)).curve).T
    assert (np.diff(temperatures) > 0.0).all()
    assert (np.diff(shares) > 0.0).all()
    assert (shares[0], shares[-1]) == (0.0, 1.0)


@pytest.mark.parametrize("name", FATS)
def test_the_stable_form_is_clear_last_and_takes_more_heat(name):
    assert stable(FATS[name]).starts > fat_curve(FATS[name]).starts
    assert stable(FATS[name]).heat > fat_curve(FATS[name]).heat


def test_the_sum_of_the_shares_does_not_count_and_neither_does_their_order():
    some = fat(c14=3, c16=27, c18=50, o=20)
    ((_, acids),) = some.parts
    turned = Composition(((3.0, tuple((name, 7.0 * share) for name, share in acids[::-1])),))
    assert fat_curve(turned) == fat_curve(some)


def test_fats_are_mixed_by_mass():
    # Fats of triglycerides of 1060 and 885 g/mol; mixed by moles the heat would be 5 kJ/kg higher. Heats are rounded to
    # 1 kJ/kg, each by half of it at most.
    long, oleic = (((1.0, ((name, 1.0),)),) for name in ("22:0", "18:1"))
    mixed = fat_curve(Composition(((0.5, long[0][1]), (0.5, oleic[0][1])), "beta"))
    heats = [fat_curve(Composition(parts, "beta")).heat for parts in (long, oleic)]
    assert mixed.heat == pytest.approx(0.5 * sum(heats), abs=1e3)


def test_a_fat_mixed_with_itself_is_the_same_fat():
    ((_, acids),) = SOFT.parts
    assert fat_curve(Composition(((0.3, acids), (0.7, acids)))) == fat_curve(SOFT)


def test_mixed_fats_start_to_freeze_higher_than_interesterified_ones():
    # The triglycerides of the hard fat stay together, and are the last to melt.
    mixed = FATS["hard-and-oil"]
    together = {}
    for share, acids in mixed.parts:
        for name, one in acids:
            together[name] = together.get(name, 0.0) + share * one
    assert fat_curve(mixed).starts > fat_curve(Composition(((1.0, tuple(together.items())),))).starts + 4.0


def test_half_of_a_liquid_oil_stays_liquid_in_a_room():
    assert 1.0 - fat_curve(FATS["hard-and-oil"]).solid(20.0) == pytest.approx(0.5, abs=0.1)


def test_less_trans_makes_a_softer_wax():
    assert fat_curve(SOFTER).solid(20.0) < fat_curve(SOFT).solid(20.0) - 0.1


def test_lauric_fats_are_refused_and_a_trace_is_not():
    with pytest.raises(MaterialError, match="acids hold 66 % of 12:0 and 14:0, but the model is of no use"):
        fat_curve(fat(c12=48, c14=18, c16=14, c18=10, o=10))
    assert fat_curve(fat(c12=1, c14=3, c16=48, c18=48)).starts > 50.0


def test_a_form_in_which_a_part_of_the_fat_never_crystallises_is_refused():
    with pytest.raises(MaterialError, match="crystal_form is alpha, in which 11 % of the triglycerides of these acids"):
        fat_curve(replace(FATS["hard-and-oil"], form="alpha"))


def test_an_unknown_acid_is_refused_with_the_list():
    with pytest.raises(MaterialError, match="acids name '18:3'; choose from 12:0, 14:0"):
        fat_curve(Composition(((1.0, (("18:3", 1.0),)),)))


def test_what_follows_from_acids_has_the_error_of_the_model_as_its_range():
    values = composed_values(SOFTER, mark="published correlation")
    starts = values["freezing_starts"]
    assert (starts.low, starts.nominal, starts.high) == (pytest.approx(39.3), 46.3, pytest.approx(53.3))
    assert {value.mark for value in values.values()} == {"published correlation"}
    assert all("doi:10.1007/s11746-016-2935-1" in value.source for value in values.values())
