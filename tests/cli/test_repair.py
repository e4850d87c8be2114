"""`coolsim repair` as a user meets it."""

import json
import re

import pytest
from commands import names


def cell(text, label):
    """The value of the first row with a label."""
    rows = [line for line in text.splitlines() if line.startswith(f"  {label} ")]
    return rows[0].removeprefix(f"  {label}").strip()


def test_it_says_how_long_and_draws_it(coolsim, bare, folder):
    result = coolsim("repair", bare, "--estimates")
    assert result.exit_code == 0
    words = " ".join(result.stdout.split())
    (seconds,) = re.findall(r"Blow for (\d+) s to level the dish: the top is then melted", words)
    # Common practice, no source: well under a minute for a shallow dish.
    assert 20 < int(seconds) < 60
    assert cell(result.stdout, "Levels the dish") == f"{seconds} s"
    assert re.search(r"It is a pit at the wick, \d\.\d mm \(\S+ to \S+\) Dish: half-way in below the rim", words)
    assert cell(result.stdout, "Film on the wax") == "80 W/m2K"
    assert max(map(len, result.stdout.splitlines())) <= 80
    for expected in ("keep it moving, keep it off cardboard", "below their flash points", "data sheets", "invented"):
        assert expected in words
    assert "wrote coolsim-figures/bare-repair.png" in result.stderr
    assert names(folder / "coolsim-figures") == ["bare-repair.png"]


def test_a_saved_result_gives_the_same_answer_without_running(coolsim, bare, monkeypatch):
    straight = coolsim("repair", bare, "--no-figures")
    assert coolsim("run", bare, "--no-figures", "--save", "bare.npz").exit_code == 0
    monkeypatch.setattr("coolsim.solve.simulate.simulate", lambda *_, **__: pytest.fail("it ran again"))
    saved = coolsim("repair", "bare.npz", "--no-figures")
    assert saved.exit_code == 0
    assert saved.stdout == straight.stdout


def test_options_take_the_place_of_keys(coolsim, bare, folder):
    result = coolsim("repair", bare, "--air", "300 F", "--film", "100 W/m2K", "--units", "us", "--figures", "slides")
    assert result.exit_code == 0
    assert cell(result.stdout, "At the wax") == "300 °F"
    assert cell(result.stdout, "Film on the wax") == "100 W/m2K"
    assert names(folder / "slides") == ["bare-repair.png"]


def test_json_is_in_si_units(coolsim, bare):
    data = json.loads(coolsim("repair", bare, "--no-figures", "--json").stdout)
    assert data["hot_air"]["air_C"] == 200.0
    assert data["needed_s"] == data["levels_after_s"]
    assert data["opens_after_s"] is None
    assert data["goals"] == ["level"]
    low, high = data["before"]["depth_band_m"]
    assert low < data["before"]["depth_m"] < high
    assert data["invented"] is True
    assert "Hot wax" in data["caution"]


def test_air_above_the_flash_point_is_answered_with_cooler_air(coolsim, bare):
    bare.write_text(bare.read_text(encoding="utf-8") + '\n[batch]\nflash_point = "80 °C"\n', encoding="utf-8")
    result = coolsim("repair", bare, "--no-figures")
    assert result.exit_code == 0
    assert "Not with this air: after" in result.stdout
    data = json.loads(coolsim("repair", bare, "--no-figures", "--json").stdout)
    assert data["needed_s"] is None
    assert data["cooler_air"]["air_C"] < 200.0


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (["bare.toml", "--air", "45 C"], 2, "--air: found 45 °C, which never melts a wax"),
        (["bare.toml", "--film", "80"], 2, "--film: found '80' (no unit)"),
        (["bare.toml", "--no-figures", "--figures", "x"], 2, "it contradicts --figures; leave one out."),
        (["bar.toml"], 3, "bar.toml: no such file. Did you mean 'bare.toml'?"),
        (["bare.npz"], 3, "bare.npz: no such file."),
        (["bare.toml", "--figures", "no/folder"], 4, "there is no folder 'no'. Create it first."),
    ],
)
def test_bad_input_is_one_message(coolsim, bare, arguments, code, message):
    result = coolsim("repair", *arguments)
    assert result.exit_code == code
    assert result.stdout == ""
    assert message in result.stderr


def test_a_result_of_several_runs_is_refused(coolsim, bare, boxed):
    assert coolsim("run", bare, boxed, "--no-figures", "--save", "pair.npz").exit_code == 0
    result = coolsim("repair", "pair.npz")
    assert result.exit_code == 2
    assert "found 2 runs in 'pair.npz'; give a result of one run." in result.stderr


def test_a_jar_that_is_not_set_is_refused(coolsim, bare):
    bare.write_text(bare.read_text(encoding="utf-8") + 'horizon = "1 h"\n', encoding="utf-8")
    result = coolsim("repair", bare)
    assert result.exit_code == 3
    assert "bare.toml: not set: when the run ended, 1:00 h after the pour" in result.stderr
