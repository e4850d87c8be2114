"""The log of the batches of a jar: a CSV beside its scenario, with a line for what was seen of each.

It may be opened in a spreadsheet: columns that the maker adds are kept, and it is read as the log of a thermometer is,
semicolons and decimal commas included. Nothing in it is ever written again: a batch is one more line.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

from coolsim.errors import LogError, ScenarioError, UnitError
from coolsim.scenario import Scenario, changed
from coolsim.studies.fit.log import GAPS, LogTable, read_text, table_of
from coolsim.studies.fit.parameters import Measured, Seen
from coolsim.studies.fit.probe_curves import EVENTS, RULER, SIGHTS
from coolsim.studies.fit.seen import seen_in_log
from coolsim.units import Kind, System, parse_quantity

_STATED: Mapping[str, Kind] = {"room": "temperature", "pour": "temperature"}
_CLOCK = "h:mm"
_UNITS: Mapping[System, Mapping[Kind, str]] = {
    "metric": {"temperature": "C", "length": "mm", "volume": "mL", "duration": _CLOCK},
    "us": {"temperature": "F", "length": "in", "volume": "fl oz", "duration": _CLOCK},
}
_HEADING = re.compile(r"(?P<name>[^\[(]*?)\s*(?:[\[(](?P<unit>[^\])]*)[\])])?")
_WITH_SECONDS = re.compile(r"(\d+:\d\d):\d\d")  # as spreadsheets write hours and minutes
_DELIMITERS = {"semicolons between the columns": ";", "tabs between the columns": "\t"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """A batch as it was logged: its day, room and pour [°C], the top in the maker's words, and what was measured.

    A room or pour that is not stated is that of the scenario. `line` is that of the file [-].
    """

    day: str
    room: float | None
    pour: float | None
    top: str
    seen: tuple[Seen, ...]
    line: int = 0

    def of(self, scenario: Scenario, where: str) -> Scenario:
        """Return the scenario at the room and pour of this batch; LogError names its line if that cannot be."""
        stated = {"room.temperature": self.room, "pour.temperature": self.pour}
        try:
            return changed(scenario, {key: value for key, value in stated.items() if value is not None})
        except ScenarioError as error:
            fault = error.faults[0].removeprefix(f"{scenario.where}: ")
            raise LogError(f"{where}: line {self.line}: {fault}") from None


class _Column(NamedTuple):
    name: str
    unit: str


def log_path(scenario: Path) -> Path:
    """Return the path of the log beside a scenario."""
    return scenario.with_name(f"{scenario.stem}-log.csv")


def read_batches(path: Path) -> tuple[Logged, ...]:
    """Read the batches of a log, in the order of their days if all are ISO dates, else in that of the lines.

    LogError names line and column of what does not fit.
    """
    text, how = read_text(path)
    return _batches(table_of(text, where=str(path), how=how))


def is_batch_log(path: Path) -> bool:
    """Whether a file is such a log, and not that of a thermometer; LogError if it cannot be read at all."""
    names = table_of(read_text(path)[0], where=str(path), bare=True).names or ()
    return {"date", *_STATED} <= {_column(name).name for name in names}


def line_for(path: Path, batch: Logged, system: System) -> bytes:
    """Make the line of a batch, in the columns, units and decimals of the log, or below the headings of a new one.

    LogError if the log does not fit, or lacks a column that the batch needs.
    """
    where = str(path)
    text, how = read_text(path) if path.exists() else ("", ())
    if "UTF-16 text" in how:
        raise LogError(f"{where}: UTF-16 text, to which no line can be added. Save it as UTF-8.")
    new = "" if text.strip() else _headings(system)
    table = table_of(text + new, where=where, how=how, bare=True)
    if table.names is None:
        raise LogError(f"{where}: line 1: found no headings. Write them, as in '{_headings(system).strip()}'.")
    delimiter = next((_DELIMITERS[one] for one in table.how if one in _DELIMITERS), ",")
    comma = "decimal commas" in table.how or (delimiter == ";" and not re.search(r"\d\.\d", text))
    values: dict[str, tuple[float, Kind]] = {one.what: (one.value, SIGHTS[one.what].kind) for one in batch.seen}
    values |= {name: (at, _STATED[name]) for name, at in (("room", batch.room), ("pour", batch.pour)) if at is not None}
    told = {"date": batch.day, "top": batch.top}
    columns = [_column(name) for name in table.names]
    missing = {*values, *(name for name, said in told.items() if said)} - {column.name for column in columns}
    if missing:
        raise LogError(f"{where}: line 1: found no column '{min(missing)}'. Add it behind the last heading.")
    cells = [
        _written(*values[column.name], column, where, comma=comma)
        if column.name in values
        else told.get(column.name, "")
        for column in columns
    ]
    row = io.StringIO()
    csv.writer(row, delimiter=delimiter, lineterminator="\r\n" if "\r\n" in text else "\n").writerow(cells)
    line = ("\n" if text and not text.endswith(("\n", "\r")) else "") + new + row.getvalue()
    # What is added must be read again, and so must all before it.
    _batches(table_of(text + line, where=where, how=how))
    try:
        return line.encode("cp1252" if how else "utf-8")
    except UnicodeEncodeError as error:
        letter = line[error.start]
        raise LogError(f"{where}: Windows-1252 text, in which there is no '{letter}'. Save it as UTF-8.") from None


def measured_of(scenario: Scenario, batches: Sequence[Logged], where: str) -> list[Measured]:
    """Turn batches into what a fit takes: those of one room and pour count together, by the mean of what was seen.

    LogError if nothing was measured.
    """
    alike: dict[str, tuple[Scenario, dict[str, list[Seen]]]] = {}
    for batch in batches:
        if batch.seen:
            at = batch.of(scenario, where)
            called = f"at {at.jar.room.at(0.0):.4g} °C, poured at {at.jar.pour:.4g} °C"
            _, sights = alike.setdefault(called, (at, {}))
            for one in batch.seen:
                sights.setdefault(one.what, []).append(one)
    if not alike:
        raise LogError(f"{where}: found no length, volume or time that was seen. Log one, as with --dish 2mm.")
    return [
        Measured(
            # What the fit says of it names the jar by its file.
            scenario=replace(at, where=f"{Path(scenario.where).stem} {called}.toml"),
            seen=tuple(map(_mean, sights.values())),
        )
        for called, (at, sights) in alike.items()
    ]


def _mean(sights: Sequence[Seen]) -> Seen:
    count = len(sights)
    return Seen(sights[0].what, sum(one.value for one in sights) / count, sights[0].deviation / count**0.5)


def _batches(table: LogTable) -> tuple[Logged, ...]:
    if table.names is None:
        raise LogError(f"{table.where}: found no headings. Write some, such as 'date,room [C],dish [mm]'.")
    columns = [_column(name) for name in table.names]
    names = [column.name for column in columns]
    known = {"date", "top", *_STATED, *SIGHTS}
    double = next((name for name in names if name in known and names.count(name) > 1), None)
    if double is not None:
        raise LogError(f"{table.where}: line 1: found two columns '{double}'. Give one of them another heading.")
    if not {"top", *SIGHTS} & set(names):
        raise LogError(
            f"{table.where}: line 1: found no column of what was seen. Give one of top, {', '.join((*RULER, *EVENTS))}."
        )
    # Two commands that began the log at once wrote the headings twice.
    rows = [(number, cells) for number, cells in table.rows if cells != table.names]
    batches = [_logged(number, dict(zip(columns, cells, strict=True)), table.where) for number, cells in rows]
    try:
        return tuple(sorted(batches, key=lambda batch: date.fromisoformat(batch.day)))
    except ValueError:
        return tuple(batches)


def _logged(number: int, cells: Mapping[_Column, str], where: str) -> Logged:
    told = {column.name: cell for column, cell in cells.items()}
    stated, seen = {}, []
    for column, cell in cells.items():
        if column.name not in {*_STATED, *SIGHTS} or cell.lower() in GAPS:
            continue
        text = _WITH_SECONDS.sub(r"\1", cell)
        if column.unit not in ("", _CLOCK) and re.fullmatch(r"[+-]?\d+(\.\d+)?", text):
            text = f"{text} {column.unit}"
        try:
            if column.name in _STATED:
                stated[column.name] = parse_quantity(text, _STATED[column.name])
            else:
                seen.append(seen_in_log(f"{column.name}={text}"))
        except (UnitError, LogError) as error:
            fault = str(error).removeprefix("seen: ").removeprefix(f"{column.name}: ").rstrip(".")
            raise LogError(f"{where}: line {number}, column '{column.name}': {fault}.") from None
    return Logged(
        line=number,
        day=told.get("date", ""),
        room=stated.get("room"),
        pour=stated.get("pour"),
        top=told.get("top", ""),
        seen=tuple(seen),
    )


def _column(heading: str) -> _Column:
    found = _HEADING.fullmatch(heading)
    name, unit = (heading, "") if found is None else (found["name"], found["unit"] or "")
    return _Column(" ".join(name.lower().replace("_", " ").split()), " ".join(unit.split()))


def _written(value: float, kind: Kind, column: _Column, where: str, *, comma: bool) -> str:
    """Write a value [SI, °C] in the unit of its column."""
    if column.unit in ("", _CLOCK) and kind == "duration":
        minutes = round(value / 60.0)
        return f"{minutes // 60}:{minutes % 60:02d}"
    unit = column.unit or _UNITS["metric"][kind]
    try:
        zero, one = (parse_quantity(f"{number} {unit}", kind) for number in (0, 1))
    except UnitError as error:
        raise LogError(f"{where}: line 1, column '{column.name}': {error}.") from None
    text = f"{(value - zero) / (one - zero):.4g}" + ("" if column.unit else f" {unit}")
    return text.replace(".", ",") if comma else text


def _headings(system: System) -> str:
    units = _UNITS[system]
    stated = (f"{name} [{units[kind]}]" for name, kind in _STATED.items())
    seen = (f"{name} [{units[sight.kind]}]" for name, sight in (*RULER.items(), *EVENTS.items()))
    return ",".join(("date", *stated, "top", *seen)) + "\n"
