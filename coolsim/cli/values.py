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


@contextmanager
def blaming(options: Mapping[str, str] | None = None, *, where: str = "", rest: str | None = None) -> Iterator[None]:
    """Turn a refusal into a fault of usage, if an option is the cause of it.

    Parameters
    ----------
    options : mapping of str to str
        Options by the key of the scenario, or whatever else a message begins with, whose value they are.
    where : str
        The file that a message may begin with.
    rest : str, optional
        Option that is the cause of all that names no other; left out, such a refusal is that of the file.
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


def changed(scenario: Scenario, given: Mapping[str, tuple[str, Any]]) -> Scenario:
    """Change a scenario that is fine by what options say; what is wrong afterwards is their fault.

    Parameters
    ----------
    scenario : Scenario
        The scenario.
    given : mapping of str to (str, object)
        Option and value by key; a value of None was not given.

    Returns
    -------
    Scenario
        The changed one.
    """
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
