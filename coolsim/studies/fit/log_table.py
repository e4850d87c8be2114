"""The text of a thermometer's log as rows of cells: encoding, delimiter and decimal mark found out, or refused.

What can be read in one way only is read, and `LogTable.how` says in which. Everything else is an error with the number
of the line: a log that is silently misread would be fitted just as well.
"""

from __future__ import annotations

import codecs
import csv
import re
from dataclasses import dataclass
from pathlib import Path

from coolsim.errors import LogError
from coolsim.scenario.given_file import read_given

_LARGEST_FILE = 50_000_000
_MOST_LINES = 1_000_000  # a reading each second for eleven days
_MOST_COLUMNS = 100
_DELIMITERS = {";": "semicolons", "\t": "tabs", ",": "commas"}
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+")
_POINT_NUMBER = re.compile(r"[+-]?\d+\.\d+")


@dataclass(frozen=True, slots=True, kw_only=True)
class LogTable:
    """A log as rows of text: number of the line and its cells, stripped, with decimal points.

    `names` are the headings of the columns, None where the file has none; `how` says how it was read, as far as
    that is not the usual way.
    """

    where: str
    names: tuple[str, ...] | None
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    how: tuple[str, ...]


def read_table(path: Path | str) -> LogTable:
    """Read the rows of a log, with or without headings; lines that are empty or start with ``#`` are left out.

    Semicolons or tabs in the first line are the delimiter; commas only where there is neither. A decimal comma is
    read where commas do not delimit, if no number of the file has a decimal point. LogError if it cannot be read,
    or could be read in several ways.
    """
    where = str(path)
    text, how = _text(Path(path), where)
    return table_of(text, where=where, how=how)


def table_of(text: str, *, where: str, how: tuple[str, ...] = ()) -> LogTable:
    """Cut the text of a log into rows; see `read_table`."""
    if max(text.count("\n"), text.count("\r")) > _MOST_LINES:
        raise LogError(f"{where}: more than {_MOST_LINES} lines. Give a shorter log.")
    lines = text.splitlines()
    kept = [number for number, line in enumerate(lines, start=1) if line.strip() and not line.lstrip().startswith("#")]
    if not kept:
        raise LogError(f"{where}: empty. Give a log with a line of headings, such as 'time [min],axis [°C]'.")
    first = lines[kept[0] - 1]
    delimiter = next((mark for mark in _DELIMITERS if mark in first), None)
    if delimiter is None:
        raise LogError(
            f"{where}: line {kept[0]}: found one column, {_short(first)}. Give a time and at least one temperature,"
            " with commas, semicolons or tabs between them."
        )
    if delimiter != ",":
        how += (f"{_DELIMITERS[delimiter]} between the columns",)
    rows = [(number, _cells(lines[number - 1], delimiter, where, number)) for number in kept]
    names = None if any(_NUMBER.fullmatch(cell) for cell in rows[0][1][1:]) else rows.pop(0)[1]
    if not rows:
        raise LogError(f"{where}: found headings and no readings. Give at least one row below them.")
    width = len(rows[0][1]) if names is None else len(names)
    for number, cells in rows:
        text = "".join(cells)
        other = next((mark for mark in ";\t" if delimiter == "," and mark in text), None)
        if other is not None:
            raise LogError(
                f"{where}: line {number}: found {_DELIMITERS[other]} where the first line has commas. Use one delimiter"
                " throughout."
            )
        if len(cells) != width and any(cells[width:] or ("short",)):
            advice = _advice(delimiter, more=len(cells) > width)
            raise LogError(f"{where}: line {number}: found {len(cells)} columns where {width} are due{advice}.")
    rows = [(number, cells[:width]) for number, cells in rows]
    if delimiter != ",":
        rows, comma = _points(rows, where)
        if comma:
            how += ("decimal commas",)
    return LogTable(where=where, names=names, rows=tuple(rows), how=how)


def _text(path: Path, where: str) -> tuple[str, tuple[str, ...]]:
    try:
        content = read_given(path, most=_LARGEST_FILE)
    except FileNotFoundError:
        raise LogError(f"{where}: no such file. Check the path of the log.") from None
    except IsADirectoryError:
        raise LogError(f"{where}: found a directory. Give the file of a log.") from None
    except OSError as error:
        raise LogError(f"{where}: cannot be read: {error.strerror}. Give the file of a log.") from error
    if len(content) > _LARGEST_FILE:
        raise LogError(f"{where}: larger than 50 MB. Give a shorter log.")
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _decoded(content, "utf-16", where), ("UTF-16 text",)
    how: tuple[str, ...] = ()
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Spreadsheets on Windows write the degree sign so.
        text, how = _decoded(content, "cp1252", where), ("Windows-1252 text",)
    if "\x00" in text:
        raise LogError(f"{where}: found bytes that are no text. Give a log as comma-separated values (CSV).")
    return text, how


def _decoded(content: bytes, encoding: str, where: str) -> str:
    try:
        return content.decode(encoding)
    except UnicodeDecodeError as error:
        raise LogError(f"{where}: neither UTF-8 nor {encoding} (byte {error.start}). Save it as UTF-8.") from None


def _cells(line: str, delimiter: str, where: str, number: int) -> tuple[str, ...]:
    if line.count(delimiter) >= _MOST_COLUMNS:
        raise LogError(
            f"{where}: line {number}: found {line.count(delimiter) + 1} columns. Give {_MOST_COLUMNS} at most."
        )
    try:
        (cells,) = csv.reader([line], delimiter=delimiter, strict=True, skipinitialspace=True)
    except csv.Error as error:
        raise LogError(f"{where}: line {number}: {error}. Mend the quotes of this line.") from None
    return tuple(cell.strip() for cell in cells)


def _advice(delimiter: str, *, more: bool) -> str:
    if delimiter == "," and more:
        return ". If its commas are decimal commas, put semicolons between the columns"
    return ". Mend or delete this line"


def _points(rows: list[tuple[int, tuple[str, ...]]], where: str) -> tuple[list[tuple[int, tuple[str, ...]]], bool]:
    """Turn decimal commas into points, if the file has none."""
    comma = _first_with(rows, _COMMA_NUMBER)
    if comma is None:
        return rows, False
    point = _first_with(rows, _POINT_NUMBER)
    if point is not None:
        raise LogError(
            f"{where}: line {max(comma, point)}: found decimal commas (line {comma}) and decimal points (line {point})."
            " Write all numbers alike."
        )
    return [
        (number, tuple(cell.replace(",", ".", 1) if _COMMA_NUMBER.match(cell) else cell for cell in cells))
        for number, cells in rows
    ], True


def _first_with(rows: list[tuple[int, tuple[str, ...]]], pattern: re.Pattern[str]) -> int | None:
    return next((number for number, cells in rows if any(pattern.match(cell) for cell in cells)), None)


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else f"{text[:40]}…")
