"""The command that writes scripts with which a shell completes what is typed.

The scripts hold all words, so that a press of the key starts no program. They are made from the commands themselves:
a command or an option that is added is in them without more work.
"""

from __future__ import annotations

import os
import shlex
from enum import StrEnum
from pathlib import Path
from typing import Annotated, cast

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.edge import CommandGroup
from coolsim.cli.screen import say
from coolsim.cli.targets import claim, to_file
from coolsim.errors import OutputError


class Shell(StrEnum):
    """Shells for which there is a script."""

    BASH = "bash"
    ZSH = "zsh"
    FISH = "fish"


@command(
    "Let the Tab key complete commands.",
    "coolsim completion bash --install",
    "coolsim completion zsh > ~/.coolsim.zsh",
    asks=("force",),
)
def completion(
    asked: Asked,
    context: typer.Context,
    shell: Annotated[
        Shell | None, typer.Argument(metavar="SHELL", help="bash, zsh or fish; left out, yours.", show_default=False)
    ] = None,
    install: Annotated[
        bool, typer.Option("--install", help="Keep the script where your shell finds it, instead of printing it.")
    ] = False,
) -> None:
    """Let the Tab key complete commands, options, names of figures and materials, and files.

    Prints a script for the shell; a line in the shell's start-up file that reads it makes it work in every new
    terminal. With --install that is done for you. Do it again after an update of coolsim.
    """
    from coolsim.cli.completion_scripts import script

    chosen = shell if shell is not None else _own_shell()
    text = script(chosen.value, cast(CommandGroup, context.find_root().command).with_all())
    if not install:
        say(text.rstrip("\n"))
        asked.screen.hint(f"`coolsim completion {chosen} --install` keeps it where {chosen} finds it.")
        return
    for path in _installed(chosen, text, asked.force):
        asked.screen.wrote(path)
    asked.screen.hint(f"open a new terminal, type `coolsim ` and press Tab; it works in {chosen} from now on.")


def _own_shell() -> Shell:
    name = Path(os.environ.get("SHELL", "")).name
    if name not in tuple(Shell):
        found = f"your shell is '{name}'" if name else "SHELL is not set"
        raise typer.BadParameter(f"{found}; give one of {', '.join(Shell)}.", param_hint="'SHELL'")
    return Shell(name)


def _installed(shell: Shell, text: str, force: bool) -> list[Path]:
    """Write the script, and the line that reads it where the shell does not look by itself."""
    from coolsim.report.whole_file import write_text

    home = Path.home()
    if shell is Shell.FISH:
        path = _folder("XDG_CONFIG_HOME", home / ".config") / "fish" / "completions" / "coolsim.fish"
    else:
        path = _folder("XDG_DATA_HOME", home / ".local" / "share") / "coolsim" / f"completion.{shell}"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{path.parent}: cannot be made: {error.strerror}. Print the script instead.") from error
    claim(to_file("--install", path), force=force)
    written = [write_text(path, text)]
    if shell is Shell.FISH:
        return written
    start_up = home / ".bashrc" if shell is Shell.BASH else _folder("ZDOTDIR", home) / ".zshrc"
    line = f". {shlex.quote(str(path))}"
    try:
        known = start_up.read_text(encoding="utf-8", errors="replace") if start_up.exists() else ""
        if line not in known.splitlines():
            before = "\n" if known and not known.endswith("\n") else ""
            # Appended, not replaced: the file is the user's, and often a link to elsewhere.
            with start_up.open("a", encoding="utf-8") as file:
                file.write(f"{before}{line}\n")
            written.append(start_up)
    except OSError as error:
        raise OutputError(f"{start_up}: cannot be written: {error.strerror}. Add the line `{line}` to it.") from error
    return written


def _folder(variable: str, usual: Path) -> Path:
    return Path(os.environ.get(variable) or usual)
