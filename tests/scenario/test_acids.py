"""A wax stated by its fatty acids: what follows from them, what wins over them, and what is refused."""

import pytest

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import FATS
from coolsim.model.fats import composed_values
from coolsim.model.materials import catalogue_wax
from coolsim.scenario import changed, with_overrides
from coolsim.scenario.keys import key_of
from coolsim.scenario.plausible import plausible
from tests.support.pair import closed_pair

BARE = with_overrides(closed_pair()[0], {"wax.fragrance_load": None, "pour.temperature": "75 °C"})
NO_TRANS = {"16:0": "11 %", "18:0": "52 %", "18:1": "35 %", "18:2": "2 %"}
COLD = {"room.temperature": "0 °C"}  # in which wax with much liquid oil counts as set
HALVES = [["50 %", {"16:0": "11 %", "18:0": "89 %"}], ["50 %", {"18:1": "100 %"}]]


def wax_of(changes):
    return with_overrides(BARE, changes).jar.wax


def fault_of(changes):
    with pytest.raises(ScenarioError) as caught:
        with_overrides(BARE, changes)
    (fault,) = caught.value.faults
    return fault.removeprefix("tumbler-bare.toml: ")


def test_acids_give_the_curve_both_heats_and_the_clear_point():
    found, known = wax_of({"wax.acids": NO_TRANS}), catalogue_wax("vegetable-no-trans")
    for name in ("freezing", "latent_heat", "melting", "melting_heat", "clear_point", "density"):
        assert getattr(found, name) == getattr(known, name), name
    # The rest is that of the kind.
    assert found.conductivity_solid == catalogue_wax("soft-vegetable").conductivity_solid


def test_another_crystal_form_freezes_otherwise_and_melts_as_before():
    stable = wax_of({"wax.crystal_form": "beta"})
    soft = catalogue_wax("soft-vegetable")
    assert stable.freezing == stable.melting == soft.melting
    assert (stable.latent_heat, stable.clear_point) == (soft.melting_heat, soft.clear_point)
    assert (
        with_overrides(BARE, {"wax.acids": NO_TRANS, "wax.crystal_form": "alpha", **COLD}).plain_wax.latent_heat == 85e3
    )


@pytest.mark.parametrize(
    ("key", "value", "field", "wanted"),
    [
        ("wax.latent_heat", "135 kJ/kg", "latent_heat", 135e3),
        ("wax.melting_heat", "180 kJ/kg", "melting_heat", 180e3),
        ("wax.clear_point", "60 °C", "clear_point", 60.0),
        ("wax.freezing_starts", "52 °C", "freezing_starts", 52.0),
        ("wax.freezing_ends", "26 °C", "freezing_ends", 26.0),
        ("wax.freezing", [["50 °C", "100 %"], ["40 °C", "0 %"]], "freezing", ((40.0, 0.0), (50.0, 1.0))),
    ],
    ids=["latent heat", "melting heat", "clear point", "start", "end", "rows"],
)
def test_what_is_stated_beside_the_acids_wins_and_the_rest_follows_from_them(key, value, field, wanted):
    plain, found = wax_of({"wax.acids": NO_TRANS}), wax_of({"wax.acids": NO_TRANS, key: value})
    # 1e-12: a curve is stretched to its new ends.
    assert getattr(found, field) == (pytest.approx(wanted, rel=1e-12) if isinstance(wanted, float) else wanted)
    for other in ("latent_heat", "melting_heat"):
        assert field == other or getattr(found, other) == getattr(plain, other)


def test_a_stated_start_takes_the_clear_point_along():
    plain, found = wax_of({"wax.acids": NO_TRANS}), wax_of({"wax.acids": NO_TRANS, "wax.freezing_starts": "52 °C"})
    assert found.clear_point - 52.0 == pytest.approx(plain.clear_point - plain.freezing_starts, rel=1e-12)
    assert [share for _, share in found.freezing] == [share for _, share in plain.freezing]


def test_a_measured_curve_without_acids_melts_over_its_own_range():
    assert wax_of({"wax.freezing": [["50 °C", "100 %"], ["40 °C", "0 %"]]}).melting is None
    assert wax_of({"wax.freezing": [["50 °C", "100 %"], ["40 °C", "0 %"]], "wax.acids": NO_TRANS}).melting is not None


def test_the_heat_of_melting_is_at_least_the_stated_latent_heat():
    assert wax_of({"wax.latent_heat": "180 kJ/kg"}).melting_heat == 180e3
    assert fault_of({"wax.melting_heat": "120 kJ/kg"}) == (
        "wax.melting_heat: melting_heat is 120 kJ/kg and latent_heat 128 kJ/kg; the stable form takes at least the heat"
        " that the first one gives."
    )


def test_shares_of_a_table_that_was_rounded_are_made_whole():
    rounded = {**NO_TRANS, "18:2": "3 %"}
    scaled = {name: f"{float(share[:-2]) / 1.01!r} %" for name, share in rounded.items()}
    one, other = (wax_of({"wax.acids": acids}).freezing for acids in (rounded, scaled))
    assert one == other


def test_two_fats_are_mixed_as_they_are():
    mixed = with_overrides(BARE, {"wax.acids": HALVES, **COLD}).plain_wax
    together = with_overrides(
        BARE, {"wax.acids": {"16:0": "5.5 %", "18:0": "44.5 %", "18:1": "50 %"}, **COLD}
    ).plain_wax
    # The hard fat keeps its triglycerides of three saturated acids.
    assert mixed.freezing_starts > together.freezing_starts + 3.0


def test_acids_are_written_as_they_were_stated():
    spec = key_of("wax.acids").spec
    for raw in (NO_TRANS, HALVES):
        read = spec.read(raw)
        assert spec.write(read) == raw
        assert spec.read(spec.write(read)) == read
    soft = changed(BARE, {"wax.acids": spec.read(NO_TRANS)})
    assert soft.data["wax"]["acids"] == NO_TRANS
    assert with_overrides(BARE, soft.data).jar.wax == soft.jar.wax


REFUSED = {
    "no table": (
        {"wax.acids": "18:0"},
        """wax.acids: found '18:0', give acids with their shares, as in {"16:0" = "11 %", "18:0" = "89 %"}, or a list"""
        """ of fats, as in [["50 %", {"18:0" = "100 %"}], ["50 %", {"18:1" = "100 %"}]].""",
    ),
    "sum": (
        {"wax.acids": {"16:0": "40 %", "18:0": "40 %"}},
        "wax.acids: found acids that add up to 80 %, give shares of 100 % in all.",
    ),
    "none": ({"wax.acids": {}}, "wax.acids: found acids that add up to 0 %, give shares of 100 % in all."),
    "sum of the fats": (
        {"wax.acids": [HALVES[0], ["40 %", HALVES[1][1]]]},
        "wax.acids: found fats that add up to 90 %, give shares of 100 % in all.",
    ),
    "sum in a fat": (
        {"wax.acids": [HALVES[0], ["50 %", {"18:1": "90 %"}]]},
        "wax.acids: fat 2: found acids that add up to 90 %, give shares of 100 % in all.",
    ),
    "no fat": (
        {"wax.acids": [["100 %"]]},
        """wax.acids: fat 1: found a list of 1, give a share and the acids of the fat, as in [["50 %", {"18:0" ="""
        """ "100 %"}], ["50 %", {"18:1" = "100 %"}]].""",
    ),
    "unknown acid": (
        {"wax.acids": {"18:1 Trans": "50 %", "18:0": "50 %"}},
        "wax.acids: found '18:1 Trans', give acids of 12:0, 14:0, 16:0, 18:0, 20:0, 22:0, 18:1, 18:1 trans, 18:2;"
        " did you mean '18:1 trans'?",
    ),
    "no unit": (
        {"wax.acids": {"18:0": 100}},
        "wax.acids: '18:0': found 100 without a unit, give a percentage such as '50 %'.",
    ),
    "lauric fat": (
        {"wax.acids": {"12:0": "50 %", "14:0": "20 %", "18:0": "30 %"}},
        "wax.acids: acids hold 70 % of 12:0 and 14:0, but the model is of no use for fats like those of coconut and"
        " palm kernel, with more than 5 %; give a measured curve (freezing) and latent_heat instead.",
    ),
    "form in which it never crystallises": (
        {"wax.kind": "hard-and-oil", "wax.crystal_form": "alpha"},
        "wax.crystal_form: crystal_form is alpha, in which 11 % of the triglycerides of these acids never crystallise;"
        " choose beta-prime.",
    ),
    "acids of a wax that is no fat": (
        {"wax.kind": "paraffin", "wax.acids": NO_TRANS},
        "wax.acids: acids found for paraffin; give it for one of soft-vegetable, softer-vegetable,"
        " vegetable-no-trans, hard-and-oil, hard-vegetable.",
    ),
    "form of a wax that is no fat": (
        {"wax.kind": "coconut-blend", "wax.crystal_form": "beta"},
        "wax.crystal_form: crystal_form found for coconut-blend; give it for one of soft-vegetable,"
        " softer-vegetable, vegetable-no-trans, hard-and-oil, hard-vegetable.",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_acids_that_cannot_be_are_one_fault(name):
    changes, message = REFUSED[name]
    assert fault_of(changes) == message


def test_what_follows_from_stated_acids_may_be_off_by_the_error_of_the_model():
    own = with_overrides(BARE, {"wax.acids": NO_TRANS})
    values = composed_values(FATS["vegetable-no-trans"], mark="published correlation")
    for name in ("freezing_starts", "freezing_ends", "latent_heat", "melting_heat", "clear_point"):
        found = plausible(own, f"wax.{name}")
        assert (found.centre, found.low, found.high) == (values[name].nominal, values[name].low, values[name].high)
        assert found.source.startswith("published correlation: ")
    # The shipped wax is known better, by what the trade says of such waxes.
    shipped = plausible(BARE, "wax.freezing_starts")
    assert (shipped.centre, shipped.high - shipped.low) == (46.5, 10.0)
    assert shipped.source.startswith("published correlation, composition assumed: ")
