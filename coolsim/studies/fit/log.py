"""A thermometer's log: readings of one or more probes at stated places, since the pour.

The file is read in three steps: its text as rows of cells (`LogTable`), their times as seconds since the pour, and the
columns of probes. What can be read in one way only is read, and `LogTable.how` says in which. Everything else is an
error with the number of the line: a log that is silently misread would be fitted just as well.
"""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from coolsim.errors import LogError, UnitError
from coolsim.model.jar import Jar
from coolsim.model.section import Array
from coolsim.scenario.given_file import read_given
from coolsim.units import parse_quantity

_LARGEST_FILE = 50_000_000
_MOST_LINES = 1_000_000  # a reading each second for eleven days
_MOST_COLUMNS = 100
_DELIMITERS = {";": "semicolons", "\t": "tabs", ",": "commas"}
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
# A date with points, as in 14.03.2026, is none.
_COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+(?![\d,])")
_POINT_NUMBER = re.compile(r"[+-]?\d+\.\d+(?![\d.])")


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
    text, how = read_text(Path(path))
    return table_of(text, where=where, how=how)


def table_of(text: str, *, where: str, how: tuple[str, ...] = (), bare: bool = False) -> LogTable:
    """Cut the text of a log into rows; see `read_table`. A bare one has headings, and may have no rows yet."""
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
    if not rows and not bare:
        raise LogError(f"{where}: found headings and no readings. Give at least one row below them.")
    width = len(names if names is not None else rows[0][1])
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
            raise LogError(f"{where}: line {number}: found {len(cells)} columns instead of {width}{advice}.")
    rows = [(number, cells[:width]) for number, cells in rows]
    if delimiter != ",":
        rows, comma = _points(rows, where)
        if comma:
            how += ("decimal commas",)
    return LogTable(where=where, names=names, rows=tuple(rows), how=how)


def read_text(path: Path) -> tuple[str, tuple[str, ...]]:
    """Read the text of a log, and tell how it is encoded if that is not UTF-8; LogError if it cannot be read."""
    where = str(path)
    try:
        content = read_given(path, most=_LARGEST_FILE)
    except FileNotFoundError:
        raise LogError(f"{where}: no such file. Check the path of the log.") from None
    except IsADirectoryError:
        raise LogError(f"{where}: found a directory. Give a log file.") from None
    except OSError as error:
        raise LogError(f"{where}: cannot be read: {error.strerror}. Give a log file.") from error
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
        raise LogError(f"{where}: line {number}: {error}. Correct the quotes of this line.") from None
    return tuple(cell.strip() for cell in cells)


def _advice(delimiter: str, *, more: bool) -> str:
    if delimiter == "," and more:
        return ". If its commas are decimal commas, put semicolons between the columns"
    return ". Correct or delete this line"


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


TimeUnit = Literal["s", "min", "h"]
"""Unit of times that are plain numbers."""

_SECONDS: dict[str, float] = {"s": 1.0, "min": 60.0, "h": 3600.0}
_DAY = 86400.0
# Nobody pours candles between midnight and four, but times since the pour begin there.
_SURELY_A_CLOCK = 4 * 3600.0
_CLOCK = re.compile(r"(\d{1,3}):(\d{2})(?::(\d{2}(?:\.\d+)?))?\s*([ap])?\.?(?:m\.?)?", re.IGNORECASE)
_DATE = re.compile(r"(\d{1,4}[-./]\d{1,2}[-./]\d{1,4})[T\s]+(.+)")


@dataclass(frozen=True, slots=True)
class _Stamp:
    """A time of the log [s], since midnight of its first day if it is a clock; `day` is the text of its date."""

    seconds: float
    day: str = ""


def seconds_since_pour(
    cells: Sequence[tuple[int, str]], *, where: str, unit: TimeUnit | None, pour_at: str | None
) -> tuple[Array, tuple[str, ...]]:
    """Read the times of a log, each a number of its line and a text, as seconds since the pour, and tell how.

    They do not fall and may start below zero. A clock that goes back by more than twelve hours has passed midnight.
    A log whose rows run backwards throughout is not turned round: which end is the pour would be a guess. LogError
    if a time cannot be read, goes back, or could mean several things.
    """
    number, first = cells[0]
    read, how = _reader(first, number, where, unit)
    stamps = []
    for line, text in cells:
        try:
            stamps.append(read(text))
        except ValueError as error:
            raise LogError(
                f"{where}: line {line}: found {text!r} as a time, give {error}. Correct or delete this line."
            ) from None
    clock = bool(_CLOCK.fullmatch(first) or stamps[0].day)
    times = _rising(stamps, [line for line, _ in cells], where, clock=clock)
    start, told = _pour(times[0], first, pour_at, where, clock=clock)
    if told:
        how += (told,)
    return times - start, how


def _reader(
    first: str, number: int, where: str, unit: TimeUnit | None
) -> tuple[Callable[[str], _Stamp], tuple[str, ...]]:
    """Find out how times are written; what reads them raises ValueError with what it wants to be given."""
    if _CLOCK.fullmatch(first):
        return _clock, ("times as hours and minutes",)
    if _DATE.fullmatch(first):
        return _dated, ("times with dates",)
    if unit is None:
        raise LogError(
            f"{where}: line {number}: found the time {first!r} without a unit. Write the unit into the heading, as in"
            " 'time [min]', or give --log-time min."
        )
    factor = _SECONDS[unit]
    return lambda text: _Stamp(factor * _plain(text)), (f"times in {unit}",)


def _plain(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = np.nan
    if not np.isfinite(value):
        raise ValueError("a number")
    return value


def _clock(text: str) -> _Stamp:
    seconds = _clock_seconds(text)
    if seconds is None:
        raise ValueError("hours and minutes such as '14:05'")
    return _Stamp(seconds)


def _clock_seconds(text: str) -> float | None:
    found = _CLOCK.fullmatch(text)
    if found is None or int(found[2]) > 59 or float(found[3] or 0) >= 60 or (found[4] and int(found[1]) > 12):
        return None
    hours = int(found[1])
    if found[4]:
        hours = hours % 12 + (12 if found[4].lower() == "p" else 0)
    return 3600.0 * hours + 60.0 * int(found[2]) + float(found[3] or 0)


def _dated(text: str) -> _Stamp:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        found = _DATE.fullmatch(text)
        if found is None:
            raise ValueError("a date and a time such as '2026-03-14 14:05'") from None
        return _Stamp(_clock(found[2]).seconds, found[1])
    midnight = datetime(moment.year, moment.month, moment.day)
    ordinal = midnight.toordinal() * _DAY
    return _Stamp(ordinal + (moment.replace(tzinfo=None) - midnight).total_seconds(), "iso")


def _rising(stamps: Sequence[_Stamp], lines: Sequence[int], where: str, *, clock: bool) -> Array:
    times = np.empty(len(stamps))
    days = 0
    for index, stamp in enumerate(stamps):
        before = stamps[index - 1] if index else stamp
        fell = before.seconds - stamp.seconds
        if stamp.day != before.day:
            # Day and month may stand in any order: the next date is the next day.
            days += 1
        elif clock and not stamp.day and fell > 0.5 * _DAY:
            days += 1
        elif fell > 0.0:
            raise LogError(
                f"{where}: line {lines[index]}: the time goes back by {_span(fell)}. Put the rows in order of time, or"
                " delete those that are wrong."
            )
        times[index] = stamp.seconds + days * _DAY
    return times


def _span(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"


def _pour(first: float, text: str, pour_at: str | None, where: str, *, clock: bool) -> tuple[float, str]:
    """Time of the pour on the scale of the log [s], and how that was found."""
    if pour_at is None:
        if not clock:
            return 0.0, ""
        if 0.0 < first < _SURELY_A_CLOCK:
            raise LogError(
                f"{where}: the times start at {text}: a clock, or the time since the pour? Give --pour-at with the"
                " time of the pour; --pour-at 0:00 if the times count from it."
            )
        return first, f"the pour at the first row, {text}"
    if not clock:
        try:
            return parse_quantity(pour_at, "duration"), ""
        except UnitError as error:
            raise LogError(f"time of the pour: {error}.") from None
    at = _clock_seconds(pour_at.strip())
    if at is None:
        raise LogError(f"time of the pour: found {pour_at!r}, give hours and minutes such as '14:05'.")
    # The moment of that clock time nearest to the first row.
    since = (first - at + 0.5 * _DAY) % _DAY - 0.5 * _DAY
    return first - since, ""


ProbePlace = tuple[float, float] | Literal["mean"]
"""Where a probe is: distance from the axis and height above the bottom of the wax [m], or the mean of the wax."""

TemperatureUnit = Literal["C", "F", "K"]
"""Unit of temperatures that are plain numbers."""

_Unit = TypeVar("_Unit", bound=str)
_AT_THE_POUR = 60.0  # s; a first reading until then is one of the pour
_LONGEST_NAME = 60  # letters of a heading in a message
_LOST_IN_POURING = 5.0  # K by which wax may be colder in the jar than it was poured: common practice, no source
GAPS = frozenset({"", "-", "--", "---", "–", "nan", "n/a", "na", "null", "none"})
_BRACKETED = re.compile(r"(?P<name>.*?)[\s_]*[\[(](?P<unit>[^\])]*)[\])]\s*")
_LAST_WORD = re.compile(r"(?P<name>.*?)(?:\s*/\s*|[\s_]+)(?P<unit>[^\s_/]+)")
_CLOCK_UNIT = re.compile(r"[hms]+(:[hms]+)+", re.IGNORECASE)


def _spellings(table: Mapping[_Unit, str]) -> dict[str, _Unit]:
    return {name: unit for unit, names in table.items() for name in names.split(", ")}


_DEGREES: dict[str, TemperatureUnit] = _spellings(
    {"C": "c, °c, degc, deg c, celsius, ℃", "F": "f, °f, degf, deg f, fahrenheit, ℉", "K": "k, kelvin"}
)
_TIMES: dict[str, TimeUnit] = _spellings(
    {"s": "s, sec, secs, second, seconds", "min": "min, mins, minute, minutes", "h": "h, hr, hrs, hour, hours"}
)
_CALLED_TIME = ("time", "clock", "elapsed", "t", "date time", "datetime", "timestamp", "date/time", *_TIMES)


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Probe:
    """The readings of one probe [°C] and their times since the pour [s], which do not fall; its name is its column."""

    name: str
    place: ProbePlace
    time: Array
    temperature: Array


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Log:
    """A log, read: probes with a place, each with at least three readings.

    `how` says in phrases how it was read and what was left out.
    """

    where: str
    probes: tuple[Probe, ...]
    how: tuple[str, ...]

    @property
    def end(self) -> float:
        """Time of the last reading [s]."""
        return max(float(probe.time[-1]) for probe in self.probes)


@dataclass(frozen=True, slots=True)
class _Column:
    index: int
    name: str
    unit: str


def read_log(
    path: Path | str,
    places: Mapping[str, ProbePlace],
    *,
    between: tuple[float, float],
    time_unit: TimeUnit | None = None,
    temperature_unit: TemperatureUnit | None = None,
    required: Collection[str] = (),
    pour_at: str | None = None,
    first: float = 0.0,
    last: float | None = None,
    horizon: float = float("inf"),
) -> Log:
    """Read a thermometer's log: comma-, semicolon- or tab-separated values, a time and the temperatures of probes.

    Places go by the headings of the columns, without the unit; letter case does not count. A single place and a
    single column go together whatever they are called, unless that place is `required`. Temperatures must lie
    `between` [°C]. Units are given where headings do not state them; temperatures are in °C if left out. The wax was
    poured at `pour_at` on the clock of the log; left out, at its first row if it has clock times, at zero if it has
    numbers. Readings before `first` and after `last` [s], which lie within the log, are left out, and without
    `last` those after `horizon` [s]; empty cells are gaps. LogError names the line if it cannot be read, or could
    be read in several ways.
    """
    table = read_table(path)
    columns = _columns(table)
    time_column, combined = _time_column(columns)
    unit: TimeUnit | None = time_unit or _TIMES.get(time_column.unit)
    of_time = [one.index for one in (combined, time_column) if one is not None]
    cells = [(number, " ".join(row[index] for index in of_time)) for number, row in table.rows]
    time, told = seconds_since_pour(cells, where=table.where, unit=unit, pour_at=pour_at)
    placed, left = _placed(table, [one for one in columns if one not in (time_column, combined)], places, required)
    _check_window(table.where, time, first, last)
    kept = (time >= first) & (time <= (horizon if last is None else last))
    how = [*table.how, *told]
    gaps, assumed, probes = 0, False, []
    for column, name, place in placed:
        degrees = _DEGREES.get(column.unit) or temperature_unit
        assumed |= degrees is None
        values = _temperatures(table, column, degrees or "C", between, known=degrees is not None)
        gaps += int(np.isnan(values).sum())
        good = kept & ~np.isnan(values)
        if good.sum() < 3:
            raise LogError(
                f"{table.where}: found {good.sum()} readings of '{name}' that count. Give a log with at least three."
            )
        probes.append(Probe(name=name, place=place, time=time[good], temperature=values[good]))
    how += _notes(time, kept, gaps, left, assumed=assumed)
    return Log(where=table.where, probes=tuple(probes), how=tuple(how))


def check_begin(log: Log, jar: Jar) -> None:
    """Refuse a log that begins after the pour, where nobody said when that was.

    So it is if it has readings from the pour on, and no probe in the wax is ever nearly as warm as that. A cold
    probe may take its time to get there.
    """
    in_wax = [
        probe
        for probe in log.probes
        if isinstance(probe.place, str)
        or (probe.place[0] <= jar.vessel.inner_radius and 0.0 <= probe.place[1] <= jar.depth)
    ]
    early = [float(probe.temperature.max()) for probe in in_wax if probe.time[0] <= _AT_THE_POUR]
    if early and max(early) < jar.pour - _LOST_IN_POURING:
        raise LogError(
            f"{log.where}: the readings begin at {max(early):.1f} °C, and the wax is poured at {jar.pour:.1f} °C: they"
            " begin after the pour. Give --pour-at with the time of the pour on the clock of the log, or correct"
            " pour.temperature."
        )


def _check_window(where: str, time: Array, first: float, last: float | None) -> None:
    start, end = float(time[0]), float(time[-1])
    goes = f"{where}: the log goes from {start / 60:.0f} to {end / 60:.0f} min after the pour"
    if first >= end:
        raise LogError(f"{goes}, and what is before {first / 60:.0f} min is left out. Give an earlier --from.")
    if last is not None and not start < last <= end:
        way = "a later" if last <= start else "an earlier"
        raise LogError(f"{goes}, and --until is {last / 60:.0f} min. Give {way} --until, or leave it out.")
    if last is not None and first >= last:
        raise LogError(
            f"{where}: nothing is left between {first / 60:.0f} and {last / 60:.0f} min. Give --from before --until."
        )


def _columns(table: LogTable) -> list[_Column]:
    width = len(table.rows[0][1])
    if table.names is None:
        return [_Column(index, "time" if index == 0 else f"column {index + 1}", "") for index in range(width)]
    columns = [_Column(index, *_name_and_unit(name)) for index, name in enumerate(table.names)]
    for column in columns:
        if any(other.name.lower() == column.name.lower() for other in columns[: column.index]):
            raise LogError(f"{table.where}: found two columns called '{column.name}'. Give each its own heading.")
    return columns


def _name_and_unit(heading: str) -> tuple[str, str]:
    if heading.lower() in _TIMES:
        return heading, heading.lower()
    for pattern in (_BRACKETED, _LAST_WORD):
        found = pattern.fullmatch(heading)
        if found is not None:
            unit = " ".join(found["unit"].lower().replace("º", "°").split())
            if unit in _DEGREES or unit in _TIMES or _CLOCK_UNIT.fullmatch(unit):
                return found["name"].strip() or heading, unit
    return heading, ""


def _time_column(columns: Sequence[_Column]) -> tuple[_Column, _Column | None]:
    """Column of the times, and that of their dates if they stand apart."""
    named = {column.name.lower(): column for column in columns}
    found = next((named[name] for name in _CALLED_TIME if name in named), None)
    date = named.get("date")
    if found is None or found is date:
        return date or columns[0], None
    return found, date


def _placed(
    table: LogTable, columns: Sequence[_Column], places: Mapping[str, ProbePlace], required: Collection[str]
) -> tuple[list[tuple[_Column, str, ProbePlace]], list[str]]:
    """Columns with name and place of their probe, and the names of those that have none."""
    if not columns:
        raise LogError(f"{table.where}: found no column of temperatures beside the time.")
    asked = {name: places[name] for name in required} or places
    if len(columns) == len(asked) and (table.names is None or (len(asked) == 1 and not required)):
        return [(column, name, place) for column, (name, place) in zip(columns, asked.items(), strict=True)], []
    if table.names is None:
        raise LogError(
            f"{table.where}: found {len(columns)} columns of temperatures without headings and {len(asked)} probes."
            " Give one probe for each column, in their order, or write headings."
        )
    known = {name.lower(): (name, place) for name, place in places.items()}
    placed = [(column, *known[column.name.lower()]) for column in columns if column.name.lower() in known]
    found = {column.name.lower() for column in columns}
    missing = [f"'{name}'" for name in required if name.lower() not in found]
    names = ", ".join(f"'{column.name[:_LONGEST_NAME]}'" for column in columns)
    if missing:
        raise LogError(f"{table.where}: no column {' and '.join(missing)}. The columns are {names}.")
    if not placed:
        raise LogError(
            f"{table.where}: no place is known for any of its columns, {names}. Give it, as in --probe"
            f' "{columns[0].name}=0 mm,35 mm": distance from the axis, height above the bottom of the wax.'
        )
    return placed, [column.name for column in columns if column.name.lower() not in known]


def _temperatures(
    table: LogTable, column: _Column, unit: TemperatureUnit, between: tuple[float, float], *, known: bool
) -> Array:
    values = np.full(len(table.rows), np.nan)
    for index, (number, row) in enumerate(table.rows):
        text = row[column.index]
        if text.lower() in GAPS:
            continue
        try:
            values[index] = _celsius(text, unit)
        except ValueError:
            raise LogError(
                f"{table.where}: line {number}: found {text!r} as a temperature of '{column.name}', give a number."
                " Correct the cell, or leave it empty if there was no reading."
            ) from None
        if not between[0] <= values[index] <= between[1]:
            advice = "Correct the cell, or leave it empty."
            if not known and between[0] <= (values[index] - 32.0) / 1.8 <= between[1]:
                advice = f"If it is in °F, write '{column.name} [°F]' as its heading, or give --log-temperature F."
            raise LogError(
                f"{table.where}: line {number}: found {text} as a temperature of '{column.name}', outside of"
                f" {between[0]:.0f} to {between[1]:.0f} °C, where this jar can be. {advice}"
            )
    return values


def _celsius(text: str, unit: TemperatureUnit) -> float:
    try:
        return parse_quantity(f"{float(text)!r} {unit}", "temperature")
    except ValueError:
        try:
            # A cell may state its own unit.
            return parse_quantity(text.replace("º", "°"), "temperature")
        except UnitError as error:
            raise ValueError(str(error)) from None


def _notes(time: Array, kept: NDArray[np.bool_], gaps: int, left: Sequence[str], *, assumed: bool) -> list[str]:
    notes = []
    if assumed:
        notes.append("temperatures without a unit as °C")
    if gaps:
        notes.append(f"{gaps} empty cell{'s' if gaps > 1 else ''} left out")
    repeated = int((np.diff(time) == 0.0).sum())
    if repeated:
        notes.append(f"{repeated} time{'s' if repeated > 1 else ''} given again, each reading counts")
    outside = int((~kept).sum())
    if outside:
        notes.append(f"{outside} row{'s' if outside > 1 else ''} outside of the time that counts left out")
    if len(time) > 2:
        steps = np.diff(time)
        longest, usual = float(steps.max()), float(np.median(steps))
        if longest > 5.0 * max(usual, 1.0):
            at = float(time[int(steps.argmax())])
            notes.append(f"no readings for {longest / 60:.0f} min from {at / 60:.0f} min on")
    if left:
        notes.append(f"columns without a place left out: {', '.join(left)}")
    return notes
