"""`coolsim batch` as a user meets it."""

import json

import pytest
from commands import SCENARIOS

FILE = SCENARIOS / "six-tumblers.toml"


def cell(text, label):
    """The value of the first row with a label."""
    rows = [line for line in text.splitlines() if line.startswith(f"  {label} ")]
    return rows[0].removeprefix(f"  {label}").strip()


def test_it_prints_what_to_weigh(coolsim):
    result = coolsim("day", "--only", "amounts", FILE, "--estimates")
    assert result.exit_code == 0
    assert "To weigh for 6 jars" in result.stdout
    # 6 x 215 mL x 883.4 kg/m3 + 15 g = 1154.6 g; 8 % of it is oil.
    assert cell(result.stdout, "Together") == "1155 g"
    assert cell(result.stdout, "Fragrance oil") == "92 g"
    assert cell(result.stdout, "Allowed in the mix") == "4.0 % to 10.0 %"
    assert max(map(len, result.stdout.splitlines())) <= 80
    for expected in (
        "93 °C as the flash point of the oil",
        "invented",
        "hot wax burns",
        "common practice without a source",
        "data sheets",
    ):
        assert expected in " ".join(result.stdout.split())


def test_options_take_the_place_of_keys(coolsim):
    result = coolsim(
        "day", "--only", "amounts", SCENARIOS / "tumbler-bare.toml", "--jars", 5, "--melt", "2 lb", "--units", "us"
    )
    assert result.exit_code == 0
    assert "A melt of 2 lb of wax" in result.stdout
    # 907.2 g make 986.1 g of mix; less 10 g that is 4.72 jars of 206.8 g.
    assert cell(result.stdout, "Fills") == "4 jars"
    # The fifth wants another melt; they are parted as evenly as they go.
    assert "In 2 melts, each with what stays in the pitcher" in result.stdout
    assert [line.split("jar")[1][:6] for line in result.stdout.splitlines() if line.startswith("  Melt ")] == [
        "s 1 to", "s 4 to",
    ]  # fmt: skip


def test_json_is_in_si_units(coolsim):
    data = json.loads(coolsim("day", "--only", "amounts", FILE, "--melt", "900 g", "--json").stdout)
    # 1 g: by hand, rounded.
    # In two melts, each with 15 g that stay behind.
    assert data["mix_kg"] == pytest.approx(1.1696, abs=1e-3)
    assert [(one["first"], one["last"]) for one in data["melts"]] == [(1, 3), (4, 6)]
    assert (data["wicks"], data["cost"]) == (6, None)
    assert data["wick_m"] == pytest.approx(0.098)
    assert data["oil_in_mix_allowed"] == [0.04, 0.1]
    assert data["melt"]["jars"] == 5
    assert data["invented"] is True
    assert "Hot wax" in data["caution"]


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (["six-tumblers.toml", "--jars", "0"], 2, "--jars: found 0"),
        (["six-tumblers.toml", "--melt", "5"], 2, "--melt: found '5' (no unit)"),
        (["six-tumblers.toml", "--jars", "many"], 2, "--jars: give a whole number."),
    ],
)
def test_bad_input_is_one_message(coolsim, arguments, code, message):
    name, *options = arguments
    result = coolsim("day", "--only", "amounts", SCENARIOS / name, *options)
    assert result.exit_code == code
    assert result.stdout == ""
    assert message in result.stderr
    # Faults of usage also point to the help.
    assert len(result.stderr.strip().splitlines()) == 2


def test_melts_wicks_and_cost_of_twelve(coolsim):
    twelve = SCENARIOS / "twelve-tumblers.toml"
    told = coolsim("day", "--only", "amounts", twelve).stdout
    assert "In 3 melts, each with what stays in the pitcher" in told
    assert cell(told, "Wicks with tabs, and holders") == "12"
    assert cell(told, "Length of a wick to cut") == "98 mm"
    data = json.loads(coolsim("day", "--only", "amounts", twelve, "--json").stdout)
    cost = data["cost"]
    # By the prices of the file; lids have none there.
    by_hand = 9.5 * data["wax_kg"] + 85.0 * data["oil_kg"] + 12 * (1.20 + 0.15 + 0.20)
    assert cost["batch"] == pytest.approx(by_hand, rel=1e-9)
    assert cell(told, "Of the batch") == f"{by_hand:.2f} EUR"
    assert cell(told, "Of a jar") == f"{by_hand / 12:.2f} EUR"
    assert "Without lids, which have no price, and without work and" in told
    assert (cost["currency"], cost["left_out"]) == ("EUR", ["lids"])
