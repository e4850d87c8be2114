"""Small changes round a jar: which make sense for it, what better means, and that every study says the same of one."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from coolsim.answers.catalogue import BY_KEY
from coolsim.errors import ScenarioError
from coolsim.scenario import built_in_pair, load_scenario, with_overrides
from coolsim.studies.pour.changes import change_to, warmer_or_colder
from coolsim.studies.pour.choose import Candidate
from coolsim.studies.sweep.sweep import run_studies
from coolsim.studies.workshop import whatif as module
from coolsim.studies.workshop.advice import try_changes
from coolsim.studies.workshop.whatif import COUNT, Outcome, WhatIf, eight_changes, what_if

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE, BOXED = built_in_pair()
SCENARIOS = Path(__file__).parents[3] / "scenarios"
ALWAYS = ["warm the jar", "warm the room", "pour cooler", "fill less", "other wax"]


def named(scenario):
    return [one.name for one in eight_changes(scenario)]


@pytest.mark.parametrize(
    ("scenario", "first"),
    [
        (BARE, ["put it into the box", "put it into the box, flaps closed", "put it alone into the box"]),
        (BOXED, ["leave it bare", "close the flaps", "stand it alone"]),
        (
            with_overrides(BOXED, {"surround.flaps": "closed", "surround.exposed_sides": 4}),
            ["leave it bare", "open the flaps", "stand it among others"],
        ),
        (load_scenario(SCENARIOS / "box-2x3.toml"), ["leave it bare", "open the flaps", "stand them apart"]),
    ],
)
def test_box_flaps_and_neighbours_are_turned_round_where_they_are_so_already(scenario, first):
    assert named(scenario) == [*first, *ALWAYS]


def test_what_makes_no_sense_gives_way_so_that_there_are_always_eight():
    # Thin metal holds no heat: it is not warmed.
    tin = named(load_scenario(SCENARIOS / "small-tin.toml"))
    assert "warm the jar" not in tin
    assert len(tin) == COUNT
    water = named(load_scenario(SCENARIOS / "water-bath.toml"))
    assert water[:2] == ["cool the water", "warm the water"]
    assert len(water) == COUNT
    day = with_overrides(BOXED, {"day": {"changes": [["1 h", "flaps closed"], ["3 h", "out of the box"]]}})
    assert "leave it bare" not in named(day)
    assert "close the flaps" not in named(day)
    assert len(named(day)) == COUNT


def test_a_change_beyond_what_a_workshop_does_is_turned_round():
    # 60 °C is the hottest jar, 30 °C the warmest room, and a pour keeps 8 °C above the start of freezing at 44.5 °C.
    beyond = {"vessel.temperature": "46 °C", "room.temperature": "27 °C", "pour.temperature": "57 °C"}
    found = {one.name: one.value for one in eight_changes(with_overrides(BARE, beyond))}
    assert found["cool the jar"] == 27.0
    assert found["cool the room"] == 23.0
    assert found["pour hotter"] == 62.0
    assert {"warm the jar", "warm the room", "pour cooler"} & set(found) == set()
    # Neither hotter, against the data sheet, nor cooler.
    stated = with_overrides(BARE, {**beyond, "wax.highest_temperature": "60 °C"})
    assert {"pour hotter", "pour cooler"} & set(named(stated)) == set()


def test_another_wax_is_of_another_kind_poured_as_high_and_not_too_near_freezing():
    def other(scenario):
        return next((one for one in eight_changes(scenario) if one.name == "other wax"), None)

    own = with_overrides(BARE, {"wax.freezing_starts": "50 °C", "wax.highest_temperature": "80 °C"})
    change = other(own)
    made = change.made()
    assert change.value == made.file.wax.kind == "coconut-blend"
    # What is stated is of the wax before; the oil goes with the jar.
    assert (made.file.wax.freezing_starts, made.pour_limits, made.file.wax.fragrance_load) == (None, {}, 0.08)
    assert made.jar.depth == own.jar.depth
    paraffin = with_overrides(BARE, {"wax.kind": "paraffin", "pour.temperature": "80 °C", "pour.mass": "200 g"})
    assert other(paraffin).value == "soft-vegetable"
    assert other(paraffin).made().jar.depth == pytest.approx(paraffin.jar.depth)
    # Soft vegetable wax begins to set at 44.5 °C: the coconut blend is poured at 50 °C, and has none to change to.
    assert other(with_overrides(BARE, {"wax.kind": "coconut-blend", "pour.temperature": "50 °C"})) is None


def test_a_draught_is_kept_off_where_there_is_one():
    assert "still air" not in named(load_scenario(SCENARIOS / "small-tin.toml"))
    draught = with_overrides(load_scenario(SCENARIOS / "small-tin.toml"), {"room.air_speed": "0.2 m/s"})
    assert "still air" in named(draught)


def outcome(change=None, **changed):
    """What comes of a jar, made up: of a top with 4 mL of dish and cavity, set after 2 h."""
    usual = {"pour_C": 60.0, "jar_C": 21.0, "shock_limit_K": 42.0, "skin_formed_s": 5.0, "skin_melted_again_s": 60.0}
    usual["freezing_starts_C"] = 44.5
    top = {"fully_set_s": 7200.0, "dish_volume_m3": 3e-6, "cavity_volume_m3": 1e-6}
    answers = {**dict.fromkeys(BY_KEY), **usual, **top, **changed}
    return Outcome(change=change, scenario=BARE, answers=answers, result=None)


STAYS = {"skin_melted_again_s": None}


@pytest.mark.parametrize(
    ("changed", "better", "top", "time"),
    [
        # Just under and just over 2 % of what is sunk and hollow, and 5 minutes.
        ({"dish_volume_m3": 2.921e-6}, 0, 0, 0),
        ({"dish_volume_m3": 2.919e-6}, 1, 1, 0),
        ({"cavity_volume_m3": 1.081e-6}, -1, -1, 0),
        ({"fully_set_s": 7200.0 - 299.0}, 0, 0, 0),
        ({"fully_set_s": 7200.0 - 301.0}, 1, 0, 1),
        # The top comes before the time, and faults before both.
        ({"dish_volume_m3": 2e-6, "fully_set_s": 9000.0}, 1, 1, -1),
        ({"dish_volume_m3": 1e-6, "fully_set_s": 3600.0, **STAYS}, -1, 1, 1),
        ({"fully_set_s": None}, -1, 0, 0),
    ],
)
def test_better_is_fewer_faults_then_less_sunk_then_sooner(changed, better, top, time):
    usual = outcome()
    effect = WhatIf(usual=usual, tried=()).effect(outcome(**changed))
    assert (effect.better, effect.top, effect.time) == (better, top, time)


def test_of_long_times_one_per_cent_is_no_difference():
    usual = outcome(fully_set_s=36000.0)
    for off, time in ((359.0, 0), (361.0, -1)):
        assert WhatIf(usual=usual, tried=()).effect(outcome(fully_set_s=36000.0 + off)).time == time


def test_the_end_of_a_fault_is_better_whatever_the_top():
    effect = WhatIf(usual=outcome(**STAYS), tried=()).effect(outcome(dish_volume_m3=9e-6))
    assert (effect.ends, effect.brings, effect.better, effect.top) == (("skin stays",), (), 1, -1)


def test_a_first_skin_that_is_not_told_from_setting_stays_unless_wax_or_jar_is_warmer():
    usual = outcome(**STAYS)
    none = {"skin_formed_s": None, **STAYS}
    for changed, ends in (
        (none, ()),
        ({**none, "pour_C": 55.0}, ()),
        ({**none, "jar_C": 50.0}, ("skin stays",)),
        ({**none, "pour_C": 62.0}, ("skin stays",)),
        ({**none, "freezing_starts_C": 36.0}, ("skin stays",)),
    ):
        effect = WhatIf(usual=usual, tried=()).effect(outcome(**changed))
        assert (effect.ends, effect.brings) == (ends, ())


def test_what_helps_most_comes_first(monkeypatch):
    changes = [change_to(BARE, "still air") for _ in range(5)]
    answers = [
        {},
        {"dish_volume_m3": 2e-6, **STAYS},
        {"dish_volume_m3": 2.93e-6, "fully_set_s": 9000.0},
        {"dish_volume_m3": 2.95e-6, "fully_set_s": 6000.0},
        {"dish_volume_m3": 2.5e-6},
    ]
    monkeypatch.setattr(module, "eight_changes", lambda _: tuple(changes))
    made_up = iter([*({"answers": outcome(**one).answers} for one in answers), {"fault": "told so"}])
    monkeypatch.setattr(module, "runs_of", lambda jars: made_up)
    told = []
    found = what_if(BARE, on_run=lambda *done: told.append(done))
    assert [one.answers and (one.answers["dish_volume_m3"], one.set_at) for one in found.tried] == [
        (2.5e-6, 7200.0),
        # No different in what is sunk, so it is the time that counts.
        (2.95e-6, 6000.0),
        (2.93e-6, 9000.0),
        (2e-6, 7200.0),
        None,
    ]
    assert told[-1] == (6, 6)


def test_of_a_box_the_run_is_that_of_the_worst_top(monkeypatch):
    monkeypatch.setattr(module, "eight_changes", lambda _: ())
    monkeypatch.setattr(module, "runs_of", lambda jars: iter([{"answers": outcome().answers, "results": ("a", "b")}]))
    monkeypatch.setattr(module, "to_repair", lambda results: results.index("b"))
    assert what_if(BARE).usual.result == "b"


def test_pour_handout_and_what_if_say_the_same_of_the_same_change():
    quick = with_overrides(BARE, COARSE)
    found = what_if(quick)
    with ThreadPoolExecutor(max_workers=1) as executor:
        ((advice,),) = run_studies([try_changes([(quick, with_overrides(BOXED, COARSE))])], executor=executor)
    mine = {(one.change.name, one.change.value): one for one in found.tried}
    both = [one for one in advice.trials if (one.change, one.value) in mine]
    assert len(both) == 5
    for one in both:
        other = mine[one.change, one.value].answers
        # Runs together agree with runs in other company to round-off.
        assert one.answers["fully_set_s"] == pytest.approx(other["fully_set_s"], rel=1e-9), one.change
        assert one.answers["dish_volume_m3"] == pytest.approx(other["dish_volume_m3"], rel=1e-6), one.change
        candidate = Candidate(place="bare", room=21.0, jar=21.0, pour=60.0, answers=one.answers, rejected=())
        assert candidate.lost == pytest.approx(mine[one.change, one.value].lost, rel=1e-6)
    # A warmed jar flattens the top, and a box keeps the rim soft: common practice, no source.
    assert mine["put it into the box", None].lost < found.usual.lost
    assert mine["warm the jar", 36.0].lost < found.usual.lost


def test_flaps_open_although_what_their_cover_is_made_of_is_stated():
    covered = {
        "surround.flaps": "closed",
        "surround.cover_thickness": "8 mm",
        "surround.cover_conductivity": "0.05 W/mK",
    }
    assert change_to(with_overrides(BOXED, covered), "open the flaps").made().jar.surround.flaps == "open"


def test_steps_are_whole_degrees_of_the_workshop():
    us = with_overrides(BARE, {"units": "us", "pour.temperature": "140 °F", "room.temperature": "70 °F"})
    for name, fahrenheit in (("warm the jar", 95.0), ("warm the room", 78.0), ("pour cooler", 130.0)):
        assert warmer_or_colder(us, name).value * 1.8 + 32.0 == pytest.approx(fahrenheit)


def test_water_has_no_top():
    with pytest.raises(ScenarioError, match="which never sets"):
        what_if(with_overrides(BARE, {"wax.kind": "water"}))
