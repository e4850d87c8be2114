"""What the tables say of the top: the word by the thresholds, with its band, and the numbers beside it."""

import json
from dataclasses import replace

import numpy as np
import pytest

from coolsim.answers.verdict import DEAD_BAND, depth_band, verdict_of, verdict_text
from coolsim.model.problem import Thresholds
from coolsim.report.text.page import WIDTH
from coolsim.report.text.runs import answers_data, answers_table
from coolsim.scenario import with_overrides
from coolsim.studies.checks.melt_range import FACTORS, MeltRange, melt_range


@pytest.fixture(scope="module")
def titled(runs):
    return [(scenario.title, result) for scenario, result in runs]


@pytest.fixture(scope="module")
def ranged(runs):
    """The top of the bare tumbler over the range of the melt."""
    scenario, result = runs[0]
    return melt_range(scenario, known=result)


def short(value):
    """One decimal, as far as it says something."""
    return f"{value:.1f}".removesuffix(".0")


def block(table, heading):
    """Cells of a table of one run under a heading, by label."""
    lines = table.split(heading)[1].splitlines()[1:]
    found, label = {}, ""
    for line in lines:
        if not line.startswith("  "):
            break
        if line[2] != " ":
            label = line[2:26].strip()
            found[label] = line[28:].strip()
        else:
            found[label] += f" {line[28:].strip()}".rstrip()
    return found


LIMITS = Thresholds(flat_within=1e-3, pit_from=3e-3)


@pytest.mark.parametrize(
    ("dish", "hole", "word"),
    [
        (0.0, 0.0, "flat"),
        (0.9e-3, 0.1e-3, "flat"),
        (-0.5e-3, -0.4e-3, "flat"),
        (1.1e-3, 0.0, "dished"),
        (0.0, 1.1e-3, "dished"),
        # Neither counts by itself, but the middle lies too low.
        (0.9e-3, 0.9e-3, "dished"),
        (0.5e-3, 2.9e-3, "dished"),
        (0.5e-3, 3.0e-3, "a pit at the wick"),
        # A wide flat basin, however deep, is no pit.
        (8e-3, 0.5e-3, "dished"),
        (-0.8e-3, -0.3e-3, "domed"),
    ],
)
def test_the_word_follows_dish_and_hole(dish, hole, word):
    assert verdict_of(dish, hole, LIMITS) == word


def test_a_scenario_that_asks_less_gets_another_word():
    assert verdict_of(0.5e-3, 3.5e-3, Thresholds(flat_within=4.5e-3, pit_from=5e-3)) == "flat"
    assert verdict_of(0.5e-3, 3.5e-3, Thresholds(pit_from=4.5e-3)) == "dished"


@pytest.mark.parametrize(
    ("dish", "hole", "told"),
    [
        (0.5e-3, 3.5e-3, "a pit at the wick"),
        (0.5e-3, 3.1e-3, "dished to a pit at the wick"),
        (0.5e-3, 2.9e-3, "dished to a pit at the wick"),
        (0.5e-3, 2.7e-3, "dished"),
        (1.1e-3, -0.2e-3, "flat to dished"),
    ],
)
def test_close_to_a_limit_a_top_has_the_words_of_both_sides(dish, hole, told):
    assert verdict_text(dish, hole, LIMITS) == told


def test_a_difference_that_nobody_sees_does_not_change_the_word_to_another_one():
    # Two tops that differ by less than the dead band, both ways, always share a word.
    for hole in np.linspace(0.0, 6e-3, 601):
        one, other = (set(verdict_text(0.5e-3, depth, LIMITS).split(" to ")) for depth in (hole, hole + 2 * DEAD_BAND))
        assert one & other


def test_the_word_never_stands_without_its_band(titled):
    (_, result), top = titled[0], titled[0][1].shrinkage
    told = block(answers_table(titled[:1]), "Top and inside (estimates)")["The top is"]
    low, high = depth_band(result)
    word = verdict_text(top.dish, top.hole, result.answers)
    assert told == f"{word}, {short(1e3 * top.depth)} mm ({short(1e3 * low)} to {short(1e3 * high)})"
    # Wax that is three times as stiff or as soft is not the same by far.
    assert low < 0.8 * top.depth
    assert high > 1.2 * top.depth


def test_the_band_is_that_of_the_run_with_other_wax(titled):
    result, law = titled[0][1], titled[0][1].melt.softness
    own = result.shrinkage.depth
    others = [
        result.shrunk(replace(law, **other)).depth - own
        for other in ({"stiffness": 1e7}, {"stiffness": 9e5}, {"suction": 3e4})
    ]
    low, high = depth_band(result)
    assert own - low == pytest.approx(sum(min(off, 0.0) ** 2 for off in others) ** 0.5)
    assert high - own == pytest.approx(sum(max(off, 0.0) ** 2 for off in others) ** 0.5)


def test_the_numbers_stand_in_the_table_as_the_run_has_them(titled):
    (title, result), top = titled[0], titled[0][1].shrinkage
    told = block(answers_table([(title, result)]), "Top and inside (estimates)")
    assert told["Dish: half-way in below"] == f"{short(1e3 * top.dish)} mm"
    assert told["Hole: middle below"] == f"{short(1e3 * top.hole)} mm"
    assert told["Fall of the rim"] == f"{short(1e3 * top.rim_dip)} mm"
    assert told["Sunk volume"] == f"{1e6 * top.dish_volume:.1f} mL"
    assert told["Void in the wax"] == f"{1e6 * top.void_volume:.1f} mL"
    poured = result.wax.volume.sum()
    assert told["Volume lost"] == f"{100 * top.ledger.total / poured:.1f} %"


def test_a_cavity_is_told_where_it_shows_on_a_cut(titled):
    title, result = titled[0]
    told = block(answers_table([(title, result)]), "Top and inside (estimates)")
    assert told["Of it hidden cavity"].startswith("none to speak of: 0.")
    assert not {"Its roof under the top", "Its centre, above the"} & set(told)
    (data,) = answers_data([(title, result)])
    assert data["top"]["cavity"] is False
    # The same void, for an eye that sees it at a hundredth.
    sharp = replace(result, answers=replace(result.answers, void_shows=0.01))
    beside = block(answers_table([(title, sharp), (title, result)]), "Top and inside (estimates)")
    assert beside["Its roof under the top"].endswith("–")
    top = sharp.shrinkage
    assert top.void_volume == result.shrinkage.void_volume
    told = block(answers_table([(title, sharp)]), "Top and inside (estimates)")
    assert told["Of it hidden cavity"] == f"{1e6 * top.cavity_volume:.1f} mL"
    assert told["Its roof under the top"] == f"{short(1e3 * top.cavity_roof)} mm"
    assert told["Its centre, above the"] == f"{short(1e3 * top.cavity_place[1])} mm"


def test_wax_that_has_not_set_has_no_top_yet(titled):
    told = block(answers_table(titled[2:]), "Top and inside (estimates)")
    assert told["The top is"] == "not set within 1:30 h"
    # The label of a row may go on in a second line.
    assert {told[label] for label in told if label not in ("The top is", "Volume lost")} - {""} == {"–"}
    (data,) = answers_data(titled[2:])
    assert data["top"]["verdict"] is data["top"]["depth_band_m"] is data["top"]["cavity"] is None


def test_data_for_machines_hold_the_top_and_a_ledger_that_adds_up(titled):
    for data, (_, result) in zip(json.loads(json.dumps(answers_data(titled))), titled, strict=True):
        found, top = data["top"], result.shrinkage
        assert found["depth_m"] == pytest.approx(found["centre_dip_m"] - found["rim_dip_m"])
        assert found["depth_m"] == pytest.approx(found["dish_m"] + found["hole_m"])
        assert found["cavity_volume_m3"] == top.cavity_volume
        assert found["dish_volume_m3"] == top.dish_volume
        parts = sum(found[f"lost_{part}_m3"] for part in ("surface", "cavities", "pores", "solid"))
        # The books balance to round-off of some thousand cells; what the surface is owed is a trace.
        assert parts == pytest.approx(found["lost_m3"], rel=1e-6)
        assert data["top_over_melt"] is None


def test_the_range_goes_from_the_least_to_the_largest(titled, ranged):
    table = answers_table(titled[:1], melt_ranges=[ranged])
    told = block(table, "The same with softer and stiffer mush")
    assert told["mush.stiffness"] == "1 MPa to 10 MPa"
    for key, label in (("hole_m", "Hole: middle below"), ("dish_m", "Dish: half-way in below")):
        low, high = (short(1e3 * value) for value in ranged.span(key))
        assert told[label] == f"{low} mm to {high} mm"
    low, high = (f"{1e6 * value:.1f}" for value in ranged.span("void_volume_m3"))
    assert told["Void in the wax"] == f"{low} mL to {high} mL"
    words = [verdict_of(one["dish_m"], one["hole_m"], titled[0][1].answers) for one in ranged.answers]
    assert told["The top is"] == " or ".join(dict.fromkeys(words))
    assert "mush.stiffness" in table.partition("The range: ")[2]
    assert max(map(len, table.splitlines())) <= WIDTH


def test_the_range_is_shown_only_on_request(titled):
    assert "softer and stiffer" not in answers_table(titled[:1])


def test_a_jar_without_a_range_has_dashes_beside_one_with_it(titled, ranged):
    table = answers_table(titled[:2], melt_ranges=[ranged, None])
    (line,) = [line for line in table.splitlines() if "mush.stiffness  " in line]
    assert line.endswith("–")


def test_ranges_that_do_not_match_the_runs_are_refused(titled, ranged):
    with pytest.raises(ValueError, match="2 runs and 1 ranges"):
        answers_table(titled[:2], melt_ranges=[ranged])


def test_the_range_is_one_of_the_stiffness_of_the_scenario(runs, ranged):
    scenario, result = runs[0]
    assert ranged.stiffness == pytest.approx([1e6, 3e6, 1e7])
    assert ranged.answers[1]["hole_m"] == result.shrinkage.hole
    stiff = melt_range(with_overrides(scenario, {"mush.stiffness": "9 MPa"}))
    assert stiff.stiffness == pytest.approx([3e6, 9e6, 3e7])
    # What is stiffer is drawn down less, and keeps more void.
    holes, voids = ([one[key] for one in ranged.answers] for key in ("hole_m", "void_volume_m3"))
    assert holes == sorted(holes, reverse=True)
    assert voids == sorted(voids)


def test_a_range_with_a_run_that_does_not_set_has_no_ends(runs):
    found = melt_range(runs[2][0], known=runs[2][1])
    assert found.answers == (None,) * len(FACTORS)
    assert found.span("hole_m") is None


def test_the_ends_of_a_range_are_found_wherever_they_lie():
    found = MeltRange(stiffness=(1e6, 3e6, 1e7), answers=tuple({"rim_dip_m": dip} for dip in (2e-3, 3e-3, 1e-3)))
    assert found.span("rim_dip_m") == (1e-3, 3e-3)
