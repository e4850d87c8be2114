"""What the tables say of the top: the word by the thresholds, and the number beside it."""

import json
from dataclasses import replace

import pytest

from coolsim.answers.verdict import verdict_of
from coolsim.model.problem import Thresholds
from coolsim.report.text.page import WIDTH
from coolsim.report.text.runs import answers_data, answers_table
from coolsim.scenario import with_overrides
from coolsim.studies.checks.melt_range import FLOWS_ABOVE, MeltRange, melt_range


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


@pytest.mark.parametrize(
    ("flatness", "word"),
    [
        (0.0, "flat"),
        (-0.9e-3, "flat"),
        (0.9e-3, "flat"),
        (-1.1e-3, "dished"),
        (-2.9e-3, "dished"),
        (-3.0e-3, "a pit at the wick"),
        (1.1e-3, "domed"),
    ],
)
def test_the_word_follows_the_thresholds(titled, flatness, word):
    top = replace(titled[0][1].shrinkage, rim_dip=2e-3, centre_dip=2e-3 - flatness)
    assert verdict_of(top.flatness, Thresholds(flat_within=1e-3, pit_from=3e-3)) == word


def test_a_scenario_that_asks_less_gets_another_word(titled):
    top = replace(titled[0][1].shrinkage, rim_dip=1e-3, centre_dip=5e-3)
    assert verdict_of(top.flatness, Thresholds(flat_within=4.5e-3)) == "flat"
    assert verdict_of(top.flatness, Thresholds(pit_from=4.5e-3)) == "dished"


def test_the_numbers_stand_in_the_table_as_the_run_has_them(titled):
    (title, result), top = titled[0], titled[0][1].shrinkage
    told = block(answers_table([(title, result)]), "Top and inside (estimates)")
    assert told["The top is"] == "a pit at the wick (limit 3 mm)"
    assert told["Middle minus rim"] == f"{short(1e3 * top.flatness)} mm"
    assert told["Rim below the pour"] == f"{short(1e3 * top.rim_dip)} mm"
    assert told["Middle below the pour"] == f"{short(1e3 * top.centre_dip)} mm"
    assert told["Dish"] == f"{1e6 * top.dish_volume:.1f} mL"
    assert told["Hidden cavity"] == f"{1e6 * top.cavity_volume:.1f} mL"
    assert told["Its roof under the top"] == f"{short(1e3 * top.cavity_roof)} mm"
    assert told["Its height in the wax"] == f"{short(1e3 * top.cavity_place[1])} mm"
    assert told["Pores"] == f"{1e6 * top.ledger.pores:.1f} mL"
    poured = result.wax.volume.sum()
    assert told["Volume lost"] == f"{100 * top.ledger.total / poured:.1f} %"


def test_a_cavity_below_the_threshold_is_none_to_speak_of(titled):
    title, result = titled[0]
    easy = replace(result, answers=replace(result.answers, cavity_from=5e-6))
    told = block(answers_table([(title, easy)]), "Top and inside (estimates)")
    assert told["Hidden cavity"].startswith("none to speak of: 2.")
    (data,) = answers_data([(title, easy)])
    assert data["top"]["cavity"] is False


def test_wax_that_has_not_set_has_no_top_yet(titled):
    told = block(answers_table(titled[2:]), "Top and inside (estimates)")
    assert told["The top is"] == "not set within 1:30 h"
    assert {told[label] for label in told if label not in ("The top is", "Volume lost")} == {"–"}
    (data,) = answers_data(titled[2:])
    assert data["top"]["verdict"] is data["top"]["cavity"] is None


def test_data_for_machines_hold_the_top_and_a_ledger_that_adds_up(titled):
    for data, (_, result) in zip(json.loads(json.dumps(answers_data(titled))), titled, strict=True):
        found, top = data["top"], result.shrinkage
        assert found["flatness_m"] == pytest.approx(found["rim_dip_m"] - found["centre_dip_m"])
        assert found["cavity_volume_m3"] == top.cavity_volume
        assert found["dish_volume_m3"] == top.dish_volume
        parts = sum(found[f"lost_{part}_m3"] for part in ("surface", "cavities", "pores", "solid"))
        # The books balance to round-off of some thousand cells; what the surface is owed is a trace.
        assert parts == pytest.approx(found["lost_m3"], rel=1e-6)
        assert data["top_over_melt"] is None


def test_the_range_of_the_melt_goes_from_the_least_to_the_largest(titled, ranged):
    table = answers_table(titled[:1], melt_ranges=[ranged])
    told = block(table, "The same over the range of the melt")
    assert told["melt.flows_above"] == "50 % to 99 %"
    low, high = (short(1e3 * value) for value in ranged.span("flatness_m"))
    assert told["Middle minus rim"] == f"{low} mm to {high} mm"
    low, high = (f"{1e6 * value:.1f}" for value in ranged.span("cavity_volume_m3"))
    assert told["Hidden cavity"] == f"{low} mL to {high} mL"
    assert told["The top is"].endswith(" or a pit at the wick")
    assert "melt.flows_above" in table.partition("The range: ")[2]
    assert max(map(len, table.splitlines())) <= WIDTH


def test_the_range_is_shown_only_on_request(titled):
    assert "range of the melt" not in answers_table(titled[:1])


def test_a_jar_in_which_nothing_circulates_says_so_beside_one_with_a_range(titled, ranged):
    table = answers_table(titled[:2], melt_ranges=[ranged, None])
    (line,) = [line for line in table.splitlines() if "melt.flows_above  " in line]
    assert line.endswith("nothing circulates")


def test_ranges_that_do_not_match_the_runs_are_refused(titled, ranged):
    with pytest.raises(ValueError, match="2 runs and 1 ranges"):
        answers_table(titled[:2], melt_ranges=[ranged])


def test_the_range_holds_the_share_of_the_scenario_and_its_own_result(runs, ranged):
    scenario, result = runs[0]
    assert ranged.flows_above == FLOWS_ABOVE
    assert ranged.answers[FLOWS_ABOVE.index(0.9)]["flatness_m"] == result.shrinkage.flatness
    other = with_overrides(scenario, {"melt.flows_above": "40 %"})
    assert melt_range(other).flows_above == (0.4, *FLOWS_ABOVE)


def test_without_stirring_there_is_no_range(runs):
    assert melt_range(with_overrides(runs[0][0], {"melt.mixing": "none"})) is None


def test_a_range_with_a_run_that_does_not_set_has_no_ends(runs):
    found = melt_range(runs[2][0], known=runs[2][1])
    assert found.answers == (None,) * len(FLOWS_ABOVE)
    assert found.span("flatness_m") is None


def test_the_ends_of_a_range_are_found_wherever_they_lie():
    found = MeltRange(flows_above=(0.5, 0.7, 0.9), answers=tuple({"rim_dip_m": dip} for dip in (2e-3, 3e-3, 1e-3)))
    assert found.span("rim_dip_m") == (1e-3, 3e-3)
