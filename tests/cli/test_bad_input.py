"""Whatever is wrong with a file: one clear message with its place, exit code 3, nothing written."""

import pytest

# What is replaced in tumbler-boxed.toml, by what; key that is blamed; part of the message.
FAULTS = {
    "misspelt key": ("diameter =", "diamter =", "vessel.diamter", "Did you mean 'diameter'?"),
    "unknown key": ("[room]", "[room]\nbreadth = 3", "room.breadth", "unknown key"),
    "missing key": ('diameter = "78 mm"', "", "vessel.diameter", "missing. Give a length such as '78 mm'"),
    "missing table": ('[pour]\ntemperature = "60 °C"', '[pour]\nheat = "60 °C"', "pour.temperature", "missing"),
    "wrong unit": ('"78 mm"', '"78 °C"', "vessel.diameter", "°C"),
    "missing unit": ('"78 mm"', "78", "vessel.diameter", "without a unit"),
    "negative": ('"78 mm"', '"-78 mm"', "vessel.diameter", "give a value from 20 mm"),
    "not a number": ("0.90 ", "nan ", "vessel.emissivity", "found nan"),
    "infinite": ('"78 mm"', '"inf mm"', "vessel.diameter", "inf"),
    "wax too thick to pour": ('"60 °C"', '"30 °C"', "pour.temperature", "more than still pours (pour.thickest, 10 %)"),
    "fill above the rim": ('volume = "235 mL"', 'level = "80 mm"', "pour.level", "brim"),
    "gap smaller than zero": ('gap = "12 mm"', 'gap = "-2 mm"', "surround.gap", "1 mm"),
    "freezing table not monotone": (
        'kind = "soft-vegetable"',
        'kind = "soft-vegetable"\nfreezing = [["30 °C", "0 %"], ["40 °C", "90 %"], ["44 °C", "80 %"]]',
        "wax.freezing",
        "monotone",
    ),
    "jar that does not fit the box": ('gap = "12 mm"', 'box_width = "60 mm"', "surround.box_width", "box"),
}


@pytest.mark.parametrize("command", ["check", "run"])
@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_in_a_scenario(name, command, coolsim, boxed, folder):
    old, new, key, says = FAULTS[name]
    text = boxed.read_text(encoding="utf-8")
    assert old in text
    boxed.write_text(text.replace(old, new, 1), encoding="utf-8")
    result = coolsim(command, "boxed.toml")
    assert result.exit_code == 3
    assert result.stdout == ""
    assert f"boxed.toml: {key}: " in result.stderr
    assert says in result.stderr
    assert "Traceback" not in result.stderr
    # One message: two lines at most, where a misspelt key also leaves the right one missing.
    assert len(result.stderr.splitlines()) <= 2
    assert [path.name for path in folder.iterdir()] == ["boxed.toml"]


def test_all_faults_of_all_files_come_at_once(coolsim, bare, boxed):
    bare.write_text(bare.read_text().replace('"60 °C"', "65").replace('"78 mm"', '"78 g"'))
    boxed.write_text(boxed.read_text().replace('gap = "12 mm"', ""))
    result = coolsim("run", "bare.toml", "boxed.toml")
    assert result.exit_code == 3
    lines = result.stderr.splitlines()
    assert len(lines) == 3
    for place in ("bare.toml: pour.temperature:", "bare.toml: vessel.diameter:", "boxed.toml: surround"):
        assert any(place in line for line in lines), place


UNREADABLE = {
    "empty": (b"", "empty. Write a starter"),
    "only comments": (b"# nothing\n", "empty. Write a starter"),
    "not TOML": (b"title = \n", "line 1, column 9: not TOML"),
    "value without quotes": (b"height = 90 mm\n", 'Values with units need quotes, as in height = "90 mm".'),
    "not UTF-8": ("title = 'jár'\n".encode("latin-1"), "not UTF-8"),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_a_file_that_is_no_scenario(name, coolsim, folder):
    content, says = UNREADABLE[name]
    (folder / "jar.toml").write_bytes(content)
    result = coolsim("run", "jar.toml")
    assert result.exit_code == 3
    assert result.stderr.startswith("error: jar.toml: ")
    assert says in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert [path.name for path in folder.iterdir()] == ["jar.toml"]


def test_a_directory(coolsim, folder, bare):
    result = coolsim("run", folder)
    assert result.exit_code == 3
    assert "found a directory" in result.stderr
    assert "bare.toml" in result.stderr


def test_a_misspelt_file_name_gets_a_suggestion(coolsim, bare):
    result = coolsim("run", "bair.toml")
    assert result.exit_code == 3
    assert result.stderr == "error: bair.toml: no such file. Did you mean 'bare.toml'?\n"


def test_no_permission(coolsim, bare, monkeypatch):
    # Root may read everything, so the refusal is played.
    def refused(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("coolsim.scenario.toml_file._content", refused)
    result = coolsim("run", bare)
    assert result.exit_code == 3
    assert "no permission to read it" in result.stderr


@pytest.mark.parametrize(
    ("content", "says"),
    [(b"", "no saved result"), (b"PK\x03\x04 half a file", "no saved result"), (None, "no such file")],
)
def test_a_file_that_is_no_saved_result(content, says, coolsim, folder):
    if content is not None:
        (folder / "jar.npz").write_bytes(content)
    result = coolsim("run", "jar.npz")
    assert result.exit_code == 3
    assert says in result.stderr
    assert not (folder / "coolsim-figures").exists()
