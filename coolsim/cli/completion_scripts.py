"""The scripts of the shells, made from the commands."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from coolsim.cli.usage import choices

# What a word stands for where the metavar of a parameter says so; any other word is the user's to think of.
_FOLDER, _ANY_FILE = "folder", "file"
_FILES = {
    "FILE.toml": "*.toml",
    "FILE.ics": "*.ics",
    "FILE.txt": "*.txt",
    "NAME.toml": "*.toml",
    "FILE.npz": "*.npz",
    "FILE.csv": "*.csv",
    "FILE.pdf": "*.pdf",
    "DIR": _FOLDER,
    "PATH": _ANY_FILE,
    "FILE": _ANY_FILE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """An option, or an argument of a command."""

    names: tuple[str, ...]  # as they are typed; empty for an argument
    text: str  # first sentence of its help
    takes: bool  # whether a value follows
    words: tuple[str, ...]  # values to choose from
    files: str  # pattern of the files to choose from, "folder", "file" or nothing
    first: bool = False  # whether it is an argument that others follow


def script(shell: str, group: Any) -> str:
    """Write the script with which bash, zsh or fish completes what is typed."""
    commands = {
        name: (command.get_short_help_str(limit=70), _words(command)) for name, command in group.commands.items()
    }
    return {"bash": _bash, "zsh": _zsh, "fish": _fish}[shell](commands)


_Commands = dict[str, tuple[str, list[Word]]]


def _words(command: Any) -> list[Word]:
    known = choices(command)
    arguments = [one.name for one in command.params if one.param_type_name == "argument"]
    found = []
    for one in command.params:
        if one.name == "help":
            continue
        option = one.param_type_name == "option"
        found.append(
            Word(
                names=(*one.opts, *one.secondary_opts) if option else (),
                text=(one.help or "").partition(";")[0].partition(". ")[0].rstrip("."),
                takes=not (option and one.is_flag),
                words=known.get(one.name) or _catalogue(one.name, one.metavar),
                files=_FILES.get(one.metavar or "", ""),
                first=one.name in arguments[:-1],
            )
        )
    help_text = "Show this message and exit"
    return [*found, Word(names=("-h", "--help"), text=help_text, takes=False, words=(), files="")]


def _catalogue(name: str, metavar: str | None) -> tuple[str, ...]:
    """Look up names of materials and keys of a scenario."""
    if metavar == "KEY=VALUES":
        from coolsim.scenario import scenario_keys

        return tuple(f"{key.name}=" for key in scenario_keys() if "." in key.name)
    if metavar == "NAME" and name == "wax":
        from coolsim.model.materials import wax_names

        return tuple(wax_names())
    if metavar == "NAME" and name in ("material", "support"):
        from coolsim.model.materials import inert_names

        return tuple(inert_names())
    if metavar == "NAME" and name == "names":
        from coolsim.report.text.materials import catalogue_names

        return tuple(catalogue_names())
    return ()


def _bash(commands: _Commands) -> str:
    lines = [
        "# Completion of coolsim for bash 4 and newer, made by `coolsim completion bash`.",
        "_coolsim() {",
        '    local current="${COMP_WORDS[COMP_CWORD]}" before="${COMP_WORDS[COMP_CWORD-1]}" command= word',
        "    # bash parts --option=value at the equals sign.",
        '    if [[ $current == "=" ]]; then current=',
        '    elif [[ $before == "=" ]]; then before="${COMP_WORDS[COMP_CWORD-2]}"; fi',
        '    for word in "${COMP_WORDS[@]:1:COMP_CWORD-1}"; do',
        f'        case "$word" in {"|".join(commands)}) command="$word"; break ;; esac',
        "    done",
        "    COMPREPLY=()",
        '    case "$command $before" in',
    ]
    for name, (_, words) in commands.items():
        for word in words:
            if word.names and word.takes:
                patterns = "|".join(f'"{name} {option}"' for option in word.names)
                lines.append(f"        {patterns}) {_bash_values(word)}; return ;;")
    lines += ["    esac", "    if [[ $current == -* ]]; then", '        case "$command" in']
    for name, (_, words) in commands.items():
        options = " ".join(option for word in words for option in word.names)
        lines.append(f"            {name}) {_bash_list(options)} ;;")
    lines += [f"            *) {_bash_list('--version --help')} ;;", "        esac", "        return", "    fi"]
    lines.append('    case "$command" in')
    for name, (_, words) in commands.items():
        for word in words:
            if word.first:
                following = words[words.index(word) + 1]
                lines.append(
                    f"        {name}) if (( COMP_CWORD == 2 )); then {_bash_values(word)};"
                    f" else {_bash_values(following)}; fi ;;"
                )
            elif not word.names:
                lines.append(f"        {name}) {_bash_values(word)} ;;")
    lines += [f"        '') {_bash_list(' '.join(commands))} ;;", "    esac", "}", "complete -F _coolsim coolsim", ""]
    return "\n".join(lines)


def _bash_list(words: str) -> str:
    return f'mapfile -t COMPREPLY < <(compgen -W {shlex.quote(words)} -- "$current")'


def _bash_values(word: Word) -> str:
    if word.words:
        no_space = "compopt -o nospace; " if word.words[0].endswith("=") else ""
        return f"{no_space}{_bash_list(' '.join(word.words))}"
    if not word.files:
        return ":"
    # Folders are offered in any case, as ways to files.
    files = {_FOLDER: "", _ANY_FILE: 'compgen -f -- "$current"; '}.get(
        word.files, f"compgen -f -X '!{word.files}' -- \"$current\"; "
    )
    folders = "" if word.files == _ANY_FILE else 'compgen -d -- "$current"'
    return f"compopt -o filenames; mapfile -t COMPREPLY < <({files}{folders})"


def _zsh(commands: _Commands) -> str:
    lines = [
        "#compdef coolsim",
        "# Completion of coolsim for zsh, made by `coolsim completion zsh`.",
        "_coolsim() {",
        "    local context state state_descr line",
        "    typeset -A opt_args",
        "    local -a commands",
        "    _arguments -C '--version[Show the version and exit]' '(- *)'{-h,--help}'[Show this message and exit]' \\",
        "        '1:command:->command' '*::argument:->argument'",
        "    case $state in",
        "    command)",
        "        commands=(",
        *(f"            {_quoted(f'{name}:{_colons(text)}')}" for name, (text, _) in commands.items()),
        "        )",
        "        _describe -t commands command commands ;;",
        "    argument)",
        "        case $line[1] in",
    ]
    for name, (_, words) in commands.items():
        specs = " \\\n".join(f"                {spec}" for word in words for spec in _zsh_specs(word))
        lines.append(f"        {name})\n            _arguments -s \\\n{specs} ;;")
    lines += [
        "        esac ;;",
        "    esac",
        "}",
        "# Read as a start-up file, or found as a function by zsh itself.",
        'if [[ "${funcstack[1]}" == _coolsim ]]; then',
        '    _coolsim "$@"',
        "else",
        "    (( $+functions[compdef] )) || { autoload -Uz compinit && compinit }",
        "    compdef _coolsim coolsim",
        "fi",
        "",
    ]
    return "\n".join(lines)


def _zsh_specs(word: Word) -> Iterator[str]:
    action = ""
    if word.words and word.words[0].endswith("="):
        action = f"{{compadd -S '' -- {' '.join(word.words)}}}"
    elif word.words:
        action = f"({' '.join(word.words)})"
    elif word.files:
        action = {_FOLDER: "_files -/", _ANY_FILE: "_files"}.get(word.files, f"_files -g '{word.files}'")
    elif word.takes:
        action = " "
    if not word.names:
        yield _quoted(f"{'1' if word.first else '*'}:{_colons(word.text) or 'argument'}:{action}")
        return
    text = _colons(word.text.replace("[", "(").replace("]", ")"))
    for name in word.names:
        yield _quoted(f"*{name}[{text}]" + (f":value:{action}" if word.takes else ""))


def _colons(text: str) -> str:
    return text.replace(":", "\\:")


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "'\\''") + "'"


def _fish(commands: _Commands) -> str:
    lines = [
        "# Completion of coolsim for fish, made by `coolsim completion fish`.",
        "complete -c coolsim -f",
        "complete -c coolsim -n __fish_use_subcommand -l version -d 'Show the version and exit'",
        "complete -c coolsim -n __fish_use_subcommand -s h -l help -d 'Show this message and exit'",
    ]
    for name, (text, _) in commands.items():
        lines.append(f"complete -c coolsim -n __fish_use_subcommand -a {name} -d {_fish_quoted(text)}")
    for name, (_, words) in commands.items():
        first = " ".join(one for word in words if word.first for one in word.words)
        for word in words:
            when = f"__fish_seen_subcommand_from {name}"
            if first and not word.names:
                when += f"; and {'not ' if word.first else ''}__fish_seen_subcommand_from {first}"
            parts = ["complete -c coolsim -n", _fish_quoted(when)]
            parts += [f"-l {one[2:]}" if one.startswith("--") else f"-s {one[1:]}" for one in word.names]
            if word.names and word.takes:
                parts.append("-r -F" if word.files == _ANY_FILE else "-x")
            if word.words:
                parts.append(f"-a {_fish_quoted(' '.join(word.words))}")
            elif word.files == _ANY_FILE and not word.names:
                parts.append("-F")
            elif word.files == _FOLDER:
                parts.append("-a '(__fish_complete_directories)'")
            elif word.files.startswith("*"):
                parts.append(f"-a '(__fish_complete_suffix {word.files.removeprefix('*')})'")
            if word.text:
                parts.append(f"-d {_fish_quoted(word.text)}")
            lines.append(" ".join(parts))
    return "\n".join([*lines, ""])


def _fish_quoted(text: str) -> str:
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"
