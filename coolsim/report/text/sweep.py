"""The rows of a sweep as text, as comma-separated values and as data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coolsim.answers.answer import Value
from coolsim.answers.catalogue import BY_KEY
from coolsim.report.csv_text import csv_text
from coolsim.report.text.page import paragraph
from coolsim.report.wording import hours_minutes, in_units, volume_units
from coolsim.scenario.ranges import unit_of
from coolsim.studies.sweep.sweep import SweptRow
from coolsim.units import Kind, System, format_quantity, parse_quantity

_NONE = "–"
_SCENARIO, _KEY, _ANSWERS = 8, 13, (7, 7, 8, 8, 8, 8)
_SYMBOLS = ("C", "K", "s", "m", "m3", "J")


def sweep_text(rows: Sequence[SweptRow], titles: Sequence[str], *, units: System) -> str:
    """Write the rows of a sweep as a table of the main answers, and why points failed.

    Parameters
    ----------
    rows : sequence of SweptRow
        The rows.
    titles : sequence of str
        What the scenarios are called.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Lines of at most 80 columns, as long as no more than two keys are swept.
    """
    length, volume = in_units("length", units)[2], volume_units(units)[1]
    keys = [key for key, _ in rows[0].point.at]
    names = ("set", "top", "middle", "dish", "cavity", "skin")
    under = ("h:mm", "h:mm", length, volume, volume, "min")
    several = len(titles) > 1
    lines = [
        _row("scenario" if several else None, [key.rpartition(".")[0] for key in keys], names),
        _row("" if several else None, [key.rpartition(".")[2] for key in keys], under),
    ]
    lines.append("-" * len(lines[0]))
    for row in rows:
        number = str(row.point.scenario + 1) if several else None
        lines.append(_row(number, [_value(key, raw, units) for key, raw in row.point.at], _answers(row, units)))
    lines.append("-" * len(lines[0]))
    parts = ["\n".join(line.rstrip() for line in lines)]
    if several:
        parts.append(paragraph(" ".join(f"{number}: {title}." for number, title in enumerate(titles, start=1))))
    parts.append(
        paragraph(
            "set: fully set. top: top closed. middle: middle of the top minus its rim. skin: when the first skin at the"
            " glass has melted again."
        )
    )
    failed: dict[str, list[SweptRow]] = {}
    for row in rows:
        if row.fault is not None:
            failed.setdefault(row.fault, []).append(row)
    if failed:
        count = sum(map(len, failed.values()))
        lines = [f"{count} of {len(rows)} points failed:"]
        for fault, ones in failed.items():
            others = f" (and {len(ones) - 1} more)" if len(ones) > 1 else ""
            lines.append(paragraph(f"{_at(ones[0], units)}{others}: {fault}"))
        parts.append("\n".join(lines))
    return "\n\n".join(parts)


def sweep_csv(rows: Sequence[SweptRow], titles: Sequence[str], *, units: System) -> str:
    """Write the rows of a sweep as comma-separated values.

    Parameters
    ----------
    rows : sequence of SweptRow
        The rows.
    titles : sequence of str
        What the scenarios are called.
    units : {"metric", "us"}
        Units of the workshop for temperatures, lengths and volumes; each is named in the first row.

    Returns
    -------
    str
        One row for each point, as in RFC 4180. A field is empty where there is no answer.
    """
    keys = [key for key, _ in rows[0].point.at]
    heading = ["scenario", *(_key_heading(key, units) for key in keys)]
    return csv_text(
        [*heading, *(_heading(name, units) for name in BY_KEY), "fault"],
        (
            [
                titles[row.point.scenario],
                *(_key_field(key, raw, units) for key, raw in row.point.at),
                *(_field(name, (row.answers or {}).get(name), units) for name in BY_KEY),
                row.fault or "",
            ]
            for row in rows
        ),
    )


def sweep_data(rows: Sequence[SweptRow], titles: Sequence[str]) -> list[dict[str, Any]]:
    """Give the rows of a sweep as plain data.

    Parameters
    ----------
    rows : sequence of SweptRow
        The rows.
    titles : sequence of str
        What the scenarios are called.

    Returns
    -------
    list of dict
        ``scenario``, ``at`` with the values as the scenario states them, ``answers`` in SI and °C, ``fault``.
    """
    return [
        {"scenario": titles[row.point.scenario], "at": dict(row.point.at), "answers": row.answers, "fault": row.fault}
        for row in rows
    ]


def _row(scenario: str | None, keys: Sequence[str], cells: Sequence[str]) -> str:
    front = "" if scenario is None else f"{scenario:>{_SCENARIO}}"
    front += "".join(f"{key[: _KEY - 1]:>{_KEY}}" for key in keys)
    return front + "".join(f"{cell:>{width}}" for cell, width in zip(cells, _ANSWERS, strict=True))


def _answers(row: SweptRow, units: System) -> Sequence[str]:
    found = row.answers
    if found is None:
        return ("failed", "", "", "", "", "")
    length, volume = in_units("length", units)[0], volume_units(units)[0]
    digits = (1, 2) if units == "metric" else (2, 3)
    gone = found["skin_melted_again_s"]
    skin = "none" if found["skin_formed_s"] is None else "stays"
    return (
        _time(found["fully_set_s"]),
        _time(found["top_closed_s"]),
        _number(found["flatness_m"], length, digits[0]),
        _number(found["dish_volume_m3"], volume, digits[1]),
        _number(found["cavity_volume_m3"], volume, digits[1]),
        skin if gone is None else _number(gone, 1 / 60, 1),
    )


def _time(value: Value) -> str:
    return hours_minutes(value) if isinstance(value, float) else _NONE


def _number(value: Value, factor: float, digits: int) -> str:
    return f"{factor * value:z.{digits}f}" if isinstance(value, float) else _NONE


def _at(row: SweptRow, units: System) -> str:
    return ", ".join(f"{key} = {_value(key, raw, units)}" for key, raw in row.point.at) or "the scenario"


def _value(key: str, raw: Any, units: System) -> str:
    """Write a raw value in the units of the workshop if that loses nothing, else as it was stated."""
    unit = unit_of(key)
    if unit is None or not isinstance(raw, str):
        return str(raw).lower() if isinstance(raw, bool) else f"{raw}"
    text = format_quantity(parse_quantity(raw, unit[0]), unit[0], system=units)
    if abs(parse_quantity(text, unit[0]) - parse_quantity(raw, unit[0])) < 1e-9:
        return text
    return raw if units == "metric" else text


def _key_heading(key: str, units: System) -> str:
    unit = unit_of(key)
    return key if unit is None else f"{key} [{_unit(unit[0], unit[1], units)}]"


def _key_field(key: str, raw: Any, units: System) -> str:
    unit = unit_of(key)
    if unit is None or not isinstance(raw, str):
        return str(raw).lower() if isinstance(raw, bool) else str(raw)
    if unit[0] == "duration":
        return f"{parse_quantity(raw, 'duration'):.10g}"
    number = format_quantity(parse_quantity(raw, unit[0]), unit[0], system=units, digits=10).partition(" ")[0]
    return f"{float(number):.10g}"


def _unit(kind: Kind, metric: str, units: System) -> str:
    if kind == "duration" or units == "metric":
        return metric
    return format_quantity(1.0, kind, system=units).partition(" ")[2]


def _heading(name: str, units: System) -> str:
    kind = BY_KEY[name].kind
    words, _, symbol = name.rpartition("_")
    if symbol not in _SYMBOLS:
        return name.replace("_", " ")
    shown = symbol if kind is None else _unit(kind, _metric(kind), units)
    return f"{words.replace('_', ' ')} [{shown}]"


def _metric(kind: Kind) -> str:
    return "s" if kind == "duration" else format_quantity(1.0, kind).partition(" ")[2]


def _field(name: str, value: Value, units: System) -> str:
    kind = BY_KEY[name].kind
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return value
    if kind is None:
        return f"{value:.8g}"
    if kind == "duration":
        return f"{value:.2f}"
    text = format_quantity(value, kind, system=units, digits=6).partition(" ")[0]
    return f"{float(text):.8g}"
