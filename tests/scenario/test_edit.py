"""Values are changed in the text of a scenario; all else stays as it was."""

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import scenario_from_data, starter_text
from coolsim.scenario.edit import edited_text
from coolsim.scenario.toml_file import parsed

CHANGES = {"pour.temperature": ("61.5 °C", "fitted"), "films.side_factor": (1.1, "fitted, ± 0.1")}


def changed(text):
    scenario = scenario_from_data(parsed(text, "jar.toml"), where="jar.toml")
    return edited_text(text, scenario, CHANGES)


def test_a_value_is_replaced_in_its_line_and_a_new_one_added():
    before = starter_text()
    after = changed(before)
    old, new = before.splitlines(), after.splitlines()
    moved = [line for line in old if line not in new]
    assert len(moved) == 1
    assert moved[0].startswith("temperature = ")
    (pour,) = [line for line in new if "61.5" in line]
    assert "fitted" in pour
    assert moved[0].split("#")[1].strip() in pour
    data = parsed(after, "jar.toml")
    assert data["films"]["side_factor"] == 1.1
    assert data["pour"]["temperature"] == "61.5 °C"


def test_line_ends_stay_as_they_are():
    after = changed(starter_text().replace("\n", "\r\n"))
    assert after.count("\n") == after.count("\r\n")


def test_a_table_in_one_line_is_left_to_its_author():
    text = starter_text()
    start = text.index("[pour]")
    end = text.index("# What the jar", start)
    inline = 'pour = { temperature = "63 °C", volume = "235 mL" }\n'
    with pytest.raises(ScenarioError, match=r"Write them by hand: pour\.temperature = "):
        changed(inline + text[:start] + text[end:])
