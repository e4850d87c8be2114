"""The label: what it says, and that it says no more than it may."""

import pytest

from coolsim.report.text.label import STANDARDS, label_data, label_notes, label_text, net_weight_text
from coolsim.scenario import with_overrides
from coolsim.studies.workshop.amounts import amounts
from tests.support.pair import closed_pair

BARE = with_overrides(closed_pair()[0], {"batch.jars": 1})


def label(**keys):
    scenario = with_overrides(BARE, {name.replace("__", "."): value for name, value in keys.items()})
    return label_text(scenario, amounts(scenario))


# An ounce is 28.349523125 g (International Yard and Pound agreement, 1959).
@pytest.mark.parametrize(
    ("grams", "written"),
    [
        (206.85, "206 g (7.2 oz)"),
        (206.999, "206 g (7.3 oz)"),
        (207.0, "207 g (7.3 oz)"),
        (28.349523125, "28 g (1.0 oz)"),
        (28.34, "28 g (0.9 oz)"),
        (226.796185, "226 g (8.0 oz)"),
        (1000.0, "1000 g (35.2 oz)"),
    ],
)
def test_the_net_weight_never_promises_more_than_there_is(grams, written):
    assert net_weight_text(grams / 1e3) == written


def test_the_label_names_what_is_in_it():
    text = label(wax__fragrance="Fig & cedar", plan__number="26-07", date="2026-03-14", author="Mara Ebbing")
    assert text.splitlines()[:5] == [
        "FIG & CEDAR",
        "Scented candle",
        # 235 mL of 880.2 kg/m3 are 206.8 g.
        "Net weight 206 g (7.2 oz)",
        "Batch 26-07 · 14 March 2026",
        "Made by Mara Ebbing",
    ]


def test_without_oil_there_is_no_scent_on_it():
    text = label(wax__fragrance="Fig", wax__fragrance_load="0 %")
    assert text.startswith("Candle\nNet weight")
    assert "FIG" not in text


def test_the_usual_cautions_stand_on_it():
    """Common practice, no source; what the standards want in which words is for the maker to look up."""
    text = " ".join(label().split())
    for told in (
        "in sight", "children and pets", "things that burn", "Trim the wick", "about 1 cm (3/8 in) of wax",
        "Never move it while it burns or its wax is liquid", "out of draughts", "water",
    ):  # fmt: skip
        assert told in text, told


def test_glass_and_metal_are_told_apart():
    assert "cracked or chipped" in label()
    tin = label(vessel__material="tinned-steel")
    assert "The metal gets hot" in tin
    assert "cracked" not in tin


def test_it_fits_a_narrow_label():
    text = label(wax__fragrance="W" * 60, plan__number="W" * 40, author="蜡" * 100, date="2026-12-31")
    assert max(map(len, text.splitlines())) <= 46
    assert text.count("蜡") == 100


def test_the_standards_are_named_to_consult_and_not_claimed():
    """The numbers are from memory: ASTM F2058 and F2417, EN 15494 and 15493."""
    assert [number for number, _ in STANDARDS] == ["ASTM F2058", "ASTM F2417", "EN 15494", "EN 15493"]
    notes = " ".join(label_notes(BARE))
    assert all(number in notes for number, _ in STANDARDS)
    assert "Consult the standards" in notes
    assert "claims no compliance" in notes
    assert not any(word in label() for word in ("ASTM", "EN 15", "complies", "conform"))


def test_what_the_oil_needs_is_said_where_there_is_oil():
    plain = with_overrides(BARE, {"wax.fragrance_load": "0 %"})
    named = with_overrides(BARE, {"wax.fragrance": "Fig"})
    assert "allergens" in " ".join(label_notes(BARE))
    assert "allergens" not in " ".join(label_notes(plain))
    assert "State wax.fragrance" in " ".join(label_notes(BARE))
    assert "State wax.fragrance" not in " ".join(label_notes(named))


def test_data_hold_the_same():
    data = label_data(BARE, amounts(BARE))
    # 0.1 g: the density by hand is rounded to 0.02 %.
    assert data["net_weight_kg"] == pytest.approx(235e-6 * 880.2, abs=1e-4)
    assert data["text"] == label()
    assert len(data["standards"]) == 4
    assert data["fragrance"] is None
