"""`coolsim sheet` and `coolsim label` as a user meets them."""

import json

import pytest
from commands import SCENARIOS, names

pytestmark = pytest.mark.usefixtures("few_cases")


def test_the_sheet_is_one_pdf(coolsim, bare, folder):
    result = coolsim("make", "sheet", bare, "--jars", 4)
    assert result.exit_code == 0
    assert result.stdout == ""
    assert result.stderr == "wrote bare-sheet.pdf\n"
    content = (folder / "bare-sheet.pdf").read_bytes()
    assert content.startswith(b"%PDF")
    assert content.count(b"/Type /Page\n") + content.count(b"/Type /Page ") == 1


def test_warnings_are_told_on_the_screen_too(coolsim, bare):
    bare.write_text(bare.read_text(encoding="utf-8") + '\n[batch]\njars = 9\nlowest_load = "9 %"\n', encoding="utf-8")
    told = " ".join(coolsim("make", "sheet", bare, "--output", "s.pdf", "--paper", "letter").stdout.split())
    assert "Warning: 8 % of oil in the mix is less than the lowest load, 9 % (batch.lowest_load)." in told


def test_the_label_is_printed_and_its_notes_stay_off_the_file(coolsim, bare, folder):
    result = coolsim("make", "label", bare, "--output", "label.txt")
    assert result.exit_code == 0
    assert result.stderr == "wrote label.txt\n"
    text = (folder / "label.txt").read_text(encoding="utf-8")
    assert result.stdout.startswith(text.rstrip("\n"))
    assert "Net weight 207 g" in text
    rest = " ".join(result.stdout.removeprefix(text.rstrip("\n")).split())
    for expected in ("Not on the label", "EN 15494", "ASTM F2058", "claims no compliance", "invented"):
        assert expected in rest
        assert expected not in text
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_the_label_as_json(coolsim, bare):
    data = json.loads(coolsim("make", "label", bare, "--json").stdout)
    assert data["net_weight"] == "207 g (7.3 oz)"
    assert data["invented"] is True
    assert [one["number"] for one in data["standards"]] == ["ASTM F2058", "ASTM F2417", "EN 15494", "EN 15493"]


@pytest.mark.parametrize("command", ["sheet", "label"])
@pytest.mark.parametrize(
    ("change", "message"),
    [
        (('kind = "soft-vegetable"', 'kind = "water"'), "wax.kind: found 'water', which never sets"),
        (('fragrance_load = "8 %"', 'fragrance_load = "12 %"'), "above the highest load"),
        (("[pour]", '[plan]\nstart = "9:00"\n[pour]\nclock = "8:00"'), "the clock would run backwards"),
    ],
)
def test_a_scenario_that_cannot_be_is_refused_before_the_run(coolsim, bare, folder, command, change, message):
    text = bare.read_text(encoding="utf-8")
    assert change[0] in text
    bare.write_text(text.replace(*change), encoding="utf-8")
    result = coolsim("make", command, bare)
    assert result.exit_code == 3
    assert result.stdout == ""
    assert message in result.stderr
    assert names(folder) == ["bare.toml"]


def test_a_box_of_jars_has_a_label(coolsim):
    assert coolsim("make", "label", SCENARIOS / "box-2x3.toml").exit_code == 0


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (["make", "sheet", "bare.toml", "--output", "sheet.png"], 2, "ends in .pdf"),
        (["make", "sheet", "bare.toml", "--output", "no/sheet.pdf"], 4, "there is no folder 'no'"),
        (["make", "sheet", "bare.toml", "--workers", "0"], 2, "--workers: found 0; give 1 to 61."),
        (["make", "sheet", "bare.toml", "--jars", "0"], 2, "--jars: found 0"),
        (["make", "label", "bare.toml", "--output", "no/label.txt"], 4, "there is no folder 'no'"),
    ],
)
def test_a_slip_gets_one_message_and_writes_nothing(coolsim, bare, folder, arguments, code, message):
    result = coolsim(*arguments)
    assert result.exit_code == code
    assert message in result.stderr
    assert names(folder) == ["bare.toml"]
