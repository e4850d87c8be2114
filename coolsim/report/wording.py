"""Words, units and times as the tables and the figures write them."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from coolsim.answers.answer import Answer, Value
from coolsim.answers.catalogue import BY_KEY
from coolsim.answers.verdict import Band, depth_band, verdict_text
from coolsim.model.problem import Thresholds
from coolsim.model.properties import METAL_CONDUCTIVITY
from coolsim.overview import NOT_REACHED, time_cell
from coolsim.overview import hours_minutes as hours_minutes
from coolsim.scenario import Scenario
from coolsim.solve.result import Result
from coolsim.units import System, format_quantity, inches_text
from coolsim.units import in_units as in_units

CAUTION = (
    "Caution. Hot wax burns skin and catches fire: never leave melting wax alone, keep children and animals away, and"
    " keep a lid or a fire blanket at hand, never water. Glass can crack when hot wax is poured. These figures are"
    " computed, not measured; check them with a thermometer on your own jars. The data sheets of the suppliers of wax,"
    " fragrance and glass and the codes that apply where you work come first."
)
"""What a reader must know besides the figures; on paper, on figures and in JSON."""

SHORT_CAUTION = "Caution: hot wax burns and catches fire, glass cracks; data sheets come first."
"""The same in one line of a screen, under the answers."""

_OF_GLASS = (" Glass can crack when hot wax is poured.", ", glass cracks")

_LATER = "later"
_SHORT = {
    "dish_volume_m3": "sunk",
    "cavity_volume_m3": "cavity",
    "dish_m": "dish",
    "hole_m": "hole",
    "void_volume_m3": "void",
    "depth_m": "middle",
    "mean_dip_m": "level",
    "skin_melted_again_s": "skin",
    "top_closed_s": "closed",
    "fully_set_s": "set",
}
_UNIT_OF_KEY = re.compile("_(s|m|m3|C|K|J|kg|kg_m3|W_m2K)$")
_CALLED = {"pad": "box floor", "board": "box wall", "gap": "air gap"}


def caution_for(scenarios: Sequence[Scenario], *, short: bool = False) -> str:
    """Write the caution, without what only glass does where all that it is about is metal.

    Examples
    --------
    >>> from coolsim.scenario import built_in_pair, with_overrides
    >>> caution_for([with_overrides(built_in_pair()[0], {"vessel.material": "tinned-steel"})], short=True)
    'Caution: hot wax burns and catches fire; data sheets come first.'
    """
    caution = SHORT_CAUTION if short else CAUTION
    if scenarios and all(one.jar.vessel.shock_limit is None for one in scenarios):
        for told in _OF_GLASS:
            caution = caution.replace(told, "")
    return caution


def temperature_text(celsius: float, units: System, *, digits: int | None = None) -> str:
    """Write a temperature [°C] with its unit, with as many decimals as are useful or as given [-]."""
    return format_quantity(celsius, "temperature", system=units, digits=digits)


def length_text(metres: float, units: System) -> str:
    """Write a length [m] with its unit."""
    return format_quantity(metres, "length", system=units)


def top_text(result: Result, units: System) -> str:
    """Say what the top of a run is, how deep its middle is below the rim, and how far that may be off."""
    top = result.shrinkage
    band = depth_band(result)
    return NOT_REACHED if top is None or band is None else shape_text(top.dish, top.hole, band, result.answers, units)


def told_top(result: Result, units: System) -> str:
    """Say what the top of a run is, with the hidden cavity if there is one to speak of, or that it has not set."""
    top, events = result.shrinkage, result.events
    if top is None or events is None or events.fully_set is None:
        return f"not known: not set after {hours_minutes(float(result.time[-1]))} h"
    told = top_text(result, units)
    if top.cavity_volume < result.answers.cavity_from:
        return told
    return f"{told}; hidden cavity {volume_text(top.cavity_volume, units)}"


def shape_text(dish: float, hole: float, band: Band, thresholds: Thresholds, units: System) -> str:
    """Say what a top is by its dish and hole, how deep that is below the rim, and from where to where it may be [m]."""
    ends = [length_text(end, units).rpartition(" ")[0] for end in band]
    return f"{verdict_text(dish, hole, thresholds)}, {length_text(dish + hole, units)} ({' to '.join(ends)})"


def volume_text(cubic_metres: float, units: System) -> str:
    """Write a small volume [m3] with its unit."""
    return format_quantity(cubic_metres, "volume", system=units, digits=1 if units == "metric" else 2)


def difference_text(kelvin: float, units: System, *, digits: int | None = None) -> str:
    """Write a difference of temperatures [K] as a thermometer shows it: "44 °C" or "79 °F", never in K.

    It has as many decimals as are useful or as given [-].
    """
    return format_quantity(kelvin, "temperature_difference", system=units, digits=digits)


def volume_units(units: System) -> tuple[float, str]:
    """Tell how small volumes are written: factor on SI, and the unit."""
    factor, _, unit = in_units("volume", units)
    return factor, unit


def column_of(answer: Answer, units: System, *, finer: bool = False) -> tuple[str, Callable[[Value], str]]:
    """Tell the unit of a column of answers, empty for a time on the clock, and what writes the number of a cell.

    A finer number has one decimal more; inches come in parts of an inch. A dash stands for what is not there.
    """
    if answer.kind == "duration" and answer.waits:
        return "", lambda value: _LATER if value == math.inf else time_cell(value)
    factor, offset, unit = in_units(answer.kind or "fraction", units)
    digits = 0 if answer.kind is None else 1 if units == "metric" or answer.kind == "temperature" else 2
    if answer.kind == "duration":
        factor, unit, digits = 1.0 / 60.0, "min", 1
    digits += finer

    def write(value: Value) -> str:
        if not isinstance(value, float):
            return NOT_REACHED
        number = factor * value + offset
        return inches_text(number) if unit == "in" else f"{number:z.{digits}f}"

    return unit, write


def narrow_head(key: str, units: System, name: str = "") -> str:
    """Write what stands over a narrow column of an answer: a short name, and the unit below it."""
    return f"{name or _SHORT[key]}\n{column_of(BY_KEY[key], units)[0] or 'h:mm'}"


def narrow_cell(key: str, answers: Mapping[str, Value], units: System) -> str:
    """Write the number of an answer in a narrow column; of the first skin, too, that it stays, or that none forms."""
    answer, value = BY_KEY[key], answers[key]
    if value is None and key == "skin_melted_again_s":
        return "none" if answers["skin_formed_s"] is None else "stays"
    return column_of(answer, units, finer=answer.kind == "volume")[1](value)


def capital(text: str) -> str:
    """Begin a text with a capital letter."""
    return text[:1].upper() + text[1:]


def listed(words: Sequence[str]) -> str:
    """Join words with commas and an "and"."""
    return " and ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def keyed(found: object, keys: str) -> dict[str, Any]:
    """Give fields under keys that end in the unit: "air_C" is the field `air`.

    Examples
    --------
    >>> from coolsim.model.hot_air import HotAir
    >>> keyed(HotAir(), "air_C on_glass")
    {'air_C': 200.0, 'on_glass': 0.5}
    """
    return {key: getattr(found, _UNIT_OF_KEY.sub("", key)) for key in keys.split()}


def called(result: Result, part: str) -> str:
    """Name a part of the section; "glass" is the vessel whatever it is made of: a well conducting one is metal."""
    if part != "glass":
        return _CALLED.get(part, part)
    table = result.tables[result.parts.index(part)]
    conductivity = float(table.potential_slope[0] / table.temperature_slope[0])
    return "metal" if conductivity > METAL_CONDUCTIVITY else "glass"


WORST_OF_A_BOX = (
    "Of a box of jars each answer is the worst that one of them has: the last time, but of the wick the first, and the"
    " deepest top."
)
"""What the answers of a box are, where there is one number for all of its jars."""
