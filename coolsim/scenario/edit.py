"""Values of a scenario file changed in its text, so that comments, order and layout stay as their author left them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from coolsim.errors import ScenarioError
from coolsim.scenario.read import Scenario, scenario_from_data, with_overrides
from coolsim.scenario.toml_file import parsed, toml_value

_HEADER = re.compile(r"\s*\[\s*([A-Za-z0-9_-]+)\s*\]\s*(?:#.*)?")
_ANY_HEADER = re.compile(r"\s*\[.*\]\s*(?:#.*)?")
_VALUE = r"(?P<value>\"[^\"\\]*\"|'[^']*'|[^\s#\"'\[{]+)(?P<rest>\s*(?:#(?P<comment>.*))?)"


def edited_text(text: str, scenario: Scenario, changes: Mapping[str, tuple[str | float, str]]) -> str:
    """Change values in the text of a scenario file: new raw value and a remark for its comment, by dotted key.

    Each value is replaced in its line, or added at the end of its table; the remark comes before what the comment of
    the line said. All else is as it was. The new text is read again and must hold exactly the values of the old one
    with the changes: where the file is written in a way that this cannot change, such as a table in one line, the
    message of the ScenarioError gives the lines to write by hand.
    """
    lines = text.splitlines(keepends=True)
    end = "\r\n" if lines and lines[0].endswith("\r\n") else "\n"
    for key, (raw, remark) in changes.items():
        table, _, name = key.rpartition(".")
        _change(lines, table, name, f"{toml_value(raw)}", remark, end)
    changed = "".join(lines)
    wanted = with_overrides(scenario, {key: raw for key, (raw, _) in changes.items()})
    try:
        done = parsed(changed, scenario.where)
    except ScenarioError:
        done = None
    if done is None or scenario_from_data(done, where=scenario.where).data != wanted.data:
        by_hand = "; ".join(f"{key} = {toml_value(raw)}" for key, (raw, _) in changes.items())
        raise ScenarioError(
            f"{scenario.where}: written in a way that its values cannot be changed in place. Write them by hand:"
            f" {by_hand}."
        )
    return changed


def _change(lines: list[str], table: str, name: str, value: str, remark: str, end: str) -> None:
    start = _section(lines, table)
    if start is None:
        if lines and not lines[-1].endswith(("\n", "\r")):
            lines[-1] += end
        lines += [end, f"[{table}]{end}", f"{name} = {value}  # {remark}{end}"]
        return
    stop = next((at for at in range(start, len(lines)) if _is_header(lines[at])), len(lines))
    pattern = re.compile(rf"(?P<front>\s*{re.escape(name)}\s*=\s*){_VALUE}")
    for at in range(start, stop):
        found = pattern.fullmatch(lines[at].rstrip("\r\n"))
        if found is not None:
            old = (found["comment"] or "").strip()
            kept = f"; {old}" if old else ""
            lines[at] = f"{found['front']}{value}  # {remark}, before {found['value']}{kept}{end}"
            return
    last = max((at for at in range(start, stop) if _says_something(lines[at])), default=start - 1)
    if not lines[last].endswith(("\n", "\r")):
        lines[last] += end
    lines.insert(last + 1, f"{name} = {value}  # {remark}{end}")


def _section(lines: Sequence[str], table: str) -> int | None:
    """Find the line after the heading of a table."""
    for at, line in enumerate(lines):
        found = _HEADER.fullmatch(line.rstrip("\r\n"))
        if found is not None and found[1] == table:
            return at + 1
    return None


def _is_header(line: str) -> bool:
    return _ANY_HEADER.fullmatch(line.rstrip("\r\n")) is not None


def _says_something(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")
