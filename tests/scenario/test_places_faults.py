"""A table [places] that does not fit its jars, its board or itself is one fault, with what was found and what to do."""

import math
import tomllib

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import scenario_from_data, with_overrides
from tests.support.pair import closed_pair

SIX = {"rows": 2, "columns": 3, "spacing": "14 mm", "to_wall": "10 mm"}
SIZED = {"rows": 2, "columns": 3, "inner_length": "290 mm", "inner_width": "195 mm"}
BOXED = closed_pair()[1]
NO_GAP = {"surround.gap": None}

FAULTS = {
    "no board": (
        {"surround": None, "vessel.foot": None, "places": SIX},
        "places: found without [surround], describe board, flaps and headroom there.",
    ),
    "a gap as well": (
        {"places": SIX},
        "surround.gap: found, but [places] says how far the jars are from the wall, leave it out.",
    ),
    "exposed sides as well": (
        NO_GAP | {"surround.exposed_sides": 2, "places": SIX},
        "surround.exposed_sides: found, but [places] says which sides face the wall, leave it out.",
    ),
    "neither size nor distances": (
        NO_GAP | {"places": {"rows": 2, "columns": 3}},
        "places: found neither size nor distances, give either inner_length and inner_width (spacing may be added), or"
        " spacing and to_wall.",
    ),
    "size and distance to the wall": (
        NO_GAP | {"places": SIZED | {"to_wall": "5 mm"}},
        "places: found inner_length and inner_width and to_wall, give either inner_length and inner_width (spacing"
        " may be added), or spacing and to_wall.",
    ),
    "too short": (
        NO_GAP | {"places": SIZED | {"inner_length": "230 mm"}},
        "places.inner_length: found 230 mm, but 3 jars of 78 mm need 234 mm, give a larger box or fewer columns.",
    ),
    "too narrow with the spacing": (
        NO_GAP | {"places": SIZED | {"spacing": "40 mm", "columns": 2}},
        "places.inner_width: found 195 mm, but 2 jars of 78 mm with 40 mm between them need 196 mm, give a larger box"
        " or fewer rows.",
    ),
    "no room for dividers": (
        NO_GAP | {"places": SIX | {"spacing": "2 mm", "dividers": True}},
        "places.spacing: found 2 mm, less than a divider, 3.2 mm, give more or leave the dividers out.",
    ),
    "an empty place outside": (
        NO_GAP | {"places": SIX | {"empty": [[3, 1]]}},
        "places.empty: found row 3, column 1, but the box has 2 rows and 3 columns, give places in it.",
    ),
    "no jar at all": (
        NO_GAP | {"places": SIX | {"rows": 1, "columns": 1, "empty": [[1, 1]]}},
        "places.empty: found all places of the box, leave at least one jar in it.",
    ),
    "a place twice": (
        NO_GAP | {"places": SIX | {"empty": [[1, 1], [1, 1]]}},
        "places.empty: found row 1, column 1 twice, give each place once.",
    ),
    "no places": (
        NO_GAP | {"places": SIX | {"empty": 3}},
        "places.empty: found 3, give pairs of row and column, counted from 1, such as [[2, 3]].",
    ),
    "too far from the wall": (
        NO_GAP | {"places": {"rows": 1, "columns": 1, "inner_length": "250 mm", "inner_width": "250 mm"}},
        "places.inner_length: found a mean gap of 120.2 mm beside the jars, set them closer together or give a smaller"
        " box: gaps over 80 mm are outside the range of the law.",
    ),
    # 98.8 mm between two walls that are as far from the air between them as the pour is from the room.
    "too much air between neighbours": (
        NO_GAP | {"pour.temperature": "120 °C", "room.temperature": "0 °C", "places": SIX | {"spacing": "60.9 mm"}},
        "places.spacing: found 98.9 mm of air between neighbouring jars, on average, which with 120 °C and 0 °C may be"
        " more than the law of upright gaps allows, set the jars closer together, or put dividers between them"
        " (dividers = true).",
    ),
    "too many": (NO_GAP | {"places": SIX | {"rows": 13}}, "places.rows: found 13, give a whole number from 1 to 12."),
}


def faults_of(changes):
    with pytest.raises(ScenarioError) as caught:
        with_overrides(BOXED, changes)
    return [fault.removeprefix("tumbler-boxed.toml: ") for fault in caught.value.faults]


@pytest.mark.parametrize(("changes", "message"), FAULTS.values(), ids=FAULTS)
def test_it_is_one_fault(changes, message):
    assert faults_of(changes) == [message]


def test_the_distances_make_the_box():
    box = with_overrides(BOXED, NO_GAP | {"places": SIX}).jar.places
    assert (box.length, box.width) == (pytest.approx(3 * 0.078 + 2 * 0.014 + 0.02), pytest.approx(2 * 0.078 + 0.034))
    assert box.pitch_along == box.pitch_across == pytest.approx(0.092)


def test_a_box_of_given_size_spreads_its_jars_evenly_or_as_far_apart_as_stated():
    even = with_overrides(BOXED, NO_GAP | {"places": SIZED}).jar.places
    assert (even.pitch_along, even.pitch_across) == (pytest.approx(0.29 / 3), pytest.approx(0.195 / 2))
    close = with_overrides(BOXED, NO_GAP | {"places": SIZED | {"spacing": "5 mm"}}).jar.places
    assert close.pitch_along == close.pitch_across == pytest.approx(0.083)
    # What is left is at the walls.
    assert close.cell((1, 1))[0] == pytest.approx(0.5 * (0.29 - 0.083))


def test_the_gap_of_the_surround_is_the_mean_one_at_the_walls():
    jar = with_overrides(BOXED, NO_GAP | {"places": SIX}).jar
    mean = 2.0 * (jar.places.length + jar.places.width) / 10  # ten sides of cells are wall
    assert jar.surround.gap == pytest.approx(2.0 * mean / math.pi - 0.039)


def test_dividers_halve_the_air_between_neighbours():
    wide = {"pour.temperature": "120 °C", "room.temperature": "0 °C", "places": SIX | {"spacing": "60.9 mm"}}
    assert with_overrides(BOXED, NO_GAP | wide | {"places.dividers": True}).jar.places.dividers


def test_without_a_jar_at_the_wall_the_gap_is_that_to_the_empty_places():
    places = [[row, column] for row in (1, 2, 3) for column in (1, 2, 3) if (row, column) != (2, 2)]
    box = {"rows": 3, "columns": 3, "spacing": "14 mm", "to_wall": "10 mm", "empty": places}
    jar = with_overrides(BOXED, NO_GAP | {"places": box}).jar
    assert jar.surround.gap == pytest.approx(2.0 * 0.092 / math.pi - 0.039)


@pytest.mark.parametrize("name", ["box-2x3.toml", "box-3x4.toml"])
def test_the_invented_boxes_say_so(name, scenarios):
    data = tomllib.loads((scenarios / name).read_text(encoding="utf-8"))
    scenario = scenario_from_data(data, where=name)
    assert scenario.invented
    assert f"{scenario.jar.places.jars} jars" in str(scenario)


def test_the_old_word_for_places_is_read_and_the_new_one_said():
    old, new = (with_overrides(BOXED, NO_GAP | {word: SIX}) for word in ("box", "places"))
    assert old == new
    assert old.old_words == ("tumbler-boxed.toml: the table [box] is called [places] now.",)
    assert new.old_words == ()


def test_a_fault_under_the_old_word_says_the_new_one_first():
    assert faults_of(NO_GAP | {"box": SIX | {"rows": 13}}) == [
        "the table [box] is called [places] now.",
        "places.rows: found 13, give a whole number from 1 to 12.",
    ]


def test_the_old_word_beside_the_new_one_is_one_fault():
    assert faults_of(NO_GAP | {"box": SIX, "places": SIX}) == [
        "box: found beside [places], which is its name now, leave one of the two out."
    ]
