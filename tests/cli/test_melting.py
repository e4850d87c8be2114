"""The command that tells how long the wax takes until the pour."""

import json
from itertools import pairwise

import pytest
from commands import SCENARIOS


def test_it_prints_the_times_with_cautions_and_draws_them(coolsim, bare, folder):
    done = coolsim(
        "day", "--only", "melting", bare, "--melt", "900 g", "--figures", "here", "--format", "svg", "--estimates"
    )
    assert done.exit_code == 0, done.stderr
    text = " ".join(done.stdout.split())
    for expected in (
        "900 g of wax in flakes",
        "All wax has melted",
        "Estimates:",
        "Never leave melting wax alone",
        "never over an open flame",
        "Never put out a wax fire with water",
        "flash points",
    ):
        assert expected in text
    assert done.stderr.startswith("wrote here/bare-melting.svg\n")
    drawing = (folder / "here" / "bare-melting.svg").read_text(encoding="utf-8")
    for part in ("melt", "water, then room", "melted"):
        assert f'id="{part}"' in drawing


def test_json_is_one_document_and_us_units_are_taken(coolsim, bare):
    found = json.loads(coolsim("day", "--only", "melting", bare, "--melt", "2 lb", "--no-figures", "--json").stdout)
    assert found["wax_kg"] == pytest.approx(0.90718474)
    assert found["all_melted_s"] < found["oil_at_s"] < found["stirred_s"] <= found["pour_s"]
    assert found["curves"]["melted"][-1] == 1.0
    text = coolsim("day", "--only", "melting", bare, "--melt", "2 lb", "--no-figures", "--units", "us").stdout
    assert "°F" in text
    assert "oz" in text


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["--melt", "10 kg"], 3, "melting"),
        (["--melt", "900 g", "--water", "45C"], 2, "it never melts"),
        (["--melt", "900"], 2, "(no unit)"),
        (["--melt", "900 g", "--no-figures", "--figures", "here"], 2, "contradicts --figures"),
        (["--melt", "900 g", "--figures", "missing/here"], 4, "there is no folder 'missing'"),
    ],
)
def test_bad_input_is_one_message_and_nothing_is_written(arguments, code, says, coolsim, bare, folder):
    result = coolsim("day", "--only", "melting", bare, *arguments)
    assert result.exit_code == code, result.stderr
    assert says in " ".join(result.stderr.split())
    assert [path.name for path in folder.iterdir()] == ["bare.toml"]


def test_melts_in_turn_stand_below_each_other(coolsim):
    twelve = SCENARIOS / "twelve-tumblers.toml"
    told = coolsim("day", "--only", "melting", twelve, "--no-figures").stdout
    assert told.startswith("Melting: Twelve tumblers in three melts, melt 1 of 3\n")
    found = json.loads(coolsim("day", "--only", "melting", twelve, "--no-figures", "--json").stdout)["melts"]
    assert [(one["first_jar"], one["last_jar"]) for one in found] == [(1, 4), (5, 8), (9, 12)]
    assert [one["water_C"] for one in found] == [40.0, 85.0, 85.0]
    for one, after in pairwise(found):
        # A quarter of an hour from a pour to the next melt.
        assert after["in_water_s"] == pytest.approx(one["pour_s"] + 900.0)
    rows = [line.split() for line in told.splitlines() if line[:4] in ("1   ", "2   ", "3   ")]
    assert [row[1:4] for row in rows] == [["1", "to", "4"], ["5", "to", "8"], ["9", "to", "12"]]
    # What an option puts into the pitcher is that one melt.
    alone = coolsim("day", "--only", "melting", twelve, "--melt", "700 g", "--no-figures").stdout
    assert "700 g of wax in flakes" in alone
    assert "In the water" not in alone
