"""The rows of a sweep as text, as comma-separated values and as data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from coolsim.answers.answer import Answer, Value
from coolsim.answers.catalogue import ANSWERS
from coolsim.report.blocks import Block, Column, Lines, Note, Row, Table
from coolsim.report.csv_text import csv_text
from coolsim.report.text.page import as_text, paragraph
from coolsim.report.wording import WORST_OF_A_BOX, in_units, narrow_cell, narrow_head
from coolsim.scenario.ranges import kind_of
from coolsim.studies.sweep.sweep import SweptRow
from coolsim.units import System, format_quantity, parse_quantity

_KEY = 13
# Columns of the table, and how wide they are.
_SHOWN = {"fully_set_s": 7, "top_closed_s": 7, "dish_m": 8, "hole_m": 8, "void_volume_m3": 8, "skin_melted_again_s": 8}
_SYMBOLS = ("C", "K", "s", "m", "m3", "J")


def sweep_blocks(rows: Sequence[SweptRow], titles: Sequence[str], *, units: System) -> list[Block]:
    """Set the main answers of the points below each other, and say why points failed."""
    several = len(titles) > 1
    keys = [key.rpartition(".") for key, _ in rows[0].point.at]

    def cells(row: SweptRow) -> Row:
        start = [*([str(row.point.scenario + 1)] if several else []), *(_value(*one, units) for one in row.point.at)]
        if row.answers is None:
            return (*start, "failed", *[""] * (len(_SHOWN) - 1))
        return (*start, *(narrow_cell(key, row.answers, units) for key in _SHOWN))

    table = Table(
        columns=tuple(
            Column(width=width, right=True)
            for width in (*([8] if several else []), *[_KEY] * len(keys), *_SHOWN.values())
        ),
        headings=(
            *(["scenario"] if several else []),
            *(f"{part[: _KEY - 1]}\n{name[: _KEY - 1]}" for part, _, name in keys),
            *(narrow_head(key, units) for key in _SHOWN),
        ),
        rows=tuple(map(cells, rows)),
        gap=0,
        ruled=True,
    )
    legend = Note(
        "set: fully set. closed: top closed. dish: half-way in below the rim. hole: middle below half-way in. void:"
        " pores and cavities in the wax. skin: when the first skin at the glass has melted again."
    )
    named = Note(" ".join(f"{number}: {title}." for number, title in enumerate(titles, start=1)))
    boxes = any(row.answers is not None and row.answers["last_jar"] is not None for row in rows)
    notes = [*([named] if several else []), legend, *([Note(WORST_OF_A_BOX)] if boxes else [])]
    return [table, *notes, *_failed(rows, units)]


sweep_text = as_text(sweep_blocks)


def _failed(rows: Sequence[SweptRow], units: System) -> list[Block]:
    failed: dict[str, list[SweptRow]] = {}
    for row in rows:
        if row.fault is not None:
            failed.setdefault(row.fault, []).append(row)
    if not failed:
        return []
    lines = [f"{sum(map(len, failed.values()))} of {len(rows)} points failed:"]
    for fault, ones in failed.items():
        others = f" (and {len(ones) - 1} more)" if len(ones) > 1 else ""
        lines.append(paragraph(f"{_at(ones[0], units)}{others}: {fault}"))
    return [Lines(tuple(lines))]


def sweep_csv(rows: Sequence[SweptRow], titles: Sequence[str], *, units: System) -> str:
    """Write all answers of each point as comma-separated values; a field is empty where there is no answer."""
    keys = [key for key, _ in rows[0].point.at]
    return csv_text(
        ["scenario", *(_key_heading(key, units) for key in keys), *(_heading(one, units) for one in ANSWERS), "fault"],
        (
            [
                titles[row.point.scenario],
                *(_key_field(key, raw, units) for key, raw in row.point.at),
                *(_field(one, (row.answers or {}).get(one.key), units) for one in ANSWERS),
                row.fault or "",
            ]
            for row in rows
        ),
    )


def sweep_data(rows: Sequence[SweptRow], titles: Sequence[str]) -> list[dict[str, Any]]:
    """Give the points as plain data: values as the scenario states them, answers in SI and °C."""
    return [
        {"scenario": titles[row.point.scenario], "at": dict(row.point.at), "answers": row.answers, "fault": row.fault}
        for row in rows
    ]


def _at(row: SweptRow, units: System) -> str:
    return ", ".join(f"{key} = {_value(key, raw, units)}" for key, raw in row.point.at) or "the scenario"


def _value(key: str, raw: Any, units: System) -> str:
    """Write a raw value in the units of the workshop if that loses nothing, else as it was stated."""
    kind = kind_of(key)
    if kind is None or not isinstance(raw, str):
        return _plain(raw)
    text = format_quantity(parse_quantity(raw, kind), kind, system=units)
    if abs(parse_quantity(text, kind) - parse_quantity(raw, kind)) < 1e-9:
        return text
    return raw if units == "metric" else format_quantity(parse_quantity(raw, kind), kind, system=units, digits=3)


def _plain(raw: Any) -> str:
    return str(raw).lower() if isinstance(raw, bool) else str(raw)


def _key_heading(key: str, units: System) -> str:
    kind = kind_of(key)
    return key if kind is None else f"{key} [{in_units(kind, units)[2]}]"


def _key_field(key: str, raw: Any, units: System) -> str:
    kind = kind_of(key)
    if kind is None or not isinstance(raw, str):
        return _plain(raw)
    factor, offset, _ = in_units(kind, units)
    return f"{round(factor * parse_quantity(raw, kind) + offset, 10):z.10g}"


def _heading(answer: Answer, units: System) -> str:
    words, _, symbol = answer.key.rpartition("_")
    if symbol not in _SYMBOLS:
        return answer.key.replace("_", " ")
    shown = symbol if answer.kind is None else in_units(answer.kind, units)[2]
    return f"{words.replace('_', ' ')} [{shown}]"


def _field(answer: Answer, value: Value, units: System) -> str:
    if value is None:
        return ""
    if isinstance(value, bool | str):
        return _plain(value)
    if answer.kind is None:
        return f"{value:.8g}"
    factor, offset, _ = in_units(answer.kind, units)
    number = factor * value + offset
    return f"{number:.2f}" if answer.kind == "duration" else f"{round(number, 6):z.8g}"
