"""A TOML file of a maker: its text and its tables, or one message that says what is wrong with it."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coolsim.errors import ScenarioError
from coolsim.scenario.given_file import read_given
from coolsim.scenario.nearby import nearby

_LARGEST_FILE = 1_000_000
# Keys of a scenario have three parts at most. Python's reader takes minutes for one of a hundred thousand.
_PART = r"""(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')"""
_DEEP_KEY = re.compile(rf"(?<![A-Za-z0-9_-]){_PART}(?:[ \t]*\.[ \t]*{_PART}){{19}}")
_STARTER = "Write a starter with `coolsim new NAME.toml`."
_LINE_AND_COLUMN = re.compile(r" \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$")
_UNQUOTED = re.compile(r"^[^#=]*=\s*\[?[^\"'#]*\d\s*[A-Za-z°%/]")


def text_of(path: Path, where: str) -> str:
    """Read the text of a file; ScenarioError if it is none."""
    try:
        content = None if path.is_dir() else _content(path)
    except FileNotFoundError:
        raise ScenarioError(f"{where}: no such file. {nearby(path, ending='.toml', otherwise=_STARTER)}") from None
    except PermissionError:
        raise ScenarioError(f"{where}: no permission to read it. Change its permissions.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ScenarioError(f"{where}: cannot be read ({reason}). Give a scenario file.") from error
    if content is None:
        inside = sorted(file.name for file in path.glob("*.toml"))[:3]
        hint = f" In it there is {', '.join(inside)}." if inside else ""
        raise ScenarioError(f"{where}: found a directory. Give a scenario file.{hint}")
    if len(content) > _LARGEST_FILE:
        raise ScenarioError(f"{where}: larger than 1 MB. That is no scenario; give a scenario file.")
    try:
        # With or without the mark that some editors put in front.
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ScenarioError(
            f"{where}: not UTF-8 (byte {error.start} is 0x{content[error.start]:02x}). Save it as UTF-8 in your editor."
        ) from None
    if not any(line.strip() and not line.lstrip().startswith("#") for line in text.splitlines()):
        raise ScenarioError(f"{where}: empty. Write a starter with `coolsim new NAME.toml` and edit it.")
    return text


def _content(path: Path) -> bytes:
    return read_given(path, most=_LARGEST_FILE)


def parsed(text: str, where: str) -> dict[str, Any]:
    """Parse TOML; ScenarioError with line and column if it is none."""
    if _DEEP_KEY.search(text):
        raise ScenarioError(f"{where}: not a scenario (nested too deeply). Give a scenario file.")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = _LINE_AND_COLUMN.search(message)
        reason = message[: place.start()] if place else message
        at, line = "at the end", ""
        if place and place["line"]:
            at = f"line {place['line']}, column {place['column']}"
            line = text.split("\n")[int(place["line"]) - 1]
        advice = "Correct this."
        if _UNQUOTED.match(line):
            advice = 'Values with units need quotes, as in height = "90 mm".'
        raise ScenarioError(f"{where}: {at}: not TOML ({reason}). {advice}") from None
    except (ValueError, RecursionError) as error:
        # Python's own limits: a number of thousands of digits, thousands of nested brackets.
        reason = "nested too deeply" if isinstance(error, RecursionError) else "a number with too many digits"
        raise ScenarioError(f"{where}: not a scenario ({reason}). Give a scenario file.") from None


def toml_value(raw: object) -> str:
    """Write a raw value as TOML does; JSON's escapes are TOML's, but it leaves DEL as it is."""
    if isinstance(raw, Mapping):
        return f"{{{', '.join(f'{toml_value(name)} = {toml_value(value)}' for name, value in raw.items())}}}"
    if isinstance(raw, list | tuple):
        return f"[{', '.join(map(toml_value, raw))}]"
    return repr(raw) if isinstance(raw, float) else json.dumps(raw, ensure_ascii=False).replace("\x7f", "\\u007f")
