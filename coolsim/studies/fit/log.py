"""A thermometer's log: readings of one or more probes at stated places, since the pour."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from coolsim.errors import LogError, UnitError
from coolsim.model.jar import Jar
from coolsim.model.section import Array
from coolsim.studies.fit.log_table import LogTable, read_table
from coolsim.studies.fit.log_times import TimeUnit, seconds_since_pour
from coolsim.units import parse_quantity

Place = tuple[float, float] | Literal["mean"]
"""Where a probe is: distance from the axis and height above the bottom of the wax [m], or the mean of the wax."""

TemperatureUnit = Literal["C", "F", "K"]
"""Unit of temperatures that are plain numbers."""

_Unit = TypeVar("_Unit", bound=str)
_AT_THE_POUR = 60.0  # s; a first reading until then is one of the pour
_LONGEST_NAME = 60  # letters of a heading in a message
_LOST_IN_POURING = 5.0  # K by which wax may be colder in the jar than it was poured: common practice, no source
_GAPS = frozenset({"", "-", "--", "---", "–", "nan", "n/a", "na", "null", "none"})
_BRACKETED = re.compile(r"(?P<name>.*?)[\s_]*[\[(](?P<unit>[^\])]*)[\])]\s*")
_LAST_WORD = re.compile(r"(?P<name>.*?)(?:\s*/\s*|[\s_]+)(?P<unit>[^\s_/]+)")
_CLOCK_UNIT = re.compile(r"[hms]+(:[hms]+)+", re.IGNORECASE)


def _spellings(table: Mapping[_Unit, str]) -> dict[str, _Unit]:
    return {name: unit for unit, names in table.items() for name in names.split(", ")}


_DEGREES: dict[str, TemperatureUnit] = _spellings(
    {
        "C": "c, °c, degc, deg c, celsius, ℃",
        "F": "f, °f, degf, deg f, fahrenheit, ℉",
        "K": "k, kelvin",
    }
)
_TIMES: dict[str, TimeUnit] = _spellings(
    {
        "s": "s, sec, secs, second, seconds",
        "min": "min, mins, minute, minutes",
        "h": "h, hr, hrs, hour, hours",
    }
)
_CALLED_TIME = ("time", "clock", "elapsed", "t", "date time", "datetime", "timestamp", "date/time", *_TIMES)


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Probe:
    """The readings of one probe [°C] and their times since the pour [s], which do not fall; its name is its column."""

    name: str
    place: Place
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
    def readings(self) -> int:
        """Number of readings of all probes [-]."""
        return sum(len(probe.time) for probe in self.probes)

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
    places: Mapping[str, Place],
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
    `between` [°C]. Units are told where headings do not state them; temperatures are in °C if left out. The wax was
    poured at `pour_at` on the clock of the log; left out, at its first row if it has clock times, at zero if it has
    numbers. Readings before `first` and after `last` [s], which lie within the log, are left out, and without
    `last` those after `horizon` [s]; empty cells are gaps. LogError names the line if it cannot be read, or could
    be read in several ways.
    """
    table = read_table(path)
    columns = _columns(table)
    time_column, combined = _time_column(columns)
    unit: TimeUnit | None = time_unit or _TIMES.get(time_column.unit)
    cells = [(number, _time_text(row, combined, time_column)) for number, row in table.rows]
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
        raise LogError(f"{goes}, and what is before {first / 60:.0f} min is to be left out. Give an earlier --from.")
    if last is not None and not start < last <= end:
        way = "a later" if last <= start else "an earlier"
        raise LogError(f"{goes}, and is to count until {last / 60:.0f} min. Give {way} --until, or leave it out.")
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


def _time_text(row: tuple[str, ...], date: _Column | None, time: _Column) -> str:
    return row[time.index] if date is None else f"{row[date.index]} {row[time.index]}"


def _placed(
    table: LogTable, columns: Sequence[_Column], places: Mapping[str, Place], required: Collection[str]
) -> tuple[list[tuple[_Column, str, Place]], list[str]]:
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
        if text.lower() in _GAPS:
            continue
        try:
            values[index] = _celsius(text, unit)
        except ValueError:
            raise LogError(
                f"{table.where}: line {number}: found {text!r} as a temperature of '{column.name}', give a number."
                " Mend the cell, or leave it empty if there was no reading."
            ) from None
        if not between[0] <= values[index] <= between[1]:
            advice = "Mend the cell, or leave it empty."
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
