"""Values changed in SI give the scenario that the same values as texts give, and the same faults."""

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import changed, scenario_from_data, with_overrides
from tests.support.pair import closed_pair

BARE, BOXED = closed_pair()

SAME = {
    "a quantity": ({"wax.latent_heat": 120e3}, {"wax.latent_heat": "120 kJ/kg"}),
    "a choice": ({"surround.flaps": "open"}, {"surround.flaps": "open"}),
    "in place of another": ({"pour.level": 0.05}, {"pour.level": "50 mm"}),
    "in place of two": (
        {"wax.freezing": ((35.0, 0.0), (45.0, 1.0))},
        {"wax.freezing": [["45 °C", "100 %"], ["35 °C", "0 %"]]},
    ),
    "back to the default": ({"vessel.foot": None}, {"vessel.foot": None}),
    "a table left out": ({"surround": None, "vessel.foot": None}, {"surround": None, "vessel.foot": None}),
    "two of one table": (
        {"room.temperature": 18.5, "room.air_speed": 0.3},
        {"room.temperature": "18.5 °C", "room.air_speed": "0.3 m/s"},
    ),
    "above the tables": ({"units": "us", "title": "Mine"}, {"units": "us", "title": "Mine"}),
    "a table that was not there": ({"batch.jars": 4}, {"batch.jars": 4}),
}


@pytest.mark.parametrize(("values", "texts"), SAME.values(), ids=SAME)
def test_it_is_the_scenario_of_the_same_texts(values, texts):
    assert changed(BOXED, values) == with_overrides(BOXED, texts)


def test_a_table_of_another_scenario_can_be_put_in():
    twin = changed(BARE, {"surround": BOXED.file.surround, "vessel.foot": None})
    assert twin.jar.surround == with_overrides(BOXED, {"vessel.foot": None}).jar.surround
    assert scenario_from_data(twin.data, where=twin.where) == twin


def test_the_data_read_back_to_the_same_jar_whatever_the_digits():
    third = changed(
        BOXED, {"vessel.height": 0.086 + 1e-4 / 3.0, "wax.latent_heat": 4e5 / 3.0, "surround.gap": 0.1 / 9.0}
    )
    assert scenario_from_data(third.data, where=third.where).jar == third.jar


def test_rows_of_every_kind_are_written_as_they_are_read():
    stated = {
        "pour.clock": "16:30",
        "room": {"course": [["6:00", "15 °C"], ["22:00", "18 °C"]]},
        "day": {"changes": [["30 min", "draught", "0.5 m/s"], ["3 h", "out of the box"]], "lid_thickness": "8 mm"},
        "melting": {"water": [["0 s", "25 °C"], ["15 min", "85 °C"]], "stirring": False},
        "report": {"map_times": ["30 min", "2 h"], "probes": {"near the glass": ["30 mm", "40 mm"]}},
        "wax.freezing": [["45 °C", "100 %"], ["40 °C", "60 %"], ["35 °C", "0 %"]],
        "surround.gap": None,
        "places": {"rows": 2, "columns": 3, "spacing": "14 mm", "to_wall": "10 mm", "empty": [[1, 2]]},
        "date": "2026-03-14",
    }
    scenario = with_overrides(BOXED, stated)
    written = scenario.file.written()
    assert written["date"] == "2026-03-14"
    for name in ("room", "day", "melting", "report", "wax", "places", "pour"):
        table = getattr(scenario.file, name)
        again = type(table).model_validate(table.written())
        assert again == table, name


FAULTS = {
    "beyond the limits": (
        {"room.temperature": 61.0},
        "tumbler-boxed.toml: room.temperature: found '61 °C', give a value from -20 °C to 60 °C.",
    ),
    "no number": ({"vessel.height": float("nan")}, "tumbler-boxed.toml: vessel.height: found "),
    "not one of the words": (
        {"surround.flaps": "shut"},
        "tumbler-boxed.toml: surround.flaps: found 'shut', give one of 'open', 'closed'.",
    ),
    "needed": ({"vessel.height": None}, "tumbler-boxed.toml: vessel.height: missing. Give a length such as '90 mm'."),
    "a table needed": ({"vessel": None}, "tumbler-boxed.toml: vessel: missing. Add a table [vessel] with diameter,"),
    "needed in a new table": (
        {"surround.gap": None, "places.rows": 2, "places.spacing": 0.01, "places.to_wall": 0.01},
        "tumbler-boxed.toml: places.columns: missing. Give whole number; 1 to 12.",
    ),
    "between tables": (
        {"pour.temperature": 40.0},
        "tumbler-boxed.toml: pour.temperature: found 40 °C, but this wax with its fragrance starts to set at 44 °C, and"
        " 14.5 % of it is solid then, more than still pours (pour.thickest, 10 %), pour it at 42 °C or hotter.",
    ),
    "unknown": ({"pour.temperatur": 60.0}, "'pour.temperatur' is not a key of a scenario. Did you mean"),
}


@pytest.mark.parametrize(("values", "message"), FAULTS.values(), ids=FAULTS)
def test_what_cannot_be_is_one_fault(values, message):
    with pytest.raises(ScenarioError) as caught:
        changed(BOXED, values)
    (fault,) = caught.value.faults
    assert fault.startswith(message)
