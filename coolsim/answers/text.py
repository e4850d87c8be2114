"""An answer as a person reads it."""

from __future__ import annotations

import math

from coolsim.answers.answer import Answer, Value
from coolsim.overview import NOT_REACHED, hours_minutes
from coolsim.units import System, format_quantity

_MINUTE, _FEW_MINUTES = 60.0, 300.0
_VOLUME_DIGITS = {"metric": 1, "us": 2}


def value_text(answer: Answer, value: Value, units: System) -> str:
    """Write the value of an answer [SI, °C] in the units of the workshop; a dash if there is none.

    Times are hours and minutes since the pour, or minutes for the first few; an infinite one comes after the end of
    the run.

    >>> from coolsim.answers.catalogue import BY_KEY
    >>> value_text(BY_KEY["fully_set_s"], 9300.0, "metric"), value_text(BY_KEY["depth_m"], 0.0042, "us")
    ('2:35', '5/32 in')
    """
    if value is None:
        return NOT_REACHED
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if math.isinf(value):
        return "later"
    if answer.kind is None:
        return f"{100.0 * value:.0f} %"
    if answer.kind == "duration":
        return f"{value / _MINUTE:.1f} min" if value < _FEW_MINUTES else hours_minutes(value)
    digits = _VOLUME_DIGITS[units] if answer.kind == "volume" else None
    return format_quantity(value, answer.kind, system=units, digits=digits)
