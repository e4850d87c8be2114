"""Quantities as people write them: a closed table of units for each kind of quantity.

A general unit parser reads "20 C" as coulombs and guesses on; here each place in a scenario expects one kind,
and only the units of that kind are units there. Inside coolsim all values are SI, except temperatures, which
are in °C.

The factors are the exact definitions, kept here as whole numbers so that this module imports nothing heavy;
the tests compare them with ``scipy.constants``.
"""

import math
import re
from typing import Literal, NamedTuple

from coolsim.errors import UnitError

Kind = Literal[
    "length",
    "temperature",
    "temperature_difference",
    "mass",
    "volume",
    "duration",
    "clock",
    "film_coefficient",
    "heat_flux",
    "conductivity",
    "density",
    "heat_capacity",
    "latent_heat",
    "viscosity",
    "expansion",
    "speed",
    "molar_mass",
    "pressure",
    "fraction",
    "price_by_weight",
    "price_each",
]

System = Literal["metric", "us"]


class _Unit(NamedTuple):
    """SI = (number + shift) * times / over; a quotient of whole numbers makes "35 mm" the float 0.035."""

    spellings: tuple[str, ...]
    times: int = 1
    over: int = 1
    shift: float = 0.0


class _Quantity(NamedTuple):
    called: str
    example: str
    units: tuple[_Unit, ...]
    metric: str = ""
    us: str = ""
    # Decimals when the caller asks for none: metric, us.
    decimals: tuple[int, int] = (0, 0)


_CELSIUS = _Unit(("C", "°C"))
_FAHRENHEIT = _Unit(("F", "°F"), 5, 9, -32.0)

# Inch and pound: international yard and pound, 1959. US fluid ounce: 231 cubic inches / 128.
_TABLE: dict[Kind, _Quantity] = {
    "length": _Quantity(
        "a length",
        "90 mm",
        (
            _Unit(("mm",), 1, 1000),
            _Unit(("cm",), 1, 100),
            _Unit(("m",)),
            _Unit(("in",), 254, 10_000),
            _Unit(("ft",), 3048, 10_000),
        ),
        "mm",
        "in",
        (1, 2),
    ),
    "temperature": _Quantity(
        "a temperature", "65 °C", (_CELSIUS, _FAHRENHEIT, _Unit(("K",), shift=-273.15)), "°C", "°F"
    ),
    "temperature_difference": _Quantity(
        "a temperature difference",
        "5 °C",
        (_Unit(("C", "°C")), _Unit(("F", "°F"), 5, 9), _Unit(("K",))),
        "°C",
        "°F",
        (1, 1),
    ),
    "mass": _Quantity(
        "a mass",
        "250 g",
        (
            _Unit(("g",), 1, 1000),
            _Unit(("kg",)),
            _Unit(("oz",), 45_359_237, 1_600_000_000),
            _Unit(("lb",), 45_359_237, 100_000_000),
        ),
        "g",
        "oz",
        (0, 1),
    ),
    "volume": _Quantity(
        "a volume",
        "300 mL",
        (
            _Unit(("mL",), 1, 1_000_000),
            _Unit(("cL",), 1, 100_000),
            _Unit(("L",), 1, 1000),
            _Unit(("fl oz",), 295_735_295_625, 10**16),
        ),
        "mL",
        "fl oz",
        (0, 1),
    ),
    "duration": _Quantity(
        "a duration", "45 min", (_Unit(("s",)), _Unit(("min",), 60), _Unit(("h",), 3600), _Unit(("d",), 86_400))
    ),
    "clock": _Quantity("a time of day", "9:30", ()),
    "film_coefficient": _Quantity(
        "a film coefficient", "9.5 W/m2K", (_Unit(("W/m2K", "W/m2/K")),), "W/m2K", "W/m2K", (1, 1)
    ),
    "heat_flux": _Quantity("a heat flux", "800 W/m2", (_Unit(("W/m2",)), _Unit(("kW/m2",), 1000)), "W/m2", "W/m2"),
    "conductivity": _Quantity(
        "a thermal conductivity", "0.22 W/mK", (_Unit(("W/mK", "W/m/K")),), "W/mK", "W/mK", (3, 3)
    ),
    "density": _Quantity(
        "a density",
        "880 kg/m3",
        (
            _Unit(("kg/m3",)),
            _Unit(("g/cm3",), 1000),
            _Unit(("g/mL",), 1000),
            _Unit(("lb/ft3",), 453_592_370_000, 28_316_846_592),
        ),
        "kg/m3",
        "lb/ft3",
        (0, 1),
    ),
    "heat_capacity": _Quantity(
        "a heat capacity",
        "2100 J/kgK",
        (_Unit(("J/kgK", "J/kg/K")), _Unit(("kJ/kgK", "kJ/kg/K"), 1000)),
        "J/kgK",
        "J/kgK",
    ),
    "latent_heat": _Quantity(
        "a latent heat", "130 kJ/kg", (_Unit(("kJ/kg",), 1000), _Unit(("J/kg",))), "kJ/kg", "kJ/kg"
    ),
    "viscosity": _Quantity("a viscosity", "20 mPas", (_Unit(("mPas", "mPa s"), 1, 1000),), "mPas", "mPas", (1, 1)),
    "expansion": _Quantity("a coefficient of expansion", "7.3e-4 1/K", (_Unit(("1/K",)),), "1/K", "1/K", (6, 6)),
    "speed": _Quantity("a speed", "0.5 m/s", (_Unit(("m/s",)),), "m/s", "m/s", (2, 2)),
    "molar_mass": _Quantity(
        "a molar mass", "200 g/mol", (_Unit(("g/mol",), 1, 1000), _Unit(("kg/mol",))), "g/mol", "g/mol"
    ),
    "pressure": _Quantity(
        "a pressure",
        "1 kPa",
        (
            _Unit(("Pa",)),
            _Unit(("kPa",), 1000),
            _Unit(("MPa",), 1_000_000),
            _Unit(("GPa",), 1_000_000_000),
            _Unit(("bar",), 100_000),
        ),
        "kPa",
        "kPa",
        (2, 2),
    ),
    "fraction": _Quantity("a percentage", "8 %", (_Unit(("%",), 1, 100),), "%", "%", (1, 1)),
    # In some currency: which one, the scenario says.
    "price_by_weight": _Quantity(
        "a price by weight",
        "9.50 per kg",
        (
            _Unit(("per kg", "/kg")),
            _Unit(("per g", "/g"), 1000),
            _Unit(("per lb", "/lb"), 100_000_000, 45_359_237),
            _Unit(("per oz", "/oz"), 1_600_000_000, 45_359_237),
        ),
        "per kg",
        "per lb",
        (2, 2),
    ),
    "price_each": _Quantity("a price of one", "1.20 each", (_Unit(("each",)),), "each", "each", (2, 2)),
}

# Parts of an inch that are told apart [-], from half an inch on and below; a hair that round-off may take [-].
_RULER, _FINE_RULER, _FINE_BELOW, _NEARLY = 16, 32, 0.5, 1e-9
_OUNCES_OF_POUND = 16

# What people write instead of the spelling of the table; only ever a hint in a message.
_OTHER_NAMES = {
    "celsius": "°C",
    "fahrenheit": "°F",
    "kelvin": "K",
    '"': "in",
    "inch": "in",
    "inches": "in",
    "foot": "ft",
    "feet": "ft",
    "gram": "g",
    "grams": "g",
    "ounce": "oz",
    "ounces": "oz",
    "lbs": "lb",
    "cc": "mL",
    "sec": "s",
    "m": "min",
    "minutes": "min",
    "hr": "h",
    "hour": "h",
    "hours": "h",
    "day": "d",
    "days": "d",
    "cp": "mPas",
    "percent": "%",
}

_NUMBER = re.compile(
    r"""\s*(?P<sign>[+-]?)
    (?: (?:(?P<whole>[0-9]+)\s+)? (?P<top>[0-9]+)/(?P<bottom>[0-9]+)
      | (?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?) )
    \s*(?P<unit>(?:[^\s0-9.,+-].*|1/.*)?)$""",
    re.VERBOSE,
)
_HOURS_MINUTES = re.compile(r"\s*([0-9]+):([0-9]{2})\s*$")
_CLOCK = re.compile(
    r"\s*(?P<hours>[0-9]{1,2})(?::(?P<minutes>[0-9]{2})(?::00)?)?\s*(?:(?P<half>[ap])\.?m\.?)?\s*$", re.IGNORECASE
)
_POUNDS_OUNCES = re.compile(r"\s*([0-9]+)\s*lb\s*([0-9]+(?:\.[0-9]*)?)\s*oz\s*$")
_DECIMAL_COMMA = re.compile(r"[0-9],[0-9]")


def units_of(kind: Kind) -> tuple[str, ...]:
    """List the spellings of units that a kind of quantity accepts.

    Examples
    --------
    >>> units_of("length")
    ('mm', 'cm', 'm', 'in', 'ft')
    """
    spellings = tuple(spelling for unit in _TABLE[kind].units for spelling in unit.spellings)
    if kind == "duration":
        return (*spellings, "h:mm")
    if kind == "clock":
        return ("h:mm", "h", "h am", "h pm")
    return spellings


def parse_quantity(text: object, kind: Kind) -> float:
    """Read a quantity as a person writes it.

    - `text`: A number or fraction and a unit: ``"90 mm"``, ``"3 1/2 in"``, ``"20C"``, ``"8 %"``; for a duration also
      hours and minutes, ``"2:35"``, for a mass pounds and ounces, ``"1 lb 3.4 oz"``, and for a clock time ``"18:30"``,
      ``"9"`` or ``"9 am"``. Anything but a text is refused with the advice to put it in quotes.
    - `kind`: The kind of quantity that is expected here.
    - Returns the value in SI units, but temperatures in °C; a clock time in seconds after midnight.
    - UnitError: If the text is no such quantity. The message tells what was found, what is expected and which units are
      allowed.

    Examples
    --------
    >>> parse_quantity("3 1/2 in", "length")
    0.0889
    >>> parse_quantity("149 °F", "temperature")
    65.0
    >>> parse_quantity("2:35", "duration")
    9300.0
    >>> parse_quantity("9am", "clock") == parse_quantity("9", "clock") == 9 * 3600
    True
    >>> parse_quantity("90", "length")
    Traceback (most recent call last):
        ...
    coolsim.errors.UnitError: found '90' (no unit), expected a length such as '90 mm' (units: ...)
    """
    if not isinstance(text, str):
        raise _fault(text, kind, "not a text; a value with a unit needs quotes")
    if kind == "clock":
        return _clock(text)
    if kind == "duration" and (match := _HOURS_MINUTES.match(text)):
        hours, minutes = int(match[1]), int(match[2])
        if minutes > 59:
            raise _fault(text, kind, "read as hours:minutes, but an hour has 60 minutes")
        return _finite(3600.0 * hours + 60.0 * minutes, text, kind)
    if kind == "mass" and (match := _POUNDS_OUNCES.match(text)):
        return parse_quantity(f"{match[1]} lb", kind) + parse_quantity(f"{match[2]} oz", kind)
    if _DECIMAL_COMMA.search(text):
        raise _fault(text, kind, "a comma in a number; write a decimal point, as in '3.5'")
    # Typeset minus signs and raised digits come in by copy and paste.
    plain = text.replace("−", "-").replace("²", "2").replace("³", "3")
    match = _NUMBER.match(plain)
    if match is None:
        raise _fault(text, kind, "no number and unit")
    number = _number(match, text, kind)
    spelling = " ".join(match["unit"].split())
    if not spelling:
        raise _fault(text, kind, "no unit")
    unit = next((unit for unit in _TABLE[kind].units if spelling in unit.spellings), None)
    if unit is None:
        raise _fault(text, kind, _unknown(spelling, kind))
    value = _finite((number + unit.shift) * unit.times / unit.over, text, kind)
    if kind == "temperature" and value < -273.15:
        raise _fault(text, kind, "below absolute zero")
    return value


def format_quantity(value: float, kind: Kind, *, system: System = "metric", digits: int | None = None) -> str:
    """Write a quantity for people.

    - `value`: The value [SI, but °C for temperatures and s after midnight for a clock time].
    - `kind`: The kind of quantity.
    - `system`: Units of the workshop: mm, g, mL and °C, or in, oz, fl oz and °F.
    - `digits`: Exact number of decimals [-]. Left out, the number of decimals is what is useful for the kind, without
      trailing zeros. Durations of an hour and more and clock times have no decimals.
    - Returns the number and its unit. A duration is ``"2:35"`` (hours:minutes) from one hour on, else minutes or, below
      one minute, seconds. Without `digits`, inches come as a ruler has them: in sixteenths, below half an inch in
      thirty-seconds; what is thinner than one of these has decimals. From a pound on, a mass has pounds and ounces.
    - UnitError: If the value is not finite.

    Examples
    --------
    >>> format_quantity(65, "temperature"), format_quantity(65, "temperature", system="us")
    ('65 °C', '149 °F')
    >>> format_quantity(9300, "duration"), format_quantity(2700, "duration")
    ('2:35', '45 min')
    >>> format_quantity(0.0355, "length"), format_quantity(0.0355, "length", digits=2)
    ('35.5 mm', '35.50 mm')
    >>> format_quantity(0.44, "pressure"), format_quantity(3e6, "pressure")
    ('0.44 Pa', '3 MPa')
    >>> format_quantity(0.0794, "length", system="us"), format_quantity(0.55, "mass", system="us")
    ('3 1/8 in', '1 lb 3.4 oz')
    """
    if not math.isfinite(value):
        raise UnitError(f"found {value!r}, which cannot be written as {_TABLE[kind].called}")
    if kind == "duration":
        return _format_duration(value, digits)
    if kind == "clock":
        minutes = round(value / 60) % (24 * 60)
        return f"{minutes // 60}:{minutes % 60:02d}"
    unit, spelling = _pressure(value) if kind == "pressure" else _shown(kind, system)
    number = value * unit.over / unit.times - unit.shift
    if spelling == "in" and digits is None:
        return f"{inches_text(number)} in"
    if spelling == "oz":
        return _ounces(number, digits)
    return f"{_decimals(number, digits, _TABLE[kind].decimals[system == 'us'])} {spelling}"


def inches_text(inches: float) -> str:
    """Write a number of inches as a ruler has them, without the unit.

    Examples
    --------
    >>> [inches_text(inches) for inches in (3.12, 0.17, 0.99, 0.02, -0.2, 0.0)]
    ['3 1/8', '5/32', '1', '0.02', '-3/16', '0']
    """
    parts = _RULER if abs(inches) >= _FINE_BELOW else _FINE_RULER
    count = round(abs(inches) * parts)
    if count == 0 or abs(inches) * _FINE_RULER < 1.0 - _NEARLY:
        return _decimals(inches, None, _TABLE["length"].decimals[1])
    whole, rest = divmod(count, parts)
    common = math.gcd(rest, parts)
    fraction = f"{rest // common}/{parts // common}" if rest else ""
    return f"{'-' if inches < 0.0 else ''}{' '.join(part for part in (str(whole or ''), fraction) if part)}"


def in_units(kind: Kind, system: System) -> tuple[float, float, str]:
    """Tell how a kind is written in a column: number = factor x value [SI, °C] + offset [-], and its unit.

    Durations are in seconds, clock times in seconds after midnight.

    Examples
    --------
    >>> in_units("temperature", "us"), in_units("length", "metric")
    ((1.8, 32.0, '°F'), (1000.0, 0.0, 'mm'))
    """
    if kind in ("duration", "clock"):
        return 1.0, 0.0, "s"
    unit, spelling = _shown(kind, system)
    return unit.over / unit.times, 0.0 - unit.shift, spelling


def _shown(kind: Kind, system: System) -> tuple[_Unit, str]:
    quantity = _TABLE[kind]
    spelling = quantity.us if system == "us" else quantity.metric
    return next(unit for unit in quantity.units if spelling in unit.spellings), spelling


def _ounces(ounces: float, digits: int | None) -> str:
    """Write a mass; the rounded value decides: 15.99 oz are 1 lb."""
    useful = _TABLE["mass"].decimals[1]
    rounded = round(abs(ounces), useful if digits is None else digits)
    if rounded < _OUNCES_OF_POUND:
        return f"{_decimals(ounces, digits, useful)} oz"
    pounds, rest = divmod(rounded, _OUNCES_OF_POUND)
    left = _decimals(rest, digits, useful)
    told = f"{pounds:.0f} lb" + (f" {left} oz" if float(left) else "")
    return f"-{told}" if ounces < 0.0 else told


def _pressure(value: float) -> tuple[_Unit, str]:
    """Take the unit for a stress, which goes from tenths of a pascal to millions: the largest of which there is one."""
    units = _TABLE["pressure"].units[:3]
    unit = next((one for one in reversed(units) if abs(value) >= one.times), units[0])
    return unit, unit.spellings[0]


def _number(match: re.Match[str], text: str, kind: Kind) -> float:
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["decimal"] is not None:
        return sign * float(match["decimal"])
    bottom = int(match["bottom"])
    if bottom == 0:
        raise _fault(text, kind, "a fraction over zero")
    return sign * ((int(match["whole"] or 0) * bottom + int(match["top"])) / bottom)


def _clock(text: str) -> float:
    match = _CLOCK.match(text)
    if match is None:
        raise _fault(text, "clock", "no hour, and no hours:minutes")
    hours, minutes = int(match["hours"]), int(match["minutes"] or 0)
    if match["half"]:
        if not 1 <= hours <= 12:
            raise _fault(text, "clock", "am and pm go with hours from 1 to 12")
        hours = hours % 12 + (12 if match["half"].lower() == "p" else 0)
    if hours > 23 or minutes > 59:
        raise _fault(text, "clock", "a day runs from 0:00 to 23:59")
    return 3600.0 * hours + 60.0 * minutes


def _finite(value: float, text: str, kind: Kind) -> float:
    if not math.isfinite(value):
        raise _fault(text, kind, "too large for a number")
    return value


def _fault(found: object, kind: Kind, reason: str) -> UnitError:
    quantity = _TABLE[kind]
    units = ", ".join(units_of(kind))
    expected = f"{quantity.called} such as {quantity.example!r} (units: {units})"
    return UnitError(f"found {found!r} ({reason}), expected {expected}")


def _unknown(spelling: str, kind: Kind) -> str:
    allowed = tuple(spelling for unit in _TABLE[kind].units for spelling in unit.spellings)
    owners = [
        quantity.called for quantity in _TABLE.values() if any(spelling in unit.spellings for unit in quantity.units)
    ]
    reason = f"{spelling!r} is a unit of {owners[0]}" if owners else f"unknown unit {spelling!r}"
    same_letters = [name for name in allowed if name.casefold() == spelling.casefold()]
    other_name = _OTHER_NAMES.get(spelling.casefold())
    hint: str | None
    if same_letters:
        hint = same_letters[0]
    elif other_name in allowed:
        hint = other_name
    else:
        from difflib import get_close_matches

        # One letter in common out of two is enough: units are short.
        hint = next(iter(get_close_matches(spelling, allowed, n=1, cutoff=0.5)), None)
    return f"{reason}; did you mean {hint!r}?" if hint else reason


def _decimals(number: float, digits: int | None, useful: int) -> str:
    # "z" turns a rounded -0.0 into 0.0.
    if digits is not None:
        return f"{number:z.{digits}f}"
    text = f"{number:z.{useful}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _format_duration(value: float, digits: int | None) -> str:
    sign = "-" if value < 0 else ""
    seconds = abs(value)
    # The rounded value decides on the unit: 59.99 min is 1:00, never 60 min.
    if 0 < float(f"{seconds:.{digits or 0}f}") < 60:
        return f"{sign}{_decimals(seconds, digits, 0)} s"
    minutes_text = _decimals(seconds / 60, digits, 0)
    if float(minutes_text) < 60:
        return f"{sign if float(minutes_text) else ''}{minutes_text} min"
    minutes = round(seconds / 60)
    return f"{sign}{minutes // 60}:{minutes % 60:02d}"
