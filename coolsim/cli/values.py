"""What is wrong with the value of an option: a fault of usage that names the option, not a key of a file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import typer

from coolsim.errors import LogError, ScenarioError, UnitError

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.units import Kind

LONGEST = 72 * 3600.0
"""Longest time that an option may ask for [s]: the longest run of a scenario."""


@contextmanager
def blaming(options: Mapping[str, str] | None = None, *, where: str = "", rest: str | None = None) -> Iterator[None]:
    """Turn a refusal into a fault of usage, if an option is the cause of it.

    Options come by the key of the scenario, or whatever else a message begins with, whose value they are; `where` is
    the file that a message may begin with; `rest` is to blame for all that names no other, or the file is.
    """
    known = options or {}
    try:
        yield
    except (ScenarioError, LogError, UnitError) as error:
        faults = error.faults if isinstance(error, ScenarioError) else (str(error),)
        found = [_blamed(fault, known, where) or (rest and (rest, _in_words(fault, known, where))) for fault in faults]
        told = [one for one in dict.fromkeys(found) if one]
        if not all(found):
            raise
        lines = [f"{option}: {text}" for option, text in told]
        option = told[0][0]
        raise typer.BadParameter("\n".join(lines).removeprefix(f"{option}: "), param_hint=f"'{option}'") from None


def with_options(scenario: Scenario, given: Mapping[str, tuple[str, Any]]) -> Scenario:
    """Change a scenario that is fine by option and value for each key; what is wrong then is their fault."""
    from coolsim.scenario import with_overrides

    asked = {key: (option, value) for key, (option, value) in given.items() if value is not None}
    options = {key: option for key, (option, _) in asked.items()}
    with blaming(options, where=scenario.where, rest=" and ".join(options.values()) or None):
        return with_overrides(scenario, {key: value for key, (_, value) in asked.items()})


def check_number(value: float | None, low: float, high: float, option: str) -> None:
    """Refuse a number out of the range of its option; what was left out is fine."""
    # Written so that a NaN is refused.
    if value is not None and not low <= value <= high:
        found = value if isinstance(value, int) else f"{value:g}"
        raise typer.BadParameter(f"found {found}; give {low:g} to {high:g}.", param_hint=f"'{option}'")


def quantity_of(text: str, kind: Kind, option: str, *, zero: bool = False, most: float = float("inf")) -> float:
    """Read what an option gives; unless above zero (or zero, where allowed) and up to `most`, a fault of usage."""
    from coolsim.units import format_quantity, parse_quantity

    try:
        value = parse_quantity(text, kind)
    except UnitError as error:
        raise typer.BadParameter(f"{error}.", param_hint=f"'{option}'") from None
    if value < 0.0 or (value == 0.0 and not zero):
        wanted = "zero or more" if zero else "a value above zero"
        raise typer.BadParameter(f"found {text!r}; give {wanted}.", param_hint=f"'{option}'")
    if not value <= most:
        limit = f"{most / 3600.0:g} h" if kind == "duration" else format_quantity(most, kind)
        raise typer.BadParameter(f"found {text!r}; give {limit} at most.", param_hint=f"'{option}'")
    return value


def _blamed(fault: str, options: Mapping[str, str], where: str) -> tuple[str, str] | None:
    """Find the option that a fault begins with, or whose key it begins with, and what is said about it."""
    start, colon, told = _without(fault, where).partition(": ")
    if start.startswith("--") and colon:
        return start, told
    return (options[start], _in_words(told, options, where)) if start in options and colon else None


def _in_words(text: str, options: Mapping[str, str], where: str) -> str:
    told = _without(text, where)
    for key, option in options.items():
        told = re.sub(rf"(?<![\w.]){re.escape(key)}(?![\w.]*\w)", option, told)
    return told


def _without(text: str, where: str) -> str:
    return text.replace(f"{where}: ", "", 1) if where else text
