"""The numerical error in `--json` and, on request, in the table."""

import json


def test_json_holds_the_error_of_every_answer_and_a_table_only_on_request(coolsim, bare):
    found = json.loads(coolsim("run", bare, "--no-figures", "--json").stdout)["runs"][0]
    error = found["numerical_error"]["fully_set_s"]
    assert error["value"] == found["fully_set_s"]
    assert 0.0 < error["uncertainty"] < 0.05 * error["value"]
    assert error["order"] == 2.0
    assert "safety factor 3" in error["basis"]
    assert "Numerical uncertainty" not in coolsim("run", bare, "--no-figures").stdout
    asked = coolsim("run", bare, "--no-figures", "--error").stdout
    minutes = found["fully_set_s"] / 60
    assert f"{minutes:.0f}" in asked.split("Numerical uncertainty")[1]
    assert "±" in asked
    assert max(map(len, asked.splitlines())) <= 80
