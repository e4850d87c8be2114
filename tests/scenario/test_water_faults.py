"""A water bath that lacks something, is ice, or stands beside what does not go with it is one fault; and its notes."""

import pytest

from coolsim.errors import ScenarioError
from coolsim.report.estimates import estimates
from coolsim.report.text.scenario import scenario_summary
from coolsim.scenario import load_scenario, with_overrides
from coolsim.scenario.plausible import plausible
from tests.support.pair import closed_pair

WATER = {"kind": "water", "temperature": "15 °C"}
RACK = {"support": {"kind": "rack"}}
BARE = closed_pair()[0]

FAULTS = {
    "no temperature": (
        RACK | {"surround": {"kind": "water"}},
        "surround.temperature: missing, the water keeps one, give it as in '15 °C'.",
    ),
    "ice": (
        RACK | {"surround": WATER | {"temperature": "-2 °C"}},
        "surround.temperature: found -2 °C, where water is ice, give 0 °C or more.",
    ),
    "a key of a box": (
        RACK | {"surround": WATER | {"gap": "12 mm"}},
        "surround.gap: found with kind = 'water', which has no board, leave it out.",
    ),
    "a box with a depth": (
        {"surround": {"gap": "12 mm", "headroom": "15 mm", "flute": "B", "depth": "20 mm"}},
        "surround.depth: found for a box, which holds no water, give kind = 'water', or leave it out.",
    ),
    "on a bench": (
        {"surround": WATER},
        "support.kind: found 'slab' with surround.kind = 'water', give kind = 'rack' and none of its other keys: the"
        " water must get under the jar, too.",
    ),
    "above the brim": (
        RACK | {"surround": WATER | {"depth": "90 mm"}},
        "surround.depth: found 90 mm, above the brim at 86 mm, give less water or a taller jar.",
    ),
    "a freezing room": (
        RACK | {"surround": WATER, "room.temperature": "-5 °C"},
        "room.temperature: found -5 °C with surround.kind = 'water', where water freezes, give 0 °C or more.",
    ),
    "a frozen jar": (
        RACK | {"surround": WATER, "vessel.temperature": "-5 °C"},
        "vessel.temperature: found -5 °C with surround.kind = 'water', where water freezes, give 0 °C or more.",
    ),
    "a box of many": (
        RACK | {"surround": WATER, "places": {"rows": 2, "columns": 3, "spacing": "14 mm", "to_wall": "10 mm"}},
        "surround.kind: found 'water' with [places], leave one of the two out: jars in a box stand dry.",
    ),
    "into no box": (
        RACK | {"surround": WATER, "day.changes": [["1 h", "into the box"]]},
        "day.changes: found 'into the box' at 1:00, but the scenario has no box, give a table [surround], or leave the"
        " row out.",
    ),
}


@pytest.mark.parametrize(("changes", "message"), FAULTS.values(), ids=FAULTS)
def test_what_does_not_go_with_water_is_named(changes, message):
    with pytest.raises(ScenarioError) as raised:
        with_overrides(BARE, changes)
    assert f"{BARE.where}: {message}" in str(raised.value).splitlines()


@pytest.fixture
def in_water(scenarios):
    return load_scenario(scenarios / "water-bath.toml")


def test_the_summary_says_how_the_jar_stands(in_water):
    assert scenario_summary(in_water)[1].startswith("In water at 18 °C, 60 mm up the jar; on a wire rack;")


@pytest.mark.parametrize(
    ("jar", "water", "note"),
    [
        ("60 °C", "10 °C", "Note: the water is 50 °C colder than the jar, more than the shock limit of 42 °C"
         " (vessel.shock_limit); take warmer water."),
        ("30 °C", "80 °C", "Note: the water is 50 °C hotter than the jar, more than the shock limit of 42 °C"
         " (vessel.shock_limit); take cooler water."),
        ("50 °C", "10 °C", None),
    ],
)  # fmt: skip
def test_water_that_may_crack_the_glass_is_noted(in_water, jar, water, note):
    found = scenario_summary(with_overrides(in_water, {"vessel.temperature": jar, "surround.temperature": water}))
    assert found[2:] == (() if note is None else (note,))


def test_no_answer_of_a_jar_in_water_rests_on_board_or_on_what_its_foot_stands_on(in_water):
    named = {key for _, keys in estimates(in_water) for key in keys}
    assert not [key for key in named if key.startswith("surround.") or key == "vessel.foot"]


def test_a_film_that_is_stated_has_a_plausible_range(in_water):
    known = plausible(with_overrides(in_water, {"surround.film": "400 W/m2K"}), "surround.film")
    assert (known.low, known.high) == (200.0, 800.0)
