"""The table of keys is complete, and every starter loads."""

import re
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import FLUTE_HEIGHTS
from coolsim.model.materials import inert_names, wax_names
from coolsim.scenario import EVERYDAY, key_tables, scenario_from_data, scenario_keys, starter_text
from coolsim.units import format_quantity

KEYS = {key.name: key for key in scenario_keys()}


def flattened(data, prefix=""):
    for name, value in data.items():
        if isinstance(value, dict) and f"{prefix}{name}" not in KEYS:
            yield from flattened(value, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}"


def test_each_key_says_what_it_is_and_what_to_write():
    assert len(KEYS) == len(scenario_keys())
    for key in KEYS.values():
        assert key.meaning.endswith("."), key
        assert key.value, key
        assert key.default, key


def test_every_key_that_the_scenarios_of_the_project_use_is_in_the_table(scenarios):
    used = set()
    for file in scenarios.glob("*.toml"):
        used |= set(flattened(tomllib.loads(file.read_text(encoding="utf-8"))))
    assert used <= set(KEYS)
    # Not vacuous: the scenarios show a good part of the format.
    assert len(used) > 30


def test_every_key_of_the_table_is_accepted_in_its_place(boxed):
    # A key that the table lists but the reader does not know would be an unknown key.
    for name in KEYS:
        *tables, last = name.split(".")
        data = {key: dict(value) if isinstance(value, dict) else value for key, value in boxed.items()}
        table = data.setdefault(tables[0], {}) if tables else data
        table[last] = {"not": "a value"}
        with pytest.raises(ScenarioError) as caught:
            scenario_from_data(data, where="jar.toml")
        assert not any("unknown key" in fault for fault in caught.value.faults), name


def test_the_table_marks_required_keys_and_no_others():
    assert {name for name, key in KEYS.items() if key.default == "required"} == {
        "title",
        "vessel.diameter",
        "vessel.height",
        "vessel.wall",
        "vessel.base",
        "vessel.material",
        "wax.kind",
        "pour.temperature",
        "places.rows",
        "places.columns",
        "day.changes",
    }


def test_defaults_are_shown_as_a_scenario_would_state_them():
    assert KEYS["melt.relaxation"].default == "1.5 min"
    assert KEYS["melt.flows_above"].default == "where `[mush]` stops a buoyancy of 0.44 Pa, 96 %"
    assert [KEYS[f"mush.{name}"].default for name in ("stiffness", "exponent", "gels_at", "suction")] == [
        "3 MPa", "4", "2 %", "100 kPa",
    ]  # fmt: skip
    assert [KEYS[f"answers.{name}"].default for name in ("touch", "touch_depth", "wick", "carry", "void_shows")] == [
        "1 kPa", "3 mm", "1 kPa", "1 kPa", "10 %",
    ]  # fmt: skip
    assert KEYS["invented"].default == "false"
    assert KEYS["films.headspace_factor"].default == "0.7"
    assert KEYS["surround.flaps"].default == "closed"


def test_estimates_are_marked_as_such():
    for name in ("mush.stiffness", "mush.suction", "answers.touch", "films.headspace_factor", "vessel.foot"):
        assert KEYS[name].source.startswith("estimate"), name


def test_each_key_is_in_one_table_and_each_table_says_what_it_is_about():
    tables = key_tables()
    assert [key.name for table in tables for key in table.keys] == list(KEYS)
    assert len({table.name for table in tables}) == len(tables)
    for table in tables:
        assert table.about.endswith("."), table.name


def test_what_a_maker_sets_is_all_that_is_required_of_a_jar_and_has_no_other_default_to_hunt_for():
    assert len(EVERYDAY) == 16
    assert set(EVERYDAY) <= set(KEYS)
    required = {name for name, key in KEYS.items() if key.default == "required"}
    # Boxes of many jars and days with changes are for those who ask for them.
    assert {name for name in required if not name.startswith(("places.", "day."))} <= set(EVERYDAY)


def test_a_starter_explains_every_line_and_loads():
    text = starter_text(title='Say "jar" \\ two')
    scenario = scenario_from_data(tomllib.loads(text), where="starter")
    assert scenario.title == 'Say "jar" \\ two'
    assert scenario.jar.surround is None
    assert "# [surround]" in text


def test_the_box_that_a_bare_starter_keeps_in_comments_loads_too():
    lines = starter_text(boxed=False).splitlines()
    start = lines.index("# [surround]")
    uncommented = [line.removeprefix("# ") if start <= at < start + 5 else line for at, line in enumerate(lines)]
    data = tomllib.loads("\n".join(uncommented))
    assert data["surround"] == tomllib.loads(starter_text(boxed=True))["surround"]
    scenario_from_data(data, where="starter")


@pytest.mark.parametrize("boxed", [False, True])
def test_a_us_starter_holds_us_measures_only(boxed):
    text = starter_text(units="us", boxed=boxed)
    after_the_first_comment = text.partition("\n\n")[2]
    assert not re.search(r"\d (mm|mL|g|°C|C)\"", after_the_first_comment)
    made = scenario_from_data(tomllib.loads(text), where="us")
    metric = scenario_from_data(tomllib.loads(starter_text(boxed=boxed)), where="metric")
    # The same jar, rounded to sixteenths of an inch and to 8 fl oz.
    assert made.jar.vessel.diameter == pytest.approx(metric.jar.vessel.diameter, abs=0.8e-3)
    assert made.jar.depth == pytest.approx(metric.jar.depth, rel=0.03)


@pytest.mark.parametrize(
    ("options", "key"),
    [
        ({"diameter": "5 m"}, "vessel.diameter"),
        ({"height": 86}, "vessel.height"),
        ({"title": "a\x7fb"}, "title"),
        ({"wax": "tallow"}, "wax.kind"),
        ({"fill": "not a key"}, "not TOML"),
        ({"pour": "30 °C"}, "pour.temperature"),
    ],
)
def test_options_that_make_no_scenario_are_refused(options, key):
    with pytest.raises(ScenarioError, match=key):
        starter_text(**options)


def lengths(low, high):
    """Lengths in the given range [m], as texts of either system."""
    return st.builds(
        lambda value, system: format_quantity(value, "length", system=system, digits=7),
        # Inside by more than the rounding to seven decimals.
        st.floats(low * 1.001, high * 0.999),
        st.sampled_from(["metric", "us"]),
    )


@given(
    title=st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=100),
    diameter=lengths(0.050, 0.300),
    height=lengths(0.060, 0.400),
    wall=lengths(0.0001, 0.015),
    base=lengths(0.0001, 0.030),
    material=st.sampled_from(inert_names()),
    wax=st.sampled_from(wax_names()),
    fragrance_load=st.integers(0, 15).map(lambda load: f"{load} %"),
    amount=lengths(0.006, 0.025),
    support=st.sampled_from(inert_names()),
    thickness=lengths(0.001, 0.2),
    boxed=st.booleans(),
    gap=lengths(0.001, 0.080),
    headroom=lengths(0.0005, 0.150),
    flute=st.sampled_from(tuple(FLUTE_HEIGHTS)),
    flaps=st.sampled_from(["open", "closed"]),
    # Up to 20 °C: wax of the catalogue with the most fragrance sets in it.
    room=st.integers(-20, 20).map(lambda room: f"{room} °C"),
    units=st.sampled_from(["metric", "us"]),
)
def test_every_starter_with_options_in_range_loads(**options):
    text = starter_text(fill="level", **options)
    scenario = scenario_from_data(tomllib.loads(text), where="starter")
    assert scenario.title == options["title"]
    assert (scenario.jar.surround is not None) == options["boxed"]
