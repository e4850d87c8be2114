"""Every command and option explains itself, with an example, and the README knows them all."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from typer.main import get_command

from coolsim.cli import app_for
from coolsim.cli.old_names import OLD_NAMES

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
GROUP = get_command(app_for())
COMMANDS = {name: GROUP.commands[name] for name in GROUP.commands}


def test_the_commands_are_those_that_were_asked_for():
    assert set(COMMANDS) >= {"new", "check", "run", "pour", "repair", "box", "day", "spread", "fit", "make", "sweep"}


def test_the_help_has_groups_of_twelve_commands_at_most_and_names_all_others_in_one_line(coolsim):
    text = coolsim("--help").stdout
    headings = ("A jar:", "A day:", "How sure:", "Pages:", "For the curious:")
    groups = re.findall(r"^(.*:)$\n((?:  .*\n)+)", text, re.MULTILINE)
    found = {heading: body for heading, body in groups if heading in headings}
    assert tuple(found) == headings
    curious = found.pop("For the curious:").partition(":")[0].strip().split(", ")
    listed = [line.split()[0] for body in found.values() for line in body.splitlines()]
    assert len(listed) <= 12
    assert [*listed, *curious] == list(COMMANDS)
    # All texts begin in one column, and every one is there whole.
    assert len({re.match(r"  \S+ +", line).end() for body in found.values() for line in body.splitlines()}) == 1
    assert "..." not in "".join(found.values())


@pytest.mark.parametrize("old", OLD_NAMES)
def test_an_old_name_goes_on_working_and_says_the_new_one(old, coolsim):
    new = OLD_NAMES[old]
    before, after = coolsim(old, "missing.toml"), coolsim(*new.split(), "missing.toml")
    assert (before.exit_code, before.stdout) == (after.exit_code, after.stdout) == (3, "")
    assert before.stderr == f"warning: `coolsim {old}` is called `coolsim {new}` now.\n{after.stderr}"
    assert old not in COMMANDS


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_a_text_and_an_example_that_calls_it(name):
    command = COMMANDS[name]
    assert len(command.help) > 30
    assert len(command.get_short_help_str(limit=45)) <= 45
    assert not command.get_short_help_str(limit=45).endswith("...")
    assert f"coolsim {name}" in command.epilog


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_has_a_text(name):
    for parameter in COMMANDS[name].params:
        # Arguments that may be repeated are explained in the text of the command.
        explained = parameter.help or (parameter.hidden and parameter.metavar in COMMANDS[name].help + "FILE.toml")
        assert explained, f"{name}: {parameter.name}"


@pytest.mark.parametrize("name", COMMANDS)
def test_the_readme_shows_every_command(name):
    assert f"coolsim {name}" in README


@pytest.mark.parametrize("name", ["", *COMMANDS])
def test_help_fits_a_terminal_of_80_columns(name, coolsim):
    result = coolsim(*name.split(), "--help")
    assert result.exit_code == 0
    assert "  Example" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_can_be_quiet(name):
    assert any("--quiet" in parameter.opts for parameter in COMMANDS[name].params)


def test_the_program_alone_shows_its_help(coolsim):
    result = coolsim()
    assert result.exit_code == 0
    assert result.stdout == coolsim("--help").stdout == coolsim("-h").stdout


def test_the_version_is_that_of_the_package(coolsim):
    import coolsim as package

    assert coolsim("--version").stdout == f"coolsim {package.__version__}\n"


HEAVY = ("numpy", "scipy", "matplotlib", "rich")


# Newer releases of typer read the arguments of a command with pydantic, so that one comes with its help.
@pytest.mark.parametrize(
    ("arguments", "heavy"),
    [(["--help"], (*HEAVY, "pydantic")), (["--version"], (*HEAVY, "pydantic")), (["run", "--help"], HEAVY)],
)
def test_help_imports_nothing_heavy(arguments, heavy):
    code = (
        "import sys; from coolsim.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "print(sorted({name.partition('.')[0] for name in sys.modules}), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=True)
    assert "'typer'" in done.stderr
    for name in heavy:
        assert f"'{name}'" not in done.stderr


def test_a_run_without_figures_leaves_matplotlib_alone(bare):
    code = (
        "import sys; from coolsim.cli import main\n"
        "try: main()\n"
        "except SystemExit as end: assert not end.code\n"
        "print('matplotlib' in sys.modules, 'numpy' in sys.modules, file=sys.stderr)"
    )
    command = [sys.executable, "-c", code, "run", str(bare), "--no-figures", "--quiet", "--csv", "bare.csv"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "False True"
