"""The table `[day]`: what happens to the jar on the way, and how it stands from then on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Annotated, Any, Literal

from coolsim.model.jar import Change, Lid, Surround
from coolsim.model.materials import catalogue_inert, inert_names
from coolsim.scenario.table import ESTIMATE, TomlTable, key
from coolsim.scenario.values import Choice, OfCatalogue, Quantity, Value, numbered, read_each
from coolsim.scenario.wording import shown, suggestion
from coolsim.units import format_quantity

HAPPENINGS = (
    "lid on",
    "lid off",
    "out of the box",
    "into the box",
    "flaps open",
    "flaps closed",
    "draught",
    "still air",
)
"""What may happen to a jar."""

DRAUGHT = "draught"
"""The one that comes with a speed."""

_MOST_ROWS = 24
_TIME = Quantity("duration", "1 s", "72 h", "2 h")
_SPEED = Quantity("speed", "0.01 m/s", "5 m/s", "0.5 m/s")
_INTO, _OUT = "into the box", "out of the box"


@dataclass(frozen=True, slots=True)
class Happening:
    """A row of the changes of a day: time since the pour [s], one of `HAPPENINGS`, speed of a draught [m/s]."""

    time: float
    what: str
    speed: float | None = None


@dataclass(frozen=True, slots=True)
class HappeningRows(Value):
    """What happens to a jar, and when."""

    def read(self, raw: object) -> tuple[Happening, ...]:
        """Return the rows, rising in time [s]."""
        wanted = 'give rows of a time after the pour and what happens, such as ["3 h", "out of the box"]'
        if not isinstance(raw, list) or not 1 <= len(raw) <= _MOST_ROWS:
            raise ValueError(f"found {shown(raw)}, {wanted} (1 to {_MOST_ROWS} rows)")
        rows = read_each(numbered(raw), lambda row: _happening(row, wanted))
        for first, second in pairwise(rows):
            if not first.time < second.time:
                raise ValueError(
                    f"found '{second.what}' at {format_quantity(second.time, 'duration')} behind '{first.what}' at"
                    f" {format_quantity(first.time, 'duration')}, give the rows from the earliest to the latest, a"
                    " minute apart at least where two things happen together"
                )
        return tuple(rows)

    def describe(self) -> str:
        """Say what to write."""
        words = ", ".join(f"`{word}`" for word in HAPPENINGS)
        return (
            'rows of a time after the pour and what happens, `[["2 h", "draught", "0.5 m/s"], ["3 h", "lid on"]]`;'
            f" {words}"
        )

    def show(self, value: Any) -> str:
        """Write what happens."""
        return ", ".join(f"{one.what} at {format_quantity(one.time, 'duration')}" for one in value)

    def write(self, value: Any) -> Any:
        """Write the rows as a scenario states them."""
        return [
            [_TIME.write(one.time), one.what, *([] if one.speed is None else [_SPEED.write(one.speed)])]
            for one in value
        ]


def _happening(row: object, wanted: str) -> Happening:
    if not isinstance(row, list) or len(row) not in (2, 3):
        raise ValueError(f"found {shown(row)}, {wanted}")
    time, what = _TIME.read(row[0]), row[1]
    if not isinstance(what, str) or what not in HAPPENINGS:
        words = ", ".join(f"'{word}'" for word in HAPPENINGS)
        raise ValueError(f"found {shown(what)}, give one of {words}{suggestion(what, HAPPENINGS)}")
    if what != DRAUGHT:
        if len(row) == 3:
            raise ValueError(f"found {shown(row[2])} behind '{what}', leave it out: only '{DRAUGHT}' takes a speed")
        return Happening(time, what)
    if len(row) != 3:
        raise ValueError(f'found \'{DRAUGHT}\' without a speed, give one as in ["2 h", "{DRAUGHT}", "0.5 m/s"]')
    return Happening(time, what, _SPEED.read(row[2]))


class DayTable(TomlTable):
    """What happens to the jar on the way."""

    changes: Annotated[tuple[Happening, ...], HappeningRows()] = key(
        "What happens to the jar after the pour. A jar that is first put into its box stands bare until then; a lid is"
        " that of `lid_material` and `lid_thickness`."
    )
    lid_material: Annotated[str, OfCatalogue(Choice(inert_names()))] = key(
        "What the lid is made of; the heat that it holds itself is left out.", default="oak"
    )
    lid_thickness: Annotated[float, Quantity("length", "0.2 mm", "50 mm", "10 mm")] = key(
        "Its thickness.", source=ESTIMATE, default=10e-3
    )


@dataclass(frozen=True, slots=True)
class Standing:
    """How a jar stands: in its box or not, the flaps of the box, the lid on or off, the draught [m/s]."""

    boxed: bool
    flaps: Literal["open", "closed"]
    lidded: bool
    speed: float

    def after(self, one: Happening) -> Standing:
        """Tell how it stands when something has happened."""
        match one.what:
            case "into the box" | "out of the box":
                return replace(self, boxed=one.what == _INTO)
            case "flaps open" | "flaps closed":
                return replace(self, flaps="open" if one.what == "flaps open" else "closed")
            case "lid on" | "lid off":
                return replace(self, lidded=one.what == "lid on")
            case _:
                return replace(self, speed=one.speed or 0.0)


def starts_bare(day: DayTable | None) -> bool:
    """Tell whether the jar of a scenario with a box is first put into it on the way."""
    moves = [] if day is None else [one.what for one in day.changes if one.what in (_INTO, _OUT)]
    return bool(moves) and moves[0] == _INTO


def standing_at_pour(day: DayTable | None, flaps: Literal["open", "closed"] | None, speed: float) -> Standing:
    """Tell how a jar stands at first: flaps of its box, None without one, and the draught [m/s]."""
    return Standing(flaps is not None and not starts_bare(day), flaps or "closed", False, speed)


def changes_of(
    day: DayTable | None, *, surround: Surround | None, speed: float, feet: Callable[[bool], float]
) -> tuple[Change, ...]:
    """Build the changes of a jar with this box in this draught [m/s].

    `feet` tells the contact of the foot [W/m2/K] by whether the jar stands on board.
    """
    if day is None:
        return ()
    stands = standing_at_pour(day, None if surround is None else surround.flaps, speed)
    lid = Lid(material=catalogue_inert(day.lid_material), thickness=day.lid_thickness)
    found: list[Change] = []
    for one in day.changes:
        stands = stands.after(one)
        here = None
        if stands.boxed and surround is not None:
            cover = surround.cover if stands.flaps == "closed" else 0.0
            here = replace(surround, flaps=stands.flaps, cover=cover)
        found.append(
            Change(
                time=one.time,
                happens=one.what if one.speed is None else f"draught of {format_quantity(one.speed, 'speed')}",
                surround=here,
                lid=lid if stands.lidded else None,
                foot=feet(here is not None and here.under_layers > 0),
                air_speed=stands.speed,
                moved=one.what in (_INTO, _OUT),
            )
        )
    return tuple(found)
