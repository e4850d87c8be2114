"""The batch sheet: one page, whatever stands in the scenario, and all texts can be read."""

from dataclasses import replace
from functools import cache

import pytest
from commands import SCENARIOS
from drawn_texts import beyond_the_page, overlaps, texts
from made_up import made_up_spread

from coolsim.errors import OutputError, ScenarioError
from coolsim.report.paper.batch_sheet import draw_batch_sheet, write_batch_sheet
from coolsim.report.paper.page import PAPERS
from coolsim.scenario import built_in_pair, load_scenario, with_overrides
from coolsim.solve.simulate import simulate

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K"}
SIX = with_overrides(load_scenario(SCENARIOS / "six-tumblers.toml"), {**QUICK, "wax.fragrance": "Fig"})
# Letters as wide as they come in every text, as long as may be, and every line that a sheet may have.
FULLEST = with_overrides(
    built_in_pair()[0],
    {
        **QUICK,
        "title": "W" * 100,
        "author": "W" * 100,
        "plan.number": "W" * 40,
        "wax.fragrance": "W" * 60,
        "date": "2026-09-30",
        "pour.clock": "23:30",
        "batch.jars": 999,
        "batch.melt": "2 lb",
        "batch.lowest_load": "9 %",
        "batch.flash_point": "200 F",
        "wax.highest_temperature": "185 F",
        "wax.fragrance_limit": "160 F",
    },
)
BAREST = with_overrides(
    load_scenario(SCENARIOS / "small-tin.toml"), {**QUICK, "batch.jars": 1, "wax.fragrance_load": "0 %"}
)
CASES = {"six": SIX, "fullest": FULLEST, "barest": BAREST}


@pytest.fixture(scope="module")
def results():
    return {name: simulate(scenario.jar) for name, scenario in CASES.items()}


@pytest.fixture(scope="module")
def said_on(results):
    """What is said on the sheet of a case, drawn once."""

    @cache
    def read(name):
        return said(draw_batch_sheet(CASES[name], results[name]))

    return read


def said(page):
    return [" ".join(text.get_text().split()) for text, _ in texts(page)]


@pytest.mark.parametrize(
    ("name", "units", "paper"),
    [("six", "metric", "a4"), ("fullest", "us", "letter"), ("fullest", "metric", "a4"), ("barest", "us", "letter")],
)
def test_all_fits_on_one_page(results, name, units, paper):
    page = draw_batch_sheet(CASES[name], results[name], paper=paper, units=units)
    # Round-off.
    assert tuple(page.get_size_inches()) == pytest.approx(PAPERS[paper], abs=1e-9)
    assert overlaps(page) == []
    assert beyond_the_page(page) == []
    assert "page 1 of 1" in said(page)
    assert min(text.get_fontsize() for text, _ in texts(page)) >= 7.0


@pytest.mark.parametrize(("name", "units"), [("fullest", "us"), ("six", "metric")])
def test_safe_times_and_what_is_left_overnight_fit_on_it_too(results, name, units):
    closing = with_overrides(CASES[name], {"plan.open": "8:00 to 10:20"})
    made = made_up_spread()
    wide = tuple(replace(one, low=0.4 * one.low, high=2.0 * one.high) for one in made.answers)
    page = draw_batch_sheet(closing, results[name], doubt=replace(made, answers=wide), units=units)
    assert overlaps(page) == []
    assert beyond_the_page(page) == []
    told = said(page)
    assert sum(one.endswith(" *") for one in told) >= 4
    joined = " ".join(told)
    assert "* After closing: leave it overnight, from 8:00" in joined
    assert "Nine of ten jars are ready by these times" in joined


def test_what_is_planned_stands_beside_room_for_what_is_seen(said_on):
    told = said_on("six")
    for expected in (
        "Batch 26-07", "Date 14 March 2026", "6 jars, lids, labels", "Oil Fig",
        "To weigh", "Weighed", "Measured", "Seen at", "Notes",
        # 6 x 215 mL x 883.4 kg/m3 and 15 g are 1155 g; 8 % of it is oil.
        "1062 g", "92 g", "1155 g", "60 °C", "30 °C", "9:00 -1:10", "10:10", "Hidden cavity",
        "Outside of the jar after 1 h",
    ):  # fmt: skip
        assert expected in told, expected
    joined = " ".join(told)
    for caution in (
        "Never put out a wax fire with water",
        "Never leave melting wax alone",
        "93 °C as the flash point",
        "prevail",
        "invented",
    ):
        assert caution in joined


def test_what_is_not_stated_has_a_line_to_write_on(said_on):
    told = said_on("barest")
    for field in ("Batch _", "Date _", "Made by _", "Wax, lot _", "Wick _"):
        assert any(one.startswith(field) for one in told), field
    assert "No oil" in told
    assert "Fragrance oil" not in told


def test_warnings_of_the_amounts_stand_on_it(said_on):
    joined = " ".join(said_on("fullest"))
    assert "less than the lowest load" in joined


def test_melts_in_turn_stand_on_it_with_their_pours_and_of_many_some(results, said_on):
    joined = " ".join(said_on("fullest"))
    assert "250 melts, poured: 1 (jars 1 to 4," in joined
    assert "… 250 (jars 997 to 999," in joined
    assert "Cost" not in joined
    priced = {"prices.jar": "1.20 each", "prices.currency": "EUR"}
    twelve = with_overrides(SIX, {"batch.jars": 12, "batch.melt": "900 g", **priced})
    joined = " ".join(said(draw_batch_sheet(twelve, results["six"])))
    # 189.9 g a jar; 4 x 189.9 + 15 = 774.7 g: 713 g of wax, 62 g of oil.
    assert "3 melts, poured: 1 (jars 1 to 4, 713 g wax + 62 g oil) at " in joined
    assert ", 3 (jars 9 to 12, 713 g wax + 62 g oil) at " in joined
    assert "Wicks to cut" in joined
    assert "12 of 98 mm" in joined
    assert "Cost of a jar, in part 1.20 EUR" in joined


def test_a_text_that_is_too_long_for_its_field_is_cut_with_a_mark(said_on):
    told = said_on("fullest")
    cut = [one for one in told if one.startswith(("Batch W", "Made by W", "Oil W"))]
    assert len(cut) == 3
    assert all(one.endswith("W…") for one in cut)


def test_the_same_sheet_has_the_same_bytes(results, tmp_path):
    first = write_batch_sheet(SIX, results["six"], tmp_path / "a.pdf").read_bytes()
    assert first == write_batch_sheet(SIX, results["six"], tmp_path / "b.pdf").read_bytes()
    assert first.startswith(b"%PDF")


def test_another_kind_of_file_and_a_scenario_without_a_batch_are_refused(results, tmp_path):
    with pytest.raises(OutputError, match=r"\.pdf"):
        write_batch_sheet(SIX, results["six"], tmp_path / "a.png")
    with pytest.raises(ScenarioError, match="batch: missing"):
        write_batch_sheet(with_overrides(built_in_pair()[0], QUICK), results["six"], tmp_path / "a.pdf")
    assert list(tmp_path.iterdir()) == []


def test_what_does_not_fit_on_the_page_is_refused_in_words(results):
    many = replace(results["six"], warnings=(), changes=tuple((300.0 * number, "lid on") for number in range(1, 120)))
    with pytest.raises(OutputError, match="a batch sheet is one page"):
        draw_batch_sheet(SIX, many)
