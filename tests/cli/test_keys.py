"""keys: what may be written into a scenario, on the screen and as data."""

import json

import pytest

from coolsim.scenario import EVERYDAY, key_tables, scenario_keys


def test_without_a_table_it_shows_what_a_maker_sets_and_names_all_tables(coolsim):
    result = coolsim("keys")
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 80
    known = [key.name for key in scenario_keys()]
    begins = [line.split()[0] for line in lines if line[:1].islower()]
    assert [word for word in begins if word in known] == [name for name in known if name in EVERYDAY]
    named = [line.split()[0] for line in lines if line.startswith("[")]
    assert named == [f"[{table.name}]" for table in key_tables() if table.name]
    assert "`" not in result.stdout


@pytest.mark.parametrize("table", [table for table in key_tables() if table.name], ids=lambda table: table.name)
def test_a_table_shows_each_of_its_keys_once_in_80_columns(coolsim, table):
    lines = coolsim("keys", f"[{table.name}]").stdout.splitlines()
    assert max(map(len, lines)) <= 80
    shown = [line.split()[0] for line in lines if line.startswith(f"{table.name}.")]
    assert sorted(shown) == sorted(key.name for key in table.keys)
    everyday = [name for name in shown if name in EVERYDAY]
    assert shown[: len(everyday)] == everyday


def test_a_key_by_its_name_stands_alone_with_its_default_and_source(coolsim):
    lines = [" ".join(line.split()) for line in coolsim("keys", "vessel.shock_limit").stdout.splitlines()]
    assert 'vessel.shock_limit temperature difference, "42 °C"; 5 °C to 500 °C' in lines
    assert "left out: 42 °C" in lines
    assert any("from memory" in line for line in lines)
    assert not any(line.startswith("vessel.wall") for line in lines)


def test_the_document_for_machines_holds_every_key(coolsim):
    keys = json.loads(coolsim("keys", "--json").stdout)["keys"]
    assert list(keys) == [key.name for table in key_tables() for key in table.keys]
    assert keys["room.temperature"] == {
        "value": 'temperature, `"21 °C"`; -20 °C to 60 °C',
        "default": "21 °C",
        "meaning": "Of the air and the walls of the room; jar, bench and box start at what it is at the pour.",
        "source": "",
        "everyday": True,
        "loosely_known": False,
    }
    assert keys["films.side_factor"]["loosely_known"] is True
    only = json.loads(coolsim("keys", "pour", "--json").stdout)["keys"]
    assert all(name.startswith("pour.") for name in only)


@pytest.mark.parametrize(
    ("name", "advice"),
    [
        ("latent_heat", "Did you mean 'wax.latent_heat'?"),
        ("vesel", "Did you mean 'vessel'?"),
        ("xyzzy", "Tables are vessel, wax, pour"),
    ],
)
def test_an_unknown_name_is_a_usage_error_that_helps(coolsim, name, advice):
    result = coolsim("keys", name)
    assert result.exit_code == 2
    assert f"a scenario has no table or key '{name}'. {advice}" in result.stderr
    assert result.stdout == ""
