"""What a scenario says about the day of its jar and the course of its room, and what does not fit."""

import math

import pytest

from coolsim import with_overrides
from coolsim.errors import ScenarioError
from tests.support.pair import closed_pair

BARE, BOXED = closed_pair()


def day(scenario, *rows, **more):
    return with_overrides(scenario, {"day.changes": [list(row) for row in rows], **more})


def test_each_change_says_how_the_jar_stands_from_then_on():
    jar = day(
        BOXED,
        ("1 h", "flaps open"),
        ("90 min", "draught", "0.5 m/s"),
        ("2 h", "lid on"),
        ("3 h", "out of the box"),
        ("4 h", "still air"),
        ("5 h", "lid off"),
        ("6 h", "into the box"),
        **{"day.lid_material": "steel", "day.lid_thickness": "1 mm"},
    ).jar
    opened, blown, lidded, out, still, unlidded, back = jar.changes
    assert [one.time for one in jar.changes] == [3600.0 * hour for hour in (1, 1.5, 2, 3, 4, 5, 6)]
    assert (jar.surround.flaps, opened.surround.flaps, back.surround.flaps) == ("closed", "open", "open")
    assert (opened.air_speed, blown.air_speed, out.air_speed, still.air_speed) == (0.0, 0.5, 0.5, 0.0)
    assert blown.happens == "draught of 0.5 m/s"
    assert opened.lid is None
    assert (lidded.lid.material.name, lidded.lid.thickness) == ("steel", 0.001)
    assert out.lid == lidded.lid
    assert unlidded.lid is None
    assert (lidded.surround is not None, out.surround, back.surround is not None) == (True, None, True)
    assert [one.moved for one in jar.changes] == [False, False, False, True, False, False, True]
    # The contact that is stated is that with the board; on the bench it is the usual one of glass.
    assert (jar.vessel.foot, out.foot, back.foot) == (30.0, 25.0, 30.0)


def test_a_jar_that_is_first_put_into_its_box_stands_bare_until_then():
    jar = day(BOXED, ("1 h", "into the box")).jar
    assert jar.surround is None
    assert jar.changes[0].surround.gap == BOXED.jar.surround.gap


def test_a_course_by_the_clock_is_straight_between_its_rows_and_the_same_every_day():
    course = [["22:00", "18 °C"], ["6:00", "14 °C"], ["16:00", "22 °C"]]
    room = with_overrides(BARE, {"room.course": course, "pour.clock": "21:00"}).jar.room
    hour = 3600.0
    # 16:00 to 22:00 falls by 4 K in six hours, over midnight by 4 K in eight, and rises by 8 K in ten.
    assert room.at(0.0) == pytest.approx(18.0 + 4.0 / 6.0)
    assert room.at(1 * hour) == pytest.approx(18.0)
    assert room.at(5 * hour) == pytest.approx(16.0)
    assert room.at(9 * hour) == pytest.approx(14.0)
    assert room.at(14 * hour) == pytest.approx(18.0)
    assert room.at(33 * hour) == pytest.approx(14.0)


def test_a_cold_night_is_a_cosine_over_the_day():
    night = {"room.temperature": "21 °C", "room.lowest": "14 °C", "room.coldest": "5:00", "pour.clock": "17:00"}
    room = with_overrides(BARE, night).jar.room
    assert room.at(0.0) == pytest.approx(21.0)
    assert room.at(12 * 3600.0) == pytest.approx(14.0)
    assert room.at(6 * 3600.0) == pytest.approx(17.5)
    assert room.at(9 * 3600.0) == pytest.approx(17.5 - 3.5 * math.sqrt(0.5))
    # Poured at one: four hours to the coldest time.
    early = with_overrides(BARE, night | {"pour.clock": "1:00"}).jar.room
    assert early.at(4 * 3600.0) == pytest.approx(14.0)
    assert early.at(10 * 3600.0) == pytest.approx(17.5)


def test_the_warmest_row_of_a_course_decides_whether_the_wax_sets():
    # The first row and the last would do.
    course = [["6:00", "18 °C"], ["16:00", "38 °C"], ["22:00", "22 °C"]]
    with pytest.raises(ScenarioError) as caught:
        with_overrides(BARE, {"room.course": course, "pour.clock": "21:00"})
    assert caught.value.faults == (
        "tumbler-bare.toml: room.course: found 38 °C, but this wax counts as set only below 40 °C: it would be within 3"
        " °C of the room (answers.cool_within), where the run ends, before it has set, give a room colder than 37 °C.",
    )


def test_a_temperature_instead_of_a_course_makes_the_room_constant():
    course = with_overrides(BARE, {"room.course": [["22:00", "18 °C"], ["6:00", "14 °C"]], "pour.clock": "21:00"})
    assert with_overrides(course, {"room.temperature": "19 °C"}).jar.room.temperature == 19.0


def test_the_air_under_a_lid_begins_at_the_wax_and_not_under_the_base():
    # 240 - 10 - 85 mm: 145 mm, where the law holds for 150 mm.
    jar = {"vessel.height": "240 mm", "vessel.base": "10 mm", "pour.volume": None, "pour.level": "85 mm"}
    assert day(BARE, ("1 h", "lid on"), **jar).jar.headspace == pytest.approx(0.145)


COURSE = [["22:00", "18 °C"], ["6:00", "14 °C"]]


@pytest.mark.parametrize(
    ("overrides", "told"),
    [
        ({"day.changes": []}, "give rows of a time after the pour"),
        ({"day.changes": [["1 h"]]}, "row 1: found"),
        ({"day.changes": [["1 h", "lid on", "2 m/s"]]}, "only 'draught' takes a speed"),
        ({"day.changes": [["1 h", "lid onn"]]}, "did you mean 'lid on'"),
        ({"day.changes": [["1 h", "draught"]]}, "without a speed"),
        ({"day.changes": [["10:30 pm", "lid on"]]}, "row 1"),
        ({"day.changes": [["2 h", "lid on"], ["1 h", "lid off"]]}, "from the earliest to the latest"),
        ({"day.changes": [["1 h", "lid on"], ["1 h", "draught", "1 m/s"]]}, "from the earliest to the latest"),
        ({"day.changes": [["30 h", "lid on"]]}, "not before the end of the run"),
        ({"day.changes": [["1 h", "lid off"]]}, "that is so already"),
        ({"day.changes": [["1 h", "out of the box"], ["2 h", "out of the box"]]}, "that is so already"),
        ({"day.changes": [["1 h", "out of the box"], ["2 h", "flaps open"]]}, "the jar is not in its box then"),
        ({"day.changes": [["1 h", "out of the box"]], "surround": None, "vessel.foot": None}, "has no box"),
        ({"day.changes": [["1 h", "lid on"]], "day.lid_material": "unobtainium"}, "day.lid_material"),
        (
            {"day.changes": [["1 h", "lid on"]], "vessel.height": "240 mm", "pour.level": "60 mm"},
            "more than the law of level air layers allows",
        ),
        ({"room.course": COURSE}, "pour.clock: missing"),
        ({"room.course": [["22:00", "18 °C"], ["22:00", "14 °C"]], "pour.clock": "9:00"}, "found 22:00 twice"),
        ({"room.course": [["25:00", "18 °C"], ["22:00", "14 °C"]], "pour.clock": "9:00"}, "row 1"),
        ({"room.course": [["21:00", "60 °C"], ["22:00", "14 °C"]], "pour.clock": "9:00"}, "room.course: found 60 °C"),
        ({"room.lowest": "14 °C", "pour.clock": "9:00"}, "room.coldest: missing"),
        ({"room.coldest": "5:00", "pour.clock": "9:00"}, "room.lowest: missing"),
        ({"room.lowest": "24 °C", "room.coldest": "5:00", "pour.clock": "9:00"}, "not below the 21 °C"),
        ({"room.lowest": "14 °C", "room.coldest": "5:00"}, "pour.clock: missing"),
    ],
)
def test_what_does_not_fit_is_one_message(overrides, told):
    with pytest.raises(ScenarioError, match=told.replace("(", r"\(")) as caught:
        with_overrides(BOXED, overrides)
    assert len(caught.value.faults) == 1


def test_course_and_temperature_together_are_refused():
    data = {**BARE.data, "pour": {**BARE.data["pour"], "clock": "21:00"}}
    data["room"] = {"temperature": "21 °C", "course": COURSE}
    from coolsim import scenario_from_data

    with pytest.raises(ScenarioError, match=r"room.temperature: found together with room.course"):
        scenario_from_data(data, where="jar.toml")
