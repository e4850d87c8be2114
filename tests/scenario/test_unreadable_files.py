"""Each way in which a scenario file cannot be read is one clear ScenarioError."""

import os
from pathlib import Path

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import load_scenario, starter_text


def fault_of(path):
    with pytest.raises(ScenarioError) as caught:
        load_scenario(path)
    assert len(caught.value.faults) == 1
    return caught.value.faults[0]


def test_a_missing_file_suggests_its_neighbours(tmp_path):
    (tmp_path / "tumbler.toml").write_text(starter_text())
    path = tmp_path / "tumblr.toml"
    assert fault_of(path) == f"{path}: no such file. Did you mean '{tmp_path / 'tumbler.toml'}'?"


def test_a_missing_file_unlike_its_neighbours_lists_them(tmp_path):
    (tmp_path / "tumbler.toml").write_text(starter_text())
    path = tmp_path / "x"
    assert fault_of(path) == f"{path}: no such file. The folder has tumbler.toml."


def test_a_missing_file_in_an_empty_folder_points_to_the_starter(tmp_path):
    path = tmp_path / "jar.toml"
    assert fault_of(path) == f"{path}: no such file. Write a starter with `coolsim new NAME.toml`."


def test_a_missing_folder_is_named(tmp_path):
    path = tmp_path / "no" / "jar.toml"
    assert fault_of(path) == f"{path}: no such file. There is no folder '{tmp_path / 'no'}' either; check the path."


def test_a_directory_is_refused_and_its_scenarios_are_named(tmp_path):
    assert fault_of(tmp_path) == f"{tmp_path}: found a directory. Give a scenario file."
    (tmp_path / "a.toml").write_text("")
    assert fault_of(tmp_path).endswith("Give a scenario file. In it there is a.toml.")


def test_a_file_without_permission_says_so(tmp_path, monkeypatch):
    # Not by chmod: root, as which tests may run in a container, reads everything.
    def refuse(self, *args, **kwargs):
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "jar.toml"
    path.touch()
    monkeypatch.setattr(Path, "open", refuse)
    assert fault_of(path) == f"{path}: no permission to read it. Change its permissions."


@pytest.mark.parametrize(
    ("path", "reason"),
    [
        ("a\0b.toml", "embedded null"),
        pytest.param("x" * 5000, "File name too long", marks=pytest.mark.skipif(os.name == "nt", reason="POSIX text")),
    ],
)
def test_a_path_that_the_system_refuses_says_why(path, reason):
    assert f"cannot be read ({reason}" in fault_of(path)


@pytest.mark.parametrize("content", ["", "\n \n", "# only\n  # remarks\n", "\ufeff"])
def test_an_empty_file_points_to_the_starter(tmp_path, content):
    path = tmp_path / "jar.toml"
    path.write_text(content, encoding="utf-8")
    assert fault_of(path) == f"{path}: empty. Write a starter with `coolsim new NAME.toml` and edit it."


def test_a_file_that_is_not_utf8_names_the_byte(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_bytes('title = "Gl\u00e4schen"'.encode("latin-1"))
    assert fault_of(path) == f"{path}: not UTF-8 (byte 11 is 0xe4). Save it as UTF-8 in your editor."


def test_a_file_with_a_byte_order_mark_is_read(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_text("\ufeff" + starter_text(), encoding="utf-8")
    assert load_scenario(path).title == "A jar of mine"


def test_a_file_with_windows_line_ends_is_read(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_bytes(starter_text().replace("\n", "\r\n").encode())
    assert load_scenario(path).title == "A jar of mine"


def test_a_large_file_is_refused(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_text(starter_text() + "#" * 1_000_000)
    assert fault_of(path) == f"{path}: larger than 1 MB. That is no scenario; give a scenario file."


def test_a_value_with_unit_but_no_quotes_is_told_to_take_them(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_text('title = "Jar"\n[vessel]\nheight = 90 mm\n')
    fault = fault_of(path)
    assert fault.startswith(f"{path}: line 3, column 13: not TOML (")
    assert fault.endswith('). Values with units need quotes, as in height = "90 mm".')


@pytest.mark.parametrize("line", ["height = 3 1/2 in", "load = 8 %", "t = 65 °C", "d = 90mm", "t = [30 min, 1 h]"])
def test_every_kind_of_unquoted_value_is_told_to_take_quotes(tmp_path, line):
    path = tmp_path / "jar.toml"
    path.write_text(line, encoding="utf-8")
    assert "Values with units need quotes" in fault_of(path)


def test_another_toml_error_names_line_and_column_without_that_advice(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_text('title = "Jar"\n[vessel\n')
    fault = fault_of(path)
    assert fault.startswith(f"{path}: line 2, column 8: not TOML (")
    assert "quotes" not in fault


def test_a_repeated_key_is_a_toml_error(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_text('title = "a"\ntitle = "b"\n')
    assert "line 2" in fault_of(path)
    assert "overwrite" in fault_of(path)


def test_a_text_that_never_ends_is_a_toml_error(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_text('title = """Jar\n')
    assert "not TOML (" in fault_of(path)


def test_numbers_and_nesting_beyond_what_python_takes_are_no_scenario(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_text(f"units = {'9' * 5000}")
    assert fault_of(path) == f"{path}: not a scenario (a number with too many digits). Give a scenario file."
    path.write_text(f"units = {'[' * 100_000}")
    assert "not " in fault_of(path)


def test_a_pipe_or_a_device_is_refused_at_once(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", Path(os.devnull)):
        assert fault_of(path) == f"{path}: cannot be read (no ordinary file). Give a scenario file."


@pytest.mark.parametrize("deep", ["a" + ".a" * 100_000, "a . 'b' . \"c\"" + ".a" * 17])
@pytest.mark.parametrize("line", ["{} = 1", "[{}]", "[[{}]]", "a = {{ {} = 1 }}"])
def test_a_key_of_very_many_parts_is_no_scenario(tmp_path, deep, line):
    path = tmp_path / "jar.toml"
    path.write_text(line.format(deep))
    assert fault_of(path) == f"{path}: not a scenario (nested too deeply). Give a scenario file."


def test_twenty_faults_are_named_and_the_rest_is_counted(tmp_path):
    path = tmp_path / "jar.toml"
    path.write_text("\n".join(f"key{number} = 1" for number in range(52)) + "\n" + starter_text(), encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        load_scenario(path)
    assert len(caught.value.faults) == 21
    assert caught.value.faults[19].startswith(f"{path}: key19: unknown key.")
    assert caught.value.faults[20] == f"{path}: and 32 more faults."


def test_only_faults_that_are_named_are_looked_at(tmp_path, monkeypatch):
    looked = []
    monkeypatch.setattr("coolsim.scenario.file.nearest", lambda name, options: looked.append(name))
    path = tmp_path / "jar.toml"
    path.write_text("\n".join(f"key{number} = 1" for number in range(5000)))
    with pytest.raises(ScenarioError, match=r"and \d+ more faults\."):
        load_scenario(path)
    assert len(looked) <= 20
