"""The choice of the pour: each limit rejects what breaks it, and runs that last as long as is allowed."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest
from commands import SCENARIOS

from coolsim.answers.catalogue import BY_KEY
from coolsim.errors import ScenarioError
from coolsim.scenario import built_in_pair, load_scenario, with_overrides
from coolsim.studies.pour.by_degree import coarser_cut
from coolsim.studies.pour.choose import (
    AS_GOOD,
    PourStudy,
    choices_of,
    choose_pour,
    common_changes,
    own_stand,
    pour_study,
    stands_of,
    usual_pours,
)
from coolsim.studies.pour.remedies import only_papers_reject, try_remedies
from coolsim.studies.sweep.sweep import SweptRow, sweep_points
from tests.support.made_up_runs import answered

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE, BOXED = (with_overrides(one, COARSE) for one in built_in_pair())
HOUR = 3600.0


@pytest.fixture(scope="module")
def threads():
    with ThreadPoolExecutor(2) as executor:
        yield executor


@pytest.fixture(scope="module")
def study(threads):
    return choose_pour(BARE, rooms=["21 °C"], pours=["53 °C", "58 °C", "62 °C", "68 °C"], executor=threads)


def judged(study, **changed):
    """The bare candidates of a study with some answers changed, by pour."""
    bare = next(choice for choice in study.choices if choice.place == "bare")
    points = sweep_points([study.stands["bare"]], {"pour.temperature": [f"{one.pour:g} °C" for one in bare.candidates]})
    rows = [
        SweptRow(point=point, answers={**one.answers, **changed.get(f"at_{one.pour:g}", {})}, fault=None)
        for point, one in zip(points, bare.candidates, strict=True)
    ]
    (choice,) = choices_of(rows, study)
    return choice


MELTS = {"skin_formed_s": 5.0, "skin_melted_again_s": 60.0}
STAYS = {"skin_formed_s": 5.0, "skin_melted_again_s": None}
NONE = {"skin_formed_s": None, "skin_melted_again_s": None}


@pytest.mark.parametrize(
    ("skin", "rejected"), [(MELTS, ()), (NONE, ()), (STAYS, ("skin stays",))], ids=["melts again", "none", "stays"]
)
def test_only_a_skin_that_stays_rejects(study, skin, rejected):
    choice = judged(study, at_53=MELTS, at_58=MELTS, at_62=skin)
    assert choice.candidates[2].rejected == rejected


def test_a_skin_that_stays_at_one_pour_stays_at_colder_ones(study):
    # A colder pour holds less heat to melt it: where its run names none, the melt was too cold to tell.
    choice = judged(study, at_53=NONE, at_58=STAYS, at_62=MELTS)
    assert [one.rejected for one in choice.candidates[:3]] == [("skin stays",), ("skin stays",), ()]


def test_a_jar_that_sets_too_late_or_not_at_all_is_rejected(study):
    late = judged(study, at_58={**MELTS, "fully_set_s": 16.01 * HOUR}, at_62={**MELTS, "fully_set_s": None})
    assert [one.rejected for one in late.candidates[1:3]] == [("too slow",), ("too slow",)]
    in_time = judged(study, at_58={**MELTS, "fully_set_s": 15.99 * HOUR}, at_62=MELTS)
    assert [one.rejected for one in in_time.candidates[1:3]] == [(), ()]


def bare_choice(skin_up_to=None, *, pours=range(53, 65), lost=None, jar=21.0, room=21.0):
    """A bare choice of which the skin stays up to a pour, with dish and cavity that are all the same unless given."""
    points = sweep_points(
        [BARE], {"pour.temperature": [f"{pour} °C" for pour in pours]},
        always={"vessel.temperature": f"{jar} °C", "room.temperature": f"{room} °C"},
    )  # fmt: skip
    rows = []
    for point, pour in zip(points, pours, strict=True):
        skin = STAYS if skin_up_to is not None and pour <= skin_up_to else MELTS
        volume = 5e-6 * (1.0 if lost is None else lost.get(pour, 1.0))
        answers = {**dict.fromkeys(BY_KEY), **skin, "fully_set_s": HOUR}
        rows.append(
            SweptRow(point=point, answers={**answers, "dish_volume_m3": volume, "cavity_volume_m3": 0.0}, fault=None)
        )
    study = PourStudy(
        stands={"bare": BARE}, own="bare", choices=(), time_allowed=16 * HOUR, margin=8.0, own_grid=True
    )  # fmt: skip
    (choice,) = choices_of(rows, study)
    return choice


def degrees(candidates):
    return [round(one.pour) for one in candidates]


def test_no_pour_within_two_kelvin_of_a_limit_is_recommended_if_another_passes():
    choice = bare_choice(skin_up_to=56)
    # The skin goes between 56 °C and 57 °C, and 42 K above the jar are 63 °C.
    assert (choice.low.limit, choice.low.pour) == ("skin stays", 56.5)
    assert (choice.high.limit, choice.high.pour) == ("jar shock", 63.0)
    assert degrees(choice.as_good) == [59, 60, 61]
    assert choice.recommended.pour == 60.0
    assert choice.advised("metric") == "59 to 61 °C, say 60 °C"
    assert choice.advised("us") == "138 to 142 °F, say 140 °F"
    # However much flatter the top is nearer to the limit.
    assert degrees(bare_choice(skin_up_to=56, lost={62: 0.5, 63: 0.5}).as_good) == [59, 60, 61]


def test_the_margin_above_freezing_is_a_limit_to_keep_off_as_well():
    choice = bare_choice()
    # Freezing starts at 44.4 °C; 8 K and 2 K more.
    assert choice.low.limit == "too near freezing"
    assert choice.low.pour == BARE.jar.wax.freezing_starts + 8.0
    assert degrees(choice.as_good)[0] == 55


def test_where_no_pour_is_off_both_limits_those_farthest_from_them_are_recommended():
    # Only 61 °C, 62 °C and 63 °C pass, between 60.5 °C and 63 °C: 62 °C is a kelvin off, the others less.
    choice = bare_choice(skin_up_to=60)
    assert degrees(one for one in choice.candidates if not one.rejected) == [61, 62, 63]
    assert degrees(choice.as_good) == [62]
    assert choice.off(62.0) == 1.0
    assert choice.advised("metric") == "62 °C"
    # And a lone one that passes is recommended, however near.
    assert bare_choice(skin_up_to=62).recommended.pour == 63.0
    assert bare_choice(skin_up_to=63).recommended is None
    assert bare_choice(skin_up_to=63).advised("metric") == ""


def test_what_is_as_good_goes_on_from_the_best_to_both_sides_as_far_as_it_can_be_told():
    more = 1.0 + AS_GOOD
    found = bare_choice(lost={55: 2.0, 56: 0.999 * more, 59: 1.001 * more})
    # 59 °C has more, and beyond it is a range of its own.
    assert degrees(found.as_good) == [56, 57, 58]
    assert found.recommended.pour == 57.0
    # Of two the colder one.
    assert bare_choice(lost={pour: 2.0 for pour in (55, 56, 59, 60, 61)}).recommended.pour == 57.0


def test_a_jar_in_another_room_has_the_same_pours_whatever_the_other_rooms_are():
    # So that chart, handout and table agree to the degree.
    alone = usual_pours(BARE, hottest_jar=21.0)
    assert alone == tuple(float(pour) for pour in range(53, 65))
    assert set(usual_pours(BARE, hottest_jar=15.0)) < set(alone) < set(usual_pours(BARE, hottest_jar=27.0))


def test_chart_and_table_recommend_the_same_in_the_same_room():
    def outcome(point):
        answers = {**dict.fromkeys(BY_KEY), **MELTS, "fully_set_s": HOUR, "cavity_volume_m3": 0.0}
        return {"answers": {**answers, "dish_volume_m3": 5e-6 - 1e-8 * point.jar.pour}}

    one = answered(pour_study(BARE, rooms=["21 °C"]), outcome)
    several = answered(pour_study(BARE, rooms=["5 °C", "21 °C", "33 °C"]), outcome)
    # What is worked out has other runs about it in the chart, and differs in the digits.
    for charted, alone in zip(several.nearest(21.4), one.choices, strict=True):
        assert charted.recommended.pour == alone.recommended.pour
        assert [one.rejected for one in charted.candidates] == [one.rejected for one in alone.candidates]
        assert [one.pour for one in charted.candidates] == [one.pour for one in alone.candidates]
    assert len(one.choices[0].candidates) > 10


def test_stated_limits_of_wax_and_fragrance_reject_instead_of_stopping_the_study(threads):
    stated = with_overrides(
        BARE, {"pour.temperature": "55 °C", "wax.highest_temperature": "61 °C", "wax.fragrance_limit": "57 °C"}
    )
    found = choose_pour(stated, pours=["56 °C", "60 °C", "62 °C"], executor=threads)
    for choice in found.choices:
        broken = [{limit for limit in one.rejected if "limit" in limit} for one in choice.candidates]
        assert broken == [set(), {"fragrance limit"}, {"fragrance limit", "wax maker's limit"}]
        assert choice.candidates[1].answers is not None


def test_a_tin_is_not_rejected_for_the_shock_of_glass(threads):
    tin = with_overrides(BARE, {"vessel.material": "tinned-steel", "vessel.wall": "0.3 mm", "vessel.base": "0.3 mm"})
    found = choose_pour(tin, pours=["75 °C"], executor=threads)
    assert not any("jar shock" in choice.candidates[0].rejected for choice in found.choices)


def test_a_warmed_jar_may_take_a_hotter_pour(threads):
    found = choose_pour(BARE, pours=["70 °C"], jar="35 °C", executor=threads)
    for choice in found.choices:
        assert choice.jar == 35.0
        assert "jar shock" not in choice.candidates[0].rejected


def test_the_twin_of_a_boxed_jar_is_bare_and_of_a_bare_one_boxed():
    stands = stands_of(BOXED)
    bare, boxed = stands["bare"], stands["boxed"]
    assert (bare.jar.surround, boxed, own_stand(BOXED, stands)) == (None, BOXED, "boxed")
    # Of the board's contact nothing is left: the bare foot stands on the bench, as in the other built-in scenario.
    assert bare.jar.vessel.foot == BARE.jar.vessel.foot
    stands = stands_of(BARE)
    bare, boxed = stands["bare"], stands["boxed"]
    assert (bare, boxed.jar.surround, own_stand(BARE, stands)) == (BARE, BOXED.jar.surround, "bare")
    assert boxed.jar.vessel.foot == BOXED.jar.vessel.foot


def test_water_and_a_day_with_changes_stand_alone_and_a_box_of_jars_beside_one_of_them(threads):
    water, night, six = (
        with_overrides(load_scenario(SCENARIOS / f"{name}.toml"), COARSE)
        for name in ("water-bath", "night-at-14", "box-2x3")
    )
    assert stands_of(water) == {"in water": water}
    assert stands_of(night) == {"through its day": night}
    stands = stands_of(six)
    assert list(stands) == ["bare", "box of jars"]
    assert stands["box of jars"] is six
    assert (stands["bare"].jar.surround, stands["bare"].jar.places) == (None, None)
    for scenario, places in ((water, 1), (night, 1), (six, 2)):
        found = choose_pour(scenario, pours=["60 °C"], executor=threads)
        assert [choice.place for choice in found.choices] == list(stands_of(scenario))
        assert len(found.choices) == places
        assert all(choice.candidates[0].answers is not None for choice in found.choices)
        assert found.scenario() is scenario
    with pytest.raises(ScenarioError, match="Give one bare and one boxed"):
        choose_pour(water, beside=BARE, pours=["60 °C"])


@pytest.mark.parametrize(("units", "step"), [("metric", 1.0), ("us", 5.0 / 9.0 * 2.0)])
def test_the_usual_pours_are_some_twenty_round_ones_up_to_the_limits(units, step):
    scenario = with_overrides(BARE, {"units": units})
    pours = usual_pours(scenario, hottest_jar=24.0)
    starts = scenario.jar.wax.freezing_starts
    assert 10 <= len(pours) <= 21
    assert pours[1] - pours[0] == pytest.approx(step)
    # From eight kelvin above freezing to one above what shock allows, each rounded inwards by a step.
    assert starts + 8.0 <= pours[0] < starts + 8.0 + step
    assert 24.0 + 43.0 - step < pours[-1] <= 24.0 + 43.0
    limited = with_overrides(scenario, {"pour.temperature": "57 °C", "wax.fragrance_limit": "64 °C"})
    assert usual_pours(limited, hottest_jar=24.0)[-1] <= 64.0


def test_a_pour_that_is_too_thick_is_refused_with_the_coldest_one():
    with pytest.raises(ScenarioError, match=r"found a pour of 40 °C, but below 41\.2 °C more than 10 % of this wax"):
        choose_pour(BARE, pours=["40 °C", "60 °C"])


def test_where_nothing_passes_the_least_change_that_helps_is_found_and_holds_when_it_is_made(threads):
    study = choose_pour(BARE, rooms=["4 °C"], pours=["52 °C", "64 °C"], executor=threads)
    bare = next(choice for choice in study.choices if choice.place == "bare")
    assert bare.recommended is None
    remedies = {remedy.change: remedy for remedy in try_remedies(study, bare, executor=threads)}
    assert set(remedies) == {"warm the jar", "warm the room"}
    # Ten kelvin more are not enough here: 42 K above 14 °C the skin stays.
    warmed = remedies["warm the jar"]
    assert (warmed.helps, warmed.value) == (True, 24.0)
    # Nor is the warmest room that was tried.
    assert (remedies["warm the room"].helps, remedies["warm the room"].value) == (False, 13.0)
    pour = f"{warmed.choice.recommended.pour:g} °C"
    made = choose_pour(BARE, rooms=["4 °C"], pours=[pour], jar=f"{warmed.value:g} °C", executor=threads)
    bare = next(choice for choice in made.choices if choice.place == "bare")
    assert bare.recommended is not None
    for key in ("fully_set_s", "dish_volume_m3"):
        # To round-off: the two were run beside other ones.
        assert bare.recommended.answers[key] == pytest.approx(warmed.choice.recommended.answers[key], rel=1e-9)


def test_a_jar_of_its_own_temperature_keeps_it_while_the_room_is_warmed(threads):
    study = choose_pour(BARE, rooms=["14 °C"], pours=["64 °C"], jar="6 °C", executor=threads)
    bare = next(choice for choice in study.choices if choice.place == "bare")
    remedies = {remedy.change: remedy for remedy in try_remedies(study, bare, executor=threads)}
    changed = remedies["warm the room"].choice
    assert (changed.room > 14.0, changed.jar) == (True, 6.0)
    assert remedies["warm the jar"].choice.room == 14.0


def test_where_all_are_too_slow_the_least_time_is_named(threads):
    study = choose_pour(BARE, pours=["60 °C", "62 °C"], time_allowed=HOUR, executor=threads)
    bare = next(choice for choice in study.choices if choice.place == "bare")
    longer = next(one for one in try_remedies(study, bare, executor=threads) if one.change == "allow longer")
    # The colder pour has less heat to lose.
    assert longer.value == bare.candidates[0].number("fully_set_s") < bare.candidates[1].number("fully_set_s")


@pytest.mark.parametrize(
    ("own", "cut"),
    [({}, (0.75, 0.8)), ({"run.refinement": 2.0, "run.tolerance": "0.1 K"}, (1.5, 0.4)), (COARSE, (None, None))],
)
def test_what_stands_behind_a_page_is_cut_coarser_unless_it_is_coarse_already(own, cut):
    changes = coarser_cut(with_overrides(built_in_pair()[0], own))
    assert (changes.get("run.refinement"), changes.get("run.tolerance")) == cut


def test_runs_last_as_long_as_the_time_that_is_allowed():
    long = common_changes(with_overrides(BARE, {"run.horizon": "8 h"}), 16 * HOUR)
    assert long["run.horizon"] == 57600.0
    # A point of the report that lies outside of a jar of another size must not keep it from being run.
    assert long["report"] is None
    assert "run.horizon" not in common_changes(with_overrides(BARE, {"run.horizon": "20 h"}), 16 * HOUR)


def test_rooms_come_from_cold_to_warm_each_bare_and_boxed_and_the_box_that_is_given_is_the_one_run(threads):
    box = with_overrides(BOXED, {"surround.gap": "30 mm"})
    found = choose_pour(BARE, beside=box, rooms=["24 °C", "20 °C"], pours=["60 °C"], executor=threads)
    assert [(one.room, one.place) for one in found.choices] == [
        (20.0, "bare"), (20.0, "boxed"), (24.0, "bare"), (24.0, "boxed")
    ]  # fmt: skip
    assert (found.stands["boxed"], found.made_up) == (box, False)
    with pytest.raises(ScenarioError, match="Give one bare and one boxed"):
        choose_pour(BARE, beside=BARE, pours=["60 °C"])


def test_against_data_sheets_no_remedy_is_run(study):
    bare = next(choice for choice in study.choices if choice.place == "bare")
    papers = replace(
        bare, candidates=tuple(replace(one, rejected=("wax maker's limit", "jar shock")) for one in bare.candidates)
    )
    assert only_papers_reject(papers)
    assert try_remedies(study, papers) == ()
