"""The scenario file as one pydantic model: the tables of `coolsim.scenario.tables` and those that steer the run."""

import datetime
from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Any

from pydantic import Field

from coolsim.model.jar import Jar, Room
from coolsim.model.problem import Accuracy, Answers, Melt
from coolsim.scenario.batch_tables import BatchTable
from coolsim.scenario.bath_tables import MeltingTable
from coolsim.scenario.calendar import ClockTime, Day
from coolsim.scenario.day_tables import DayTable, RoomRows
from coolsim.scenario.places import BoxTable
from coolsim.scenario.plan import Plan
from coolsim.scenario.repair_tables import RepairTable
from coolsim.scenario.tables import (
    ESTIMATE,
    PourTable,
    SupportTable,
    SurroundTable,
    Table,
    VesselTable,
    WaxTable,
    key,
    like,
)
from coolsim.scenario.values import Choice, Flag, Moments, Number, Points, Quantity, Text

DEFAULT_MAP_TIMES = (1800.0, 3600.0, 7200.0, 14400.0)
"""Times of the temperature maps when a scenario names none [s]."""


class RoomTable(Table):
    """The air round everything."""

    temperature: Annotated[float | None, Quantity("temperature", "-20 °C", "60 °C", "21 °C")] = key(
        "Of the air and the walls of the room; jar, bench and box start at what it is at the pour.",
        default=None,
        shown=f"{Room().at(0.0):g} °C",
    )
    course: Annotated[tuple[tuple[float, float], ...] | None, RoomRows()] = key(
        "Room temperature by the clock instead, straight between the rows and the same every day; needs `pour.clock`.",
        default=None,
        shown="constant",
    )
    lowest: Annotated[float | None, Quantity("temperature", "-20 °C", "60 °C", "14 °C")] = key(
        "How cold the room gets in the night; `temperature` is then the warmest, half a day from the coldest time, and"
        " between them it follows a cosine. Needs `coldest` and `pour.clock`.",
        default=None,
        shown="constant",
    )
    coldest: Annotated[float | None, ClockTime()] = key(
        "When the room is coldest.", default=None, shown="needed with `lowest`"
    )
    air_speed: Annotated[float, Quantity("speed", "0 m/s", "5 m/s", "0.3 m/s")] = like(
        Room, "air_speed", "Draught past the jar or the box; 0 is still air."
    )


class MeltTable(Table):
    """How the molten wax stirs itself."""

    mixing: Annotated[str, Choice(("stratified", "effective", "none"))] = like(
        Melt, "mixing", "Melt that settles into layers; one that only conducts better; or pure conduction."
    )
    relaxation: Annotated[float, Quantity("duration", "5 s", "1 h", "90 s")] = like(
        Melt,
        "relaxation",
        "Time in which the melt settles into layers.",
        source="computed independently: fitted to a resolved flow computation",
    )
    flows_above: Annotated[float, Quantity("fraction", "0 %", "99 %", "90 %")] = like(
        Melt, "flows_above", "Liquid share above which wax circulates.", source=ESTIMATE
    )
    feeds_above: Annotated[float, Quantity("fraction", "0 %", "99 %", "35 %")] = like(
        Melt,
        "feeds_above",
        "Liquid share above which wax still creeps; below it a place counts as set.",
        source=ESTIMATE,
    )
    conductivity_factor: Annotated[float, Number(1.0, 100.0)] = like(
        Melt,
        "conductivity_factor",
        "With effective mixing: how much better wax that circulates conducts than its liquid at rest.",
        source="computed independently: best fit to a resolved flow computation but for the top",
    )


class AnswersTable(Table):
    """What counts as an answer."""

    skin_holds: Annotated[float, Quantity("length", "0.5 mm", "20 mm", "3 mm")] = like(
        Answers, "skin_holds", "Thickness of set wax that locks the surface above it.", source=ESTIMATE
    )
    cool_within: Annotated[float, Quantity("temperature_difference", "0.5 K", "20 K", "3 K")] = like(
        Answers,
        "cool_within",
        "The jar may be moved and lidded when its hottest wax is this close to the room; the run ends then.",
        source=ESTIMATE,
    )
    skin_margin: Annotated[float, Quantity("temperature_difference", "0 K", "30 K", "3 K")] = like(
        Answers,
        "skin_margin",
        "A first skin forms while the melt is on average this much above the start of freezing.",
        source=ESTIMATE,
    )
    flat_within: Annotated[float, Quantity("length", "0.1 mm", "10 mm", "1 mm")] = like(
        Answers,
        "flat_within",
        "A top is called flat if its middle and its rim differ by no more than this.",
        source=ESTIMATE,
    )
    pit_from: Annotated[float, Quantity("length", "0.1 mm", "30 mm", "3 mm")] = like(
        Answers,
        "pit_from",
        "A middle that lies this much below the rim is called a pit at the wick.",
        source=ESTIMATE,
    )
    cavity_from: Annotated[float, Quantity("volume", "0.01 mL", "50 mL", "0.5 mL")] = like(
        Answers,
        "cavity_from",
        "Hidden cavities of this volume and more are reported as one.",
        source=ESTIMATE,
    )


class FilmsTable(Table):
    """Factors on the films, to fit them to a thermometer."""

    headspace_factor: Annotated[float, Number(0.05, 2.0)] = like(
        Jar, "headspace_factor", "How much of the open surface's film is left below the rim.", source=ESTIMATE
    )
    side_factor: Annotated[float, Number(0.2, 5.0)] = like(Jar, "side_factor", "On the film of the side.")
    top_factor: Annotated[float, Number(0.2, 5.0)] = like(Jar, "top_factor", "On the film of the top.")


class RunTable(Table):
    """How long and how finely to compute."""

    horizon: Annotated[float, Quantity("duration", "1 h", "72 h", "24 h")] = like(
        Jar, "horizon", "When the run ends at the latest."
    )
    refinement: Annotated[float, Number(0.5, 4.0)] = like(
        Accuracy, "refinement", "Factor on the number of cells in each direction."
    )
    tolerance: Annotated[float, Quantity("temperature_difference", "0.001 K", "1 K", "0.1 K")] = like(
        Accuracy, "tolerance", "Error allowed in one time step."
    )


class PlanTable(Table):
    """The batch: what its sheet, its day and its label say."""

    number: Annotated[str, Text(40)] = key(
        "Number or name of the batch, for the sheet.", default="", shown="a line to write it on"
    )
    start: Annotated[float | None, ClockTime()] = key(
        "When weighing and melting begin; without `pour.clock`, the time of the pour follows from it.",
        default=None,
        shown="so long before the pour as melting takes",
    )
    melting: Annotated[float, Quantity("duration", "5 min", "24 h", "1 h")] = like(
        Plan,
        "melting",
        "From the start of melting until the oil is added, by your own watch.",
        source="estimate: common practice for about 1 kg, no source",
    )
    resting: Annotated[float, Quantity("duration", "2 min", "5 h", "15 min")] = like(
        Plan,
        "resting",
        "From adding the oil until the pour: two minutes of stirring and the way down to the pour temperature.",
        source="estimate: common practice, no source",
    )
    cure: Annotated[float, Quantity("duration", "0 d", "365 d", "14 d")] = key(
        "Time from the pour to the first test burn.",
        source="estimate: common practice, no source",
        default=Plan.cure,
        shown=f"{Plan.cure / 86400:g} d",
    )


class ReportTable(Table):
    """What the report shows."""

    map_times: Annotated[tuple[float, ...] | None, Moments()] = key(
        "Times of the temperature maps.",
        default=None,
        shown=f"{Moments().show(DEFAULT_MAP_TIMES)}, as far as the horizon goes",
    )
    probes: Annotated[dict[str, tuple[float, float]] | None, Points()] = key(
        "Points of the cooling curves: distance from the axis and height above the bottom of the wax.",
        default=None,
        shown="five usual points",
    )


class ScenarioFile(Table):
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
    units: Annotated[str, Choice(("metric", "us"))] = key("Units of the report.", default="metric")
    vessel: VesselTable
    wax: WaxTable
    pour: PourTable
    support: SupportTable
    surround: SurroundTable | None = None
    batch: BatchTable | None = None
    melting: MeltingTable = Field(default_factory=MeltingTable.model_construct)
    box: BoxTable | None = None
    room: RoomTable = Field(default_factory=RoomTable.model_construct)
    melt: MeltTable = Field(default_factory=MeltTable.model_construct)
    answers: AnswersTable = Field(default_factory=AnswersTable.model_construct)
    films: FilmsTable = Field(default_factory=FilmsTable.model_construct)
    run: RunTable = Field(default_factory=RunTable.model_construct)
    plan: PlanTable = Field(default_factory=PlanTable.model_construct)
    day: DayTable | None = None
    repair: RepairTable = Field(default_factory=RepairTable.model_construct)
    report: ReportTable = Field(default_factory=ReportTable.model_construct)


ALTERNATIVES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("pour", ("level", "volume", "mass")),
    ("surround", ("gap", "box_width")),
    ("surround", ("headroom", "box_height")),
    ("surround", ("layer", "flute")),
)
"""Keys of a table of which exactly one must be given."""

INSTEAD: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        **{
            f"{table}.{name}": tuple(rival for rival in names if rival != name)
            for table, names in ALTERNATIVES
            for name in names
        },
        "wax.freezing": ("freezing_starts", "freezing_ends"),
        "wax.freezing_starts": ("freezing",),
        "wax.freezing_ends": ("freezing",),
        "room.temperature": ("course", "lowest", "coldest"),
        "room.course": ("temperature", "lowest", "coldest"),
        "box.inner_length": ("to_wall",),
        "box.inner_width": ("to_wall",),
        "box.to_wall": ("inner_length", "inner_width"),
    }
)
"""Keys of the same table that a key takes the place of."""


def table_model(annotation: Any) -> type[Table] | None:
    """Return the model of a field that is a table, None for one that is a value."""
    candidates = (annotation, *getattr(annotation, "__args__", ()))
    return next((one for one in candidates if isinstance(one, type) and issubclass(one, Table)), None)
