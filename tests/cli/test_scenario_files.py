"""check and new."""

import json
import tomllib

import pytest

from coolsim.scenario import load_scenario


def test_check_says_what_it_understood(coolsim, boxed, folder):
    result = coolsim("check", "boxed.toml")
    assert result.exit_code == 0
    assert result.stdout.startswith("boxed.toml: fine\n")
    for expected in (
        "78 mm × 86 mm",
        "soft-vegetable with 8 % fragrance",
        "poured at 60 °C",
        "open box, neighbours on 2 sides, gap 12 mm",
    ):
        assert expected in " ".join(result.stdout.split())
    assert "shock limit" not in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert sorted(path.name for path in folder.iterdir()) == ["boxed.toml"]


def test_check_tells_what_the_softness_of_the_wax_means_and_which_key_changes_it(coolsim, bare):
    lines = [line.split("  ") for line in coolsim("check", "bare.toml").stdout.splitlines()]
    told = {parts[1]: [part.strip() for part in parts[2:] if part.strip()] for parts in lines if len(parts) > 3}
    # 1 - 0.02 - (stress / 3 MPa)^(1/4) of the wax is liquid there: by hand.
    assert told["Buoyancy: the melt circulates"] == ["96 %", "42.9 °C", "0.44 Pa melt.flows_above"]
    assert told["A dip of 1 mm: it levels"] == ["93.9 %", "42.2 °C", "8.68 Pa"]
    for what, key in (
        ("A fingertip on the top", "touch"),
        ("A leaning wick", "wick"),
        ("Being carried: it slops", "carry"),
    ):
        assert told[what] == ["84.5 %", "39.8 °C", f"1 kPa answers.{key}"]
    assert told["Suction: the top is drawn down"] == ["64 %", "35.3 °C", "40 kPa mush.suction"]
    own = '\n[mush]\nsuction = "50 kPa"\n[melt]\nflows_above = "80 %"\n[answers]\ntouch = "9 kPa"\n'
    bare.write_text(bare.read_text(encoding="utf-8") + own, encoding="utf-8")
    words = " ".join(coolsim("check", "bare.toml").stdout.split())
    assert "the melt circulates 80 % 38.8 °C as stated melt.flows_above" in words
    assert "A fingertip on the top 74.6 % 37.5 °C 9 kPa answers.touch" in words
    assert "the top is drawn down 69.4 % 36.5 °C 20 kPa mush.suction" in words


def test_check_for_machines_has_the_softness_in_si_units(coolsim, bare):
    (found,) = json.loads(coolsim("check", "bare.toml", "--json").stdout)["files"]
    suction = found["softness"][-1]
    assert (suction["stress_Pa"], suction["keys"]) == (4e4, ["mush.suction"])
    assert suction["liquid_above"] == pytest.approx(0.6402, abs=1e-4)


def test_check_names_all_faults_of_all_files_and_the_fine_ones_too(coolsim, bare, boxed):
    bare.write_text(bare.read_text().replace('"60 °C"', '"650 °C"').replace("diameter", "diamter"))
    result = coolsim("check", "bare.toml", "boxed.toml", "missing.toml")
    assert result.exit_code == 3
    assert result.stdout.startswith("boxed.toml: fine\n")
    assert "bare.toml: vessel.diamter: unknown key. Did you mean 'diameter'?" in result.stderr
    assert "bare.toml: pour.temperature: found '650 °C', give a value from 0 °C to 120 °C." in result.stderr
    assert "missing.toml: no such file." in result.stderr


def test_check_for_machines(coolsim, bare):
    bare.with_name("bad.toml").write_text("")
    result = coolsim("check", "bare.toml", "bad.toml", "--json")
    assert result.exit_code == 3
    fine, bad = json.loads(result.stdout)["files"]
    assert (fine["file"], fine["fine"], fine["faults"]) == ("bare.toml", True, [])
    assert (bad["file"], bad["fine"]) == ("bad.toml", False)
    assert bad["faults"][0].startswith("bad.toml: empty.")
    assert result.stderr == ""


def test_new_writes_a_scenario_that_checks_and_runs(coolsim, folder):
    assert coolsim("new", "jar.toml").exit_code == 0
    assert coolsim("check", "jar.toml").exit_code == 0
    assert coolsim("run", "jar.toml", "--no-figures").exit_code == 0
    # Every value has a comment or stands under one; a starter without comments is of no use.
    assert (folder / "jar.toml").read_text(encoding="utf-8").count("#") > 15


def test_new_and_check_say_what_the_jar_holds_and_warn_of_a_fill_near_the_brim(coolsim, folder):
    # 71 mm across inside and 78 mm high: pi * 35.5**2 * 78 / 1000 mL.
    brimful = "Full to the brim it holds 309 mL."
    written = coolsim("new", "jar.toml")
    checked = coolsim("check", "jar.toml")
    for told in (written.stderr, checked.stdout):
        assert brimful in " ".join(told.split())
        assert "below the brim" not in told
    near = coolsim("new", "near.toml", "--level", "75.5 mm")
    warning = "Note: the hot wax stands 2.5 mm below the brim, closer than 3 mm: it slops over. Pour less or take a"
    for told in (near.stderr, coolsim("check", "near.toml").stdout):
        assert warning in " ".join(told.split())
    assert "below the brim" not in coolsim("new", "just.toml", "--level", "75 mm").stderr
    assert "holds 10.4 fl oz" in " ".join(coolsim("check", "jar.toml", "--units", "us").stdout.split())


def test_names_of_the_trade_are_understood(coolsim, folder):
    assert coolsim("new", "tin.toml", "--wax", "soy", "--material", "tin").exit_code == 0
    text = (folder / "tin.toml").read_text(encoding="utf-8")
    assert 'kind = "soy"' in text
    assert 'material = "tin"' in text
    assert 'wall = "0.25 mm"' in text
    assert "tinned-steel; " in coolsim("check", "tin.toml").stdout
    assert "of soft-vegetable" in " ".join(coolsim("check", "tin.toml").stdout.split())
    assert coolsim("materials", "soy").stdout == coolsim("materials", "soft-vegetable").stdout
    assert "--wax: found 'soja', give one of soft-vegetable" in coolsim("new", "no.toml", "--wax", "soja").stderr


OPTIONS = {
    "title": ("Mine", "title"),
    "diameter": ("3 in", "vessel.diameter"),
    "height": ("3 1/2 in", "vessel.height"),
    "wall": ("4 mm", "vessel.wall"),
    "base": ("9 mm", "vessel.base"),
    "material": ("tinned-steel", "vessel.material"),
    "wax": ("paraffin", "wax.kind"),
    "fragrance-load": ("5 %", "wax.fragrance_load"),
    "pour": ("170 F", "pour.temperature"),
    "mass": ("180 g", "pour.mass"),
    "support": ("granite", "support.material"),
    "thickness": ("20 mm", "support.thickness"),
    "gap": ("10 mm", "surround.gap"),
    "headroom": ("20 mm", "surround.headroom"),
    "flute": ("E", "surround.flute"),
    "flaps": ("open", "surround.flaps"),
    "room": ("68 F", "room.temperature"),
    "units": ("us", "units"),
}
OF_MANY = {
    "rows": ("2", "places.rows"),
    "columns": ("3", "places.columns"),
    "spacing": ("9 mm", "places.spacing"),
    "gap": ("10 mm", "places.to_wall"),
}


@pytest.mark.parametrize("options", [OPTIONS, OPTIONS | OF_MANY], ids=["one jar", "many in a box"])
def test_every_option_of_new_is_a_value_of_the_file(options, coolsim, folder):
    arguments = [part for name, (value, _) in options.items() for part in (f"--{name}", value)]
    assert coolsim("new", "jar.toml", "--box", *arguments).exit_code == 0
    data = tomllib.loads((folder / "jar.toml").read_text(encoding="utf-8"))
    for value, key in options.values():
        *table, name = key.split(".")
        assert str((data[table[0]] if table else data)[name]) == value, key


def test_this_test_knows_every_option_of_new():
    from typer.main import get_command

    from coolsim.cli import app_for

    known = {name.replace("-", "_") for name in OPTIONS | OF_MANY} | {
        "file",
        "box",
        "force",
        "quiet",
        "level",
        "volume",
    }
    # typer lists --help itself only in some releases.
    assert {parameter.name for parameter in get_command(app_for()).commands["new"].params} - {"help"} == known


@pytest.mark.parametrize(("option", "amount"), [("--level", "50 mm"), ("--volume", "200 mL")])
def test_new_takes_the_fill_as_level_or_volume(option, amount, coolsim, folder):
    assert coolsim("new", "jar.toml", option, amount).exit_code == 0
    assert tomllib.loads((folder / "jar.toml").read_text("utf-8"))["pour"][option[2:]] == amount


def test_new_does_not_replace_a_file_unless_forced(coolsim, folder):
    jar = folder / "jar.toml"
    jar.write_text("mine")
    result = coolsim("new", "jar.toml")
    assert result.exit_code == 4
    assert "jar.toml: exists already" in result.stderr
    assert "--force" in result.stderr
    assert jar.read_text() == "mine"
    assert coolsim("new", "jar.toml", "--force").exit_code == 0
    assert load_scenario(jar).title


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["jar.txt"], 2, "ends in .toml"),
        (["jar.toml", "--level", "5 cm", "--mass", "90 g"], 2, "give one of --level, --volume and --mass"),
        (["jar.toml", "--diameter", "78"], 2, "--diameter: found"),
        (["jar.toml", "--wax", "soft-vegtable"], 2, "--wax: found"),
        (["jar.toml", "--level", "90 mm"], 2, "--level: found a fill 90 mm deep"),
        (["jar.toml", "--flaps", "ajar"], 2, "closed"),
        (["nowhere/jar.toml"], 4, "there is no folder 'nowhere'"),
    ],
)
def test_new_refuses_what_makes_no_scenario_and_writes_nothing(arguments, code, says, coolsim, folder):
    result = coolsim("new", *arguments)
    assert result.exit_code == code
    assert says in result.stderr
    assert list(folder.iterdir()) == []
