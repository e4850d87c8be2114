"""The scenario file as one class, and one reading of it, with a fault for each value that cannot be read."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Annotated, Any, Literal, TypeVar

from coolsim.scenario.batch import BatchTable
from coolsim.scenario.calendar import Day
from coolsim.scenario.day import DayTable
from coolsim.scenario.melt import MeltTable
from coolsim.scenario.melting import MeltingTable
from coolsim.scenario.mush import MushTable
from coolsim.scenario.places import PlacesTable
from coolsim.scenario.plan import PlanTable
from coolsim.scenario.pour import PourTable
from coolsim.scenario.prices import PricesTable
from coolsim.scenario.repair import RepairTable
from coolsim.scenario.report import ReportTable
from coolsim.scenario.room import RoomTable
from coolsim.scenario.run import AnswersTable, FilmsTable, RunTable
from coolsim.scenario.support import SupportTable
from coolsim.scenario.surround import SurroundTable
from coolsim.scenario.table import DEFAULTS, Fault, TomlTable, key
from coolsim.scenario.values import Choice, Flag, Quantity, Text
from coolsim.scenario.vessel import VesselTable
from coolsim.scenario.wax import WaxTable
from coolsim.scenario.wick import WickTable
from coolsim.scenario.wording import key_text, nearest, shown
from coolsim.units import Kind, System, format_quantity

_SomeTable = TypeVar("_SomeTable", bound=TomlTable)
_Place = tuple[Any, ...]
# What is wrong at a place is worded only if it is told: a word that is none is compared with all that there are.
_Found = tuple[_Place, Callable[[], str]]

OLD_TABLES = {"box": "places"}
"""Names that tables had in the version before, and what they are called now."""


class ScenarioFile(TomlTable):
    """A whole scenario."""

    title: Annotated[str, Text(100)] = key("What the report calls it.")
    author: Annotated[str, Text(100)] = key("Who made it, for the handout.", default="", shown="none")
    date: Annotated[datetime.date | None, Day()] = key(
        "Day of the batch: that of `plan.start`, else that of the pour.", default=None, shown="a line to write it on"
    )
    note: Annotated[str, Text(2000, lines=True)] = key("Remarks for the report.", default="", shown="none")
    invented: Annotated[bool, Flag()] = key(
        "Whether workshop and figures are made up; the report says so.", default=False
    )
    units: Annotated[Literal["metric", "us"], Choice(("metric", "us"))] = key("Units of the report.", default="metric")
    vessel: VesselTable
    wax: WaxTable
    pour: PourTable
    support: SupportTable
    surround: SurroundTable | None = None
    batch: BatchTable | None = None
    wick: WickTable = DEFAULTS
    prices: PricesTable = DEFAULTS
    melting: MeltingTable = DEFAULTS
    places: PlacesTable | None = None
    room: RoomTable = DEFAULTS
    melt: MeltTable = DEFAULTS
    mush: MushTable = DEFAULTS
    answers: AnswersTable = DEFAULTS
    films: FilmsTable = DEFAULTS
    run: RunTable = DEFAULTS
    plan: PlanTable = DEFAULTS
    day: DayTable | None = None
    repair: RepairTable = DEFAULTS
    report: ReportTable = DEFAULTS

    @property
    def cardboard(self) -> SurroundTable | None:
        """The table of the box; None for a bare jar and for one in water."""
        return None if self.surround is None or self.surround.kind == "water" else self.surround

    @property
    def water(self) -> SurroundTable | None:
        """The table of the water that the jar stands in; None without."""
        return None if self.surround is None or self.surround.kind == "box" else self.surround

    def show(self, value: float, kind: Kind) -> str:
        """Write a quantity [SI, °C] in the units of the scenario; inches with decimals, to tell it from a limit."""
        system: System = self.__dict__.get("units", "metric")
        return format_quantity(value, kind, system=system, digits=2 if (system, kind) == ("us", "length") else None)


def read_file(data: Mapping[Any, Any], *, most: int) -> tuple[ScenarioFile, list[Fault], int]:
    """Read a parsed file: what can be read of it, the faults of keys that cannot, and how many more keys have any [-].

    No more than `most` keys at fault [-] are looked at: each is compared with all that there are.
    """
    found: list[_Found] = []
    file = _read(ScenarioFile, data, (), found)
    faults = [(key_text(place), line) for place, said in found[:most] for line in said().splitlines()]
    return file, faults, len(found[most:])


def _read(model: type[_SomeTable], raw: Mapping[Any, Any], at: _Place, found: list[_Found]) -> _SomeTable:
    """Read what can be read; the rest is missing from the table, and raises UnreadableError where it is needed."""
    read: dict[str, Any] = {}
    unreadable = []
    for name, field in model.fields.items():
        place = (*at, name)
        if name not in raw:
            if field.required:
                found.append((place, partial(missing, place)))
        elif field.table is None:
            try:
                read[name] = field.value.read(raw[name])
            except ValueError as error:
                found.append((place, partial(str, error)))
                unreadable.append(name)
        elif isinstance(raw[name], Mapping):
            read[name] = _read(field.table, raw[name], place, found)
        else:
            found.append((place, partial(_no_table, place, raw[name])))
            unreadable.append(name)
    found += (((*at, name), partial(_unknown, (*at, name))) for name in raw if name not in model.fields)
    table = model.of(read)
    for name in unreadable:
        # A default is no stand-in for it.
        table.__dict__.pop(name, None)
    return table


def missing_keys(table: TomlTable) -> Iterator[str]:
    """List the keys that a table needs and does not have."""
    return (name for name, field in table.fields.items() if field.required and name not in table.__dict__)


def _no_table(place: _Place, raw: object) -> str:
    return f"found {shown(raw)} where a table is expected, write its keys under [{key_text(place)}]"


def _model_at(place: _Place) -> type[TomlTable]:
    """Find the table that holds the key at this place."""
    model: type[TomlTable] = ScenarioFile
    for part in place[:-1]:
        model = model.fields[part].table or model
    return model


def _unknown(place: _Place) -> str:
    name = place[-1]
    if not isinstance(name, str):
        return "found a key that is not a text, give texts as keys"
    if len(place) == 1 and name in OLD_TABLES:
        return f"found beside [{OLD_TABLES[name]}], which is its name now, leave one of the two out"
    model = _model_at(place)
    close = nearest(name, model.fields)
    if close:
        return f"unknown key. Did you mean '{close}'?"
    tables = {table: field.table for table, field in ScenarioFile.fields.items()}
    owners = [f"[{table}]" for table, other in tables.items() if other is not None and name in other.fields]
    if owners:
        return f"unknown key. It belongs under {' or '.join(owners)}"
    if name in ScenarioFile.fields:
        return "unknown key. It belongs above the first table"
    return f"unknown key. Here there are {', '.join(model.fields)}"


def missing(place: _Place) -> str:
    """Say what to give where a key or a table is missing."""
    field = _model_at(place).fields[place[-1]]
    if field.table is not None:
        keys = [name for name, inner in field.table.fields.items() if inner.required]
        # A support has no key that each kind needs.
        keys = keys or ["material", "thickness"]
        return f"missing. Add a table [{place[-1]}] with {', '.join(keys)}"
    value = field.value
    wanted = value.wanted() if isinstance(value, Quantity) else value.describe().replace("`", "")
    return f"missing. Give {wanted}"
