"""The table of DEVELOPERS.md of what ends with which exit code, played."""

import re
import shlex

import pytest
import readme
from commands import SCENARIOS, names
from typer.main import get_command

from coolsim.cli import app_for

_TABLE = readme.DEVELOPERS.read_text(encoding="utf-8").partition("| `coolsim` | 2:")[2].partition("\n\n")[0]
_ROWS = re.findall(r"^\| `([\w -]+)` \|(.*)\|(.*)\|(.*)\|$", _TABLE, re.MULTILINE)
EXAMPLES = [
    (name, cell.strip().strip("`"), code)
    for name, *cells in _ROWS
    for code, cell in enumerate(cells, start=2)
    if cell.strip()
]


def test_the_table_knows_every_command():
    assert {name.split()[0] for name, *_ in _ROWS} == set(get_command(app_for()).commands)
    assert len(EXAMPLES) > 50


@pytest.mark.parametrize(("name", "arguments", "code"), EXAMPLES)
def test_an_example_ends_with_its_code(name, arguments, code, coolsim, bare, folder, monkeypatch):
    def run(*_, **__):
        raise AssertionError("the simulation ran")

    for where in ("simulate.simulate", "together.simulate_box"):
        monkeypatch.setattr(f"coolsim.solve.{where}", run)
    bare.rename(folder / "jar.toml")
    (folder / "six.toml").write_text((SCENARIOS / "box-2x3.toml").read_text(encoding="utf-8"), encoding="utf-8")
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    result = coolsim(*name.split(), *shlex.split(arguments))
    assert result.exit_code == code, result.stderr
    assert result.stdout == ""
    assert result.stderr.startswith("error: ")
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    if code == 2:
        # It names an option or an argument, never a key of a file or the starter.
        assert re.match(r"error: (--[a-z-]+|[A-Z.]+|[A-Z]+\.toml): ", result.stderr), result.stderr
    if code == 3:
        assert result.stderr.startswith(("error: jarr.toml: ", "error: jar.toml: "))
    assert names(folder) == ["jar.toml", "six.toml"]
