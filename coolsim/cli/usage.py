"""What is said about a command line that is not understood: where, what was found, what was probably meant."""

from __future__ import annotations

import inspect
import re
import shlex
from collections.abc import Iterable, Iterator, Sequence
from difflib import get_close_matches
from enum import Enum
from itertools import pairwise
from pathlib import Path
from typing import Any, get_args, get_type_hints

_FILES = (".toml", ".npz")
_EXTRA = re.compile(r"unexpected extra arguments?(?:\(s\))? \((?P<words>.*)\)")
_NOT_ONE_OF = re.compile(r"'(.*)' is not one of ")
_NO_COMMANDS = ("help", "man", "usage")


def did_you_mean(found: str, known: Iterable[str]) -> str | None:
    """Ask after the name that looks most like what was found; None where none does."""
    lowered = {name.lower(): name for name in known}
    close = get_close_matches(found.lower(), lowered, n=1)
    return f"Did you mean '{lowered[close[0]]}'?" if close else None


def choices(command: Any) -> dict[str, tuple[str, ...]]:
    """Find the words that the parameters of a command take, for those that take words of a list.

    They are read from the annotations of the function, because releases of typer keep them in different places.
    """
    found = {}
    for name, annotation in get_type_hints(inspect.unwrap(command.callback)).items():
        for kind in _parts(annotation):
            if isinstance(kind, type) and issubclass(kind, Enum):
                found[name] = tuple(str(member.value) for member in kind)
    return found


def _parts(annotation: Any) -> Iterator[Any]:
    yield annotation
    for part in get_args(annotation):
        yield from _parts(part)


def no_command(name: str, known: Sequence[str]) -> str:
    """Say that a word is no command."""
    if name in _NO_COMMANDS:
        return f"there is no command '{name}'; `coolsim --help` and `coolsim COMMAND --help` explain."
    if Path(name).suffix in _FILES:
        return f"'{name}' is not a command. Did you mean `coolsim run {shlex.quote(name)}`?"
    return f"there is no command '{name}'. {did_you_mean(name, known) or 'Choose from ' + ', '.join(known) + '.'}"


def fault(error: Any, arguments: Sequence[str], group: Any) -> str:
    """Word what typer raised about a command line: one sentence or two, and where to read on."""
    command, path = _asked(error, arguments, group)
    parameter = getattr(error, "param", None)
    if hasattr(error, "possibilities"):
        text = _no_option(error.option_name, command, path, group)
    elif type(error).__name__ == "MissingParameter" and parameter is not None:
        text = f"{path}: {parameter.metavar or _name(parameter)} is missing.{_as_in(command)}"
    elif parameter is not None and (words := _unknown_words(parameter, command, arguments, error)):
        found, known = words
        advice = did_you_mean(found, known) or f"Give one of {', '.join(known)}."
        text = f"{_name(parameter)}: found '{found}'. {advice}"
    elif parameter is not None or getattr(error, "param_hint", None):
        place = error.param_hint.strip("'") if error.param_hint else _name(parameter)
        reason = "give a whole number." if "valid int" in error.message else error.message
        text = f"{place}: {reason}"
    elif extra := _EXTRA.search(error.format_message()):
        text = f"{path}: '{extra['words']}' is too much; put a value of several words in quotes."
    else:
        text = f"{path}: {error.format_message()}"
    return f"{text}\nSee `{path} --help`."


def _asked(error: Any, arguments: Sequence[str], group: Any) -> tuple[Any, str]:
    """Find the command that was asked for, and how it is called."""
    if error.ctx is not None:
        return error.ctx.command, error.ctx.command_path
    name = next((one for one in arguments if one in group.commands), None)
    return (group, group.name) if name is None else (group.commands[name], f"{group.name} {name}")


def _no_option(name: str, command: Any, path: str, group: Any) -> str:
    text = f"{path} has no option '{name}'."
    options = _options(command)
    # A word that is right elsewhere is no misspelling of one that looks like it, unless it is but the start of that.
    owners = [f"`coolsim {one}`" for one in group.commands if name in _options(group.commands[one])]
    if owners and not any(one.startswith(name) for one in options):
        return f"{text} It belongs to {' and '.join(owners)}."
    meant = did_you_mean(name, options)
    return f"{text} {meant}" if meant else text


def _options(command: Any) -> list[str]:
    return [name for one in command.params for name in (*one.opts, *one.secondary_opts) if name.startswith("--")]


def _as_in(command: Any) -> str:
    shown = [
        line.strip()
        for line in (command.epilog or "").splitlines()
        if line.startswith("  coolsim") and line[-1] != "\\"
    ]
    return f" An example: `{shown[0]}`." if shown else ""


def _name(parameter: Any) -> str:
    options = [name for name in parameter.opts if name.startswith("-")]
    return max(options, key=len) if options else str(parameter.metavar or parameter.name)


def _unknown_words(
    parameter: Any, command: Any, arguments: Sequence[str], error: Any
) -> tuple[str, tuple[str, ...]] | None:
    """Find the word behind an option, or in the place of an argument, that is none of those it takes."""
    known = choices(command).get(parameter.name)
    if known is None:
        return None
    # Which word stands in the place of an argument only the reader of the command line knows.
    given = [] if parameter.param_type_name == "option" else _NOT_ONE_OF.findall(error.message)
    for option in parameter.opts:
        given += [after for before, after in pairwise(arguments) if before == option]
        given += [one.removeprefix(f"{option}=") for one in arguments if one.startswith(f"{option}=")]
    found = next((word for word in given if word not in known), None)
    return None if found is None else (found, known)
