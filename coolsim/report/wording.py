"""Words, units and times as the tables and the figures write them."""

from __future__ import annotations

from typing import Literal

from coolsim.model.properties import METAL_CONDUCTIVITY
from coolsim.overview import hours_minutes as hours_minutes
from coolsim.solve.result import Result
from coolsim.units import Kind, System, format_quantity

CAUTION = (
    "Caution. Hot wax burns skin and catches fire: never leave melting wax alone, keep children and animals away, and"
    " keep a lid or a fire blanket at hand, never water. Glass can crack when hot wax is poured. These figures are"
    " computed, not measured; check them with a thermometer on your own jars. The data sheets of the suppliers of wax,"
    " fragrance and glass and the codes that hold where you work come first."
)
"""What a reader must know besides the figures; on paper, on figures and in JSON."""

SHORT_CAUTION = "Caution: hot wax burns and catches fire, glass cracks; data sheets come first."
"""The same in one line of a screen, under the answers."""

INVENTED = "The workshop and its figures are invented."
"""What stands with every answer about a scenario that is made up."""

_CALLED = {"pad": "box floor", "board": "box wall", "gap": "air gap"}
_FACTORS: dict[tuple[Kind, System], tuple[float, float, str]] = {
    ("length", "metric"): (1e3, 0.0, "mm"),
    ("length", "us"): (1 / 0.0254, 0.0, "in"),
    ("temperature", "metric"): (1.0, 0.0, "°C"),
    ("temperature", "us"): (1.8, 32.0, "°F"),
}


def temperature_text(celsius: float, units: System, *, digits: int | None = None) -> str:
    """Write a temperature.

    Parameters
    ----------
    celsius : float
        The temperature [°C].
    units : {"metric", "us"}
        Units of the workshop.
    digits : int, optional
        Decimals [-]; as many as are useful if left out.

    Returns
    -------
    str
        Number and unit.
    """
    return format_quantity(celsius, "temperature", system=units, digits=digits)


def length_text(metres: float, units: System) -> str:
    """Write a length.

    Parameters
    ----------
    metres : float
        The length [m].
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Number and unit.
    """
    return format_quantity(metres, "length", system=units)


def volume_text(cubic_metres: float, units: System) -> str:
    """Write a small volume.

    Parameters
    ----------
    cubic_metres : float
        The volume [m3].
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Number and unit.
    """
    return format_quantity(cubic_metres, "volume", system=units, digits=1 if units == "metric" else 2)


def difference_text(kelvin: float, units: System) -> str:
    """Write a difference of temperatures.

    Parameters
    ----------
    kelvin : float
        The difference [K].
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Number and unit.
    """
    return format_quantity(kelvin, "temperature_difference", system=units)


def in_units(kind: Literal["length", "temperature"], units: System) -> tuple[float, float, str]:
    """Tell how a kind of quantity is drawn: value in units = factor x value in SI + offset.

    Parameters
    ----------
    kind : {"length", "temperature"}
        What is drawn; temperatures come in °C.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    factor, offset, unit : float, float, str
        The two numbers, and what the axis says.
    """
    return _FACTORS[kind, units]


def volume_units(units: System) -> tuple[float, str]:
    """Tell how small volumes are written: factor on SI, and the unit.

    Parameters
    ----------
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    factor, unit : float, str
        The two.
    """
    return (1e6, "mL") if units == "metric" else (1e9 / 29573.5295625, "fl oz")


def called(result: Result, part: str) -> str:
    """Name a part of the section for the reader.

    Parameters
    ----------
    result : Result
        The run.
    part : str
        Its name in the section.

    Returns
    -------
    str
        "glass" is the vessel whatever it is made of: a well conducting one is called metal.
    """
    if part != "glass":
        return _CALLED.get(part, part)
    table = result.tables[result.parts.index(part)]
    conductivity = float(table.potential_slope[0] / table.temperature_slope[0])
    return "metal" if conductivity > METAL_CONDUCTIVITY else "glass"
