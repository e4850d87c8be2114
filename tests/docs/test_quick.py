"""The quick tests, `pytest -m quick tests`, look at every floor."""

import ast
from pathlib import Path

import pytest

import coolsim

TESTS = Path(__file__).parents[1]


@pytest.fixture
def marked(request):
    """The files that the quick tests of tests/conftest.py are in."""
    (conftest,) = (
        plugin
        for plugin in request.config.pluginmanager.get_plugins()
        if getattr(plugin, "__file__", None) == str(TESTS / "conftest.py")
    )
    found = {name: sorted(TESTS.glob(f"{name}*.py" if name.endswith(("/", "_")) else name)) for name in conftest.QUICK}
    assert [name for name, files in found.items() if not files] == []
    return [file for files in found.values() for file in files]


def imported(file):
    """The names of modules that a file imports."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
        elif isinstance(node, ast.Import):
            yield from (name.name for name in node.names)


def test_the_quick_tests_look_at_every_floor(marked):
    package = Path(coolsim.__file__).parent
    floors = {path.stem for path in package.iterdir() if path.suffix in ("", ".py") and not path.name.startswith("_")}
    assert {"model", "cli", "units"} < floors
    used = {name.split(".")[1] for file in marked for name in imported(file) if name.startswith("coolsim.")}
    assert floors - used == set()
