"""Values of one key of a scenario as a person writes them: a list, or a range with units."""

from __future__ import annotations

import math
from collections.abc import Container
from typing import Any

from coolsim.errors import ScenarioError, UnitError
from coolsim.scenario.kept import kept_waxes
from coolsim.scenario.keys import key_of
from coolsim.scenario.values import Count, Flag, Number, Quantity, Value, raw_quantity
from coolsim.units import Kind, parse_quantity

MOST_VALUES = 1000
"""Most values of one key [-]."""

_STEP_KINDS: dict[Kind, Kind] = {"temperature": "temperature_difference"}
_ROUND_OFF = 1e-9
_DIGITS = 10


def swept_values(name: str, text: str, *, count: int = 5, called: str | None = None) -> tuple[Any, ...]:
    """Read the raw values that a key is to take: a list with commas, or ``first:last`` or ``first:last:step``.

    Each end has its unit; a step of a temperature is a difference. A range ends at `last` if whole steps
    reach it, else before it; without a step it has `count` values, evenly spaced [-]. Messages name the key `called`.

    Examples
    --------
    >>> swept_values("room.temperature", "15C:27C:4C")
    ('15 °C', '19 °C', '23 °C', '27 °C')
    >>> swept_values("surround.flaps", "open,closed")
    ('open', 'closed')
    """
    where = called or name
    value = key_of(name).spec
    if not text.strip():
        raise ScenarioError(f"{where}: found no values. Give a list or a range, such as {_example(value)}.")
    if ":" in text and not _one_value(value, text):
        return _range(value, text, count, where)
    # A wax that was kept is looked for from each scenario.
    return _list(value, text, where, known=kept_waxes("here") if name == "wax.kind" else ())


def stated_range(name: str, text: str, *, called: str | None = None) -> tuple[float, float]:
    """Read the two ends [SI, °C] between which the value of a key lies: ``low:high``, each with its unit.

    Examples
    --------
    >>> stated_range("wax.latent_heat", "110 kJ/kg:150 kJ/kg")
    (110000.0, 150000.0)
    """
    where = called or name
    raws = swept_values(name, text, count=2, called=where)
    if len(raws) != 2 or ":" not in text:
        raise ScenarioError(f"{where}: found {text!r}. Give LOW:HIGH, each with its unit.")
    value = key_of(name).spec
    low, high = (float(value.read(raw)) for raw in raws)
    return low, high


def kind_of(name: str) -> Kind | None:
    """Tell the kind of quantity of a key of a scenario; None for what is none."""
    value = key_of(name).spec
    return value.kind if isinstance(value, Quantity) else None


def _one_value(value: Value, text: str) -> bool:
    """Tell whether a text with a colon is one value: a duration in hours and minutes."""
    if not isinstance(value, Quantity) or value.kind != "duration":
        return False
    try:
        value.read(text)
    except ValueError:
        return False
    return True


def _example(value: Value) -> str:
    if isinstance(value, Quantity):
        return f"'{value.low}:{value.high}'"
    if isinstance(value, Number):
        return f"'{value.low:g}:{value.high:g}'"
    if isinstance(value, Count):
        return f"'{value.low}:{value.high}'"
    return "a list with commas"


def _list(value: Value, text: str, where: str, *, known: Container[object]) -> tuple[Any, ...]:
    raws = [_raw(value, part.strip()) for part in text.split(",")]
    faults = []
    for raw in raws:
        try:
            if raw not in known:
                value.read(raw)
        except ValueError as error:
            faults.append(f"{where}: {error}.")
    if faults:
        raise ScenarioError(faults)
    if len(raws) > MOST_VALUES:
        raise ScenarioError(f"{where}: found {len(raws)} values. Give at most {MOST_VALUES}.")
    double = next((raw for index, raw in enumerate(raws) if raw in raws[:index]), None)
    if double is not None:
        raise ScenarioError(f"{where}: found {double!r} twice. Give each value once.")
    return tuple(raws)


def _raw(value: Value, text: str) -> Any:
    """Turn a text into what a scenario holds; what it does not fit stays a text, for the value to refuse."""
    if isinstance(value, Flag):
        return {"true": True, "false": False}.get(text, text)
    if isinstance(value, Number | Count):
        try:
            return int(text) if isinstance(value, Count) else float(text)
        except ValueError:
            return text
    return text


def _range(value: Value, text: str, count: int, where: str) -> tuple[Any, ...]:
    parts = [part.strip() for part in text.split(":")]
    if not isinstance(value, Quantity | Number | Count) or len(parts) > 3:
        raise ScenarioError(f"{where}: found {text!r}. Give {_example(value)}.")
    if not all(parts):
        raise ScenarioError(
            f"{where}: found {text!r}, a range with a part missing. Give first:last or first:last:step, each with its"
            " unit."
        )
    ends = [_read(value, part, where) for part in parts[:2]]
    first, last = ends
    if first > last:
        raise ScenarioError(f"{where}: found {text!r}, a range that runs backwards. Give the lower end first.")
    if first == last:
        return (_written(value, first),)
    if len(parts) == 3:
        step = _step(value, parts[2], where)
    else:
        step = 1.0 if isinstance(value, Count) else (last - first) / max(count - 1, 1)
    steps = (last - first) / step
    if steps + 1 > MOST_VALUES:
        raise ScenarioError(f"{where}: found {text!r}, over {MOST_VALUES} values. Give a larger step.")
    whole = math.floor(steps + _ROUND_OFF)
    return tuple(_written(value, first + index * step) for index in range(whole + 1))


def _read(value: Value, text: str, where: str) -> float:
    try:
        return float(value.read(_raw(value, text)))
    except ValueError as error:
        raise ScenarioError(f"{where}: {error}.") from None


def _step(value: Value, text: str, where: str) -> float:
    if isinstance(value, Quantity):
        kind = _STEP_KINDS.get(value.kind, value.kind)
        try:
            step = parse_quantity(text, kind)
        except UnitError as error:
            raise ScenarioError(f"{where}: the step of the range: {error}.") from None
    else:
        raw = _raw(value, text)
        if isinstance(raw, str):
            raise ScenarioError(f"{where}: the step of the range: found {text!r}, give a number.")
        step = float(raw)
    # Written so that a NaN is refused.
    if not step > 0.0:
        raise ScenarioError(f"{where}: found {text!r} as the step of a range. Give a step above zero.")
    return step


def _written(value: Value, number: float) -> Any:
    if isinstance(value, Quantity):
        return raw_quantity(number, value.kind)
    return round(number) if isinstance(value, Count) else float(f"{number:.{_DIGITS}g}")
