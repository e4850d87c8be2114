"""The scenario file as one pydantic model, and one reading of it, with a fault for each value that cannot be read."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal, TypeVar

from pydantic import Field, ValidationError
from pydantic_core import ErrorDetails

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
from coolsim.scenario.table import Fault, TomlTable, key, table_model, value_in
from coolsim.scenario.values import Choice, Flag, Quantity, Text
from coolsim.scenario.vessel import VesselTable
from coolsim.scenario.wax import WaxTable
from coolsim.scenario.wick import WickTable
from coolsim.scenario.wording import key_text, nearest, shown
from coolsim.units import Kind, System, format_quantity

_SomeTable = TypeVar("_SomeTable", bound=TomlTable)

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
    wick: WickTable = Field(default_factory=WickTable.model_construct)
    prices: PricesTable = Field(default_factory=PricesTable.model_construct)
    melting: MeltingTable = Field(default_factory=MeltingTable.model_construct)
    places: PlacesTable | None = None
    room: RoomTable = Field(default_factory=RoomTable.model_construct)
    melt: MeltTable = Field(default_factory=MeltTable.model_construct)
    mush: MushTable = Field(default_factory=MushTable.model_construct)
    answers: AnswersTable = Field(default_factory=AnswersTable.model_construct)
    films: FilmsTable = Field(default_factory=FilmsTable.model_construct)
    run: RunTable = Field(default_factory=RunTable.model_construct)
    plan: PlanTable = Field(default_factory=PlanTable.model_construct)
    day: DayTable | None = None
    repair: RepairTable = Field(default_factory=RepairTable.model_construct)
    report: ReportTable = Field(default_factory=ReportTable.model_construct)

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
    try:
        return ScenarioFile.model_validate(dict(data)), [], 0
    except ValidationError as error:
        found = error.errors(include_url=False)
        faults = [fault for details in found[:most] for fault in _faults(details)]
        return _in_part(ScenarioFile, data), faults, len(found[most:])


def faults_of(model: type[_SomeTable], data: Mapping[Any, Any]) -> tuple[_SomeTable, list[Fault]]:
    """Read some tables of a scenario by themselves: what can be read of them, and their faults."""
    try:
        return model.model_validate(dict(data)), []
    except ValidationError as error:
        return _in_part(model, data), [
            fault for details in error.errors(include_url=False) for fault in _faults(details)
        ]


def _in_part(model: type[_SomeTable], raw: Mapping[Any, Any]) -> _SomeTable:
    """Read what can be read; the rest is missing from the table, and raises UnreadableError where it is needed."""
    read: dict[str, Any] = {}
    unreadable = []
    for name, field in model.model_fields.items():
        if name not in raw:
            continue
        table, given = table_model(field.annotation), raw[name]
        try:
            if table is None:
                read[name] = value_in(field).read(given)
            elif isinstance(given, Mapping):
                read[name] = _in_part(table, given)
            else:
                unreadable.append(name)
        except ValueError:
            unreadable.append(name)
    found = model.model_construct(**read)
    for name in unreadable:
        # A default is no stand-in for it.
        found.__dict__.pop(name, None)
    return found


def missing_keys(table: TomlTable) -> Iterator[str]:
    """List the keys that a table needs and does not have."""
    return (
        name for name, field in type(table).model_fields.items() if field.is_required() and name not in table.__dict__
    )


def _faults(details: ErrorDetails) -> Iterator[Fault]:
    place = details["loc"]
    key = key_text(place)
    match details["type"]:
        case "extra_forbidden":
            yield key, _unknown(place)
        case "missing":
            yield key, missing(place)
        case "value_error":
            for line in str(details["ctx"]["error"]).splitlines():
                yield key, line
        case "invalid_key":
            yield key, "found a key that is not a text, give texts as keys"
        case _:
            # All that is left is a value where a table is expected.
            yield key, f"found {shown(details['input'])} where a table is expected, write its keys under [{key}]"


def _model_at(place: tuple[int | str, ...]) -> type[TomlTable]:
    """Find the table that holds the key at this place."""
    model: type[TomlTable] = ScenarioFile
    for part in place[:-1]:
        model = table_model(model.model_fields[str(part)].annotation) or model
    return model


def _unknown(place: tuple[int | str, ...]) -> str:
    name = str(place[-1])
    if place[:-1] == () and name in OLD_TABLES:
        return f"found beside [{OLD_TABLES[name]}], which is its name now, leave one of the two out"
    model = _model_at(place)
    close = nearest(name, model.model_fields)
    if close:
        return f"unknown key. Did you mean '{close}'?"
    tables = {table: table_model(field.annotation) for table, field in ScenarioFile.model_fields.items()}
    owners = [f"[{table}]" for table, other in tables.items() if other is not None and name in other.model_fields]
    if owners:
        return f"unknown key. It belongs under {' or '.join(owners)}"
    if name in ScenarioFile.model_fields:
        return "unknown key. It belongs above the first table"
    return f"unknown key. Here there are {', '.join(model.model_fields)}"


def missing(place: tuple[int | str, ...]) -> str:
    """Say what to give where a key or a table is missing."""
    field = _model_at(place).model_fields[str(place[-1])]
    table = table_model(field.annotation)
    if table is not None:
        keys = [name for name, inner in table.model_fields.items() if inner.is_required()]
        # A support has no key that each kind needs.
        keys = keys or ["material", "thickness"]
        return f"missing. Add a table [{place[-1]}] with {', '.join(keys)}"
    value = value_in(field)
    wanted = value.wanted() if isinstance(value, Quantity) else value.describe().replace("`", "")
    return f"missing. Give {wanted}"
