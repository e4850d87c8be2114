"""The scripts of completion: what a shell offers when they are read, and where --install keeps them."""

import shutil
import subprocess

import pytest
from typer.main import get_command

from coolsim.cli import app_for
from coolsim.cli.completion_scripts import script
from coolsim.cli.options import Figure
from coolsim.model.materials import wax_names

GROUP = get_command(app_for())
SHELLS = ("bash", "zsh", "fish")

# As bash calls it, which parts words at equals signs; `compopt` complains where no key was pressed.
IN_BASH = """
source "$1"
read -ra COMP_WORDS <<< "${2//=/ = }"
[[ $2 == *" " ]] && COMP_WORDS+=("")
COMP_CWORD=$(( ${#COMP_WORDS[@]} - 1 ))
_coolsim 2> /dev/null
printf '%s\\n' "${COMPREPLY[@]}"
"""


def in_bash(file, line):
    return ["bash", "--norc", "-c", IN_BASH, "_", str(file), line]


def in_fish(file, line):
    return ["fish", "--no-config", "-c", "source $argv[1]; complete -C $argv[2]", str(file), line]


OFFER = {"bash": in_bash, "fish": in_fish}


@pytest.fixture(params=OFFER)
def offered(request, folder):
    """What a shell offers for a line, in a folder with some files."""
    if shutil.which(request.param) is None:
        pytest.skip(f"needs {request.param}")
    file = folder / "script"
    file.write_text(script(request.param, GROUP), encoding="utf-8")
    for name in ("my jar.toml", "kept.npz", "notes.txt"):
        (folder / name).touch()
    (folder / "charts").mkdir()

    def ask(line):
        done = subprocess.run(OFFER[request.param](file, line), capture_output=True, text=True, check=True)
        return {one.partition("\t")[0].rstrip("/") for one in done.stdout.splitlines()}

    ask.shell = request.param
    return ask


@pytest.mark.parametrize("shell", SHELLS)
def test_every_command_option_and_figure_stands_in_every_script(shell):
    text = script(shell, GROUP)
    for name in GROUP.commands:
        command = GROUP.commands[name]
        assert name in text
        for parameter in command.params:
            for option in (*parameter.opts, *parameter.secondary_opts):
                if option.startswith("--"):
                    assert (f"-l {option[2:]} " if shell == "fish" else option) in text, f"{name} {option}"
    for figure in Figure:
        assert figure in text


@pytest.mark.parametrize("shell", SHELLS)
def test_the_shell_can_read_its_script(shell, folder):
    if shutil.which(shell) is None:
        pytest.skip(f"needs {shell}")
    (folder / "script").write_text(script(shell, GROUP), encoding="utf-8")
    done = subprocess.run([shell, "-n", "script"], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_commands_options_and_their_words_are_offered(offered):
    assert offered("coolsim ") == set(GROUP.commands)
    assert offered("coolsim re") == {"repair"}
    assert offered("coolsim run jar.toml --on") == {"--only"}
    assert offered("coolsim run jar.toml --only ") == set(Figure)
    # fish replaces the whole word.
    joined = {one.removeprefix("--only=") for one in offered("coolsim run jar.toml --only=top")}
    assert joined == {"tops", "top-profiles"}
    assert offered("coolsim new jar.toml --wax ") == set(wax_names())
    room = {"temperature", "air_speed", "course", "lowest", "coldest"}
    assert offered("coolsim sweep jar.toml --over room.") == {f"room.{name}=" for name in room}
    assert "oak" in offered("coolsim materials ")
    # A value that only the user knows.
    assert offered("coolsim new jar.toml --diameter ") & {"oak", "repair", "--wax"} == set()


def test_files_of_the_right_kind_are_offered(offered):
    assert {"my jar.toml", "charts"} <= offered("coolsim run ")
    # fish offers the right ones first, and the others too.
    assert offered.shell == "fish" or "notes.txt" not in offered("coolsim check ")
    assert "kept.npz" in offered("coolsim run k")
    assert {"sheet", "my jar.toml"} & offered("coolsim make ") == {"sheet"}
    assert {"sheet", "my jar.toml"} & offered("coolsim make sheet ") == {"my jar.toml"}
    assert offered("coolsim run jar.toml --figures ") == {"charts"}


@pytest.fixture
def home(folder, monkeypatch):
    monkeypatch.setenv("HOME", str(folder))
    for variable in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "ZDOTDIR"):
        monkeypatch.delenv(variable, raising=False)
    return folder


@pytest.mark.parametrize(
    ("shell", "kept", "start_up"),
    [
        ("bash", ".local/share/coolsim/completion.bash", ".bashrc"),
        ("zsh", ".local/share/coolsim/completion.zsh", ".zshrc"),
        ("fish", ".config/fish/completions/coolsim.fish", None),
    ],
)
def test_installing_keeps_the_script_and_adds_one_line_once(shell, kept, start_up, coolsim, home):
    if start_up:
        (home / start_up).write_text("alias mine=yours")
    for _ in range(2):
        result = coolsim("completion", shell, "--install")
        assert result.exit_code == 0
        assert result.stdout == ""
    assert (home / kept).read_text(encoding="utf-8") == coolsim("completion", shell).stdout
    # The second time only the script is written.
    assert result.stderr == f"wrote {home / kept}\n"
    if start_up:
        assert (home / start_up).read_text() == f"alias mine=yours\n. {home / kept}\n"


def test_a_bash_that_starts_after_installing_completes(coolsim, home):
    assert coolsim("completion", "bash", "--install").exit_code == 0
    done = subprocess.run(
        ["bash", "--rcfile", ".bashrc", "-i", "-c", "complete -p coolsim"], capture_output=True, text=True, check=False
    )
    assert done.stdout == "complete -F _coolsim coolsim\n"


def test_a_line_that_cannot_be_added_is_told_to_be_added_by_hand(coolsim, home):
    (home / ".bashrc").mkdir()
    result = coolsim("completion", "bash", "--install")
    assert result.exit_code == 4
    assert f"Add the line `. {home}/.local/share/coolsim/completion.bash` to it." in result.stderr


@pytest.mark.parametrize(("value", "found"), [("/bin/tcsh", "your shell is 'tcsh'"), ("", "SHELL is not set")])
def test_a_shell_left_out_is_that_of_the_user_or_asked_for(value, found, coolsim, home, monkeypatch):
    monkeypatch.setenv("SHELL", "/usr/local/bin/fish")
    assert "complete -c coolsim" in coolsim("completion").stdout
    monkeypatch.setenv("SHELL", value)
    result = coolsim("completion")
    assert result.exit_code == 2
    assert f"SHELL: {found}; give one of bash, zsh, fish." in result.stderr
