"""The table `[places]`: where equal jars stand in one box."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any

from coolsim.model.places import Place, Places
from coolsim.scenario.table import Fault, Show, TomlTable, UnreadableError, key, like
from coolsim.scenario.values import Count, Flag, Quantity, Value, numbered, pair, read_each
from coolsim.scenario.vessel import VesselTable
from coolsim.scenario.wording import shown

_MOST_PLACES = 12


@dataclass(frozen=True, slots=True)
class PlaceList(Value):
    """Places in a box, each a row and a column."""

    def read(self, raw: object) -> tuple[Place, ...]:
        """Return pairs of row and column, from 1 [-]."""
        wanted = "give pairs of row and column, counted from 1, such as [[2, 3]]"
        if not isinstance(raw, list) or len(raw) > _MOST_PLACES**2:
            raise ValueError(f"found {shown(raw)}, {wanted}")
        number = Count(1, _MOST_PLACES)
        places = read_each(numbered(raw, "item"), lambda place: pair(place, number, number, wanted))
        twice = [place for place in places if places.count(place) > 1]
        if twice:
            raise ValueError(f"found row {twice[0][0]}, column {twice[0][1]} twice, give each place once")
        return tuple(places)

    def describe(self) -> str:
        """Say what to write."""
        return "pairs of row and column from 1, `[[2, 3]]`"

    def show(self, value: Any) -> str:
        """Write the pairs."""
        return str(self.write(value)) if value else "none"

    def write(self, value: Any) -> Any:
        """Write the pairs as a scenario states them."""
        return [list(place) for place in value]


def _size(meaning: str) -> Any:
    return key(meaning, default=None, shown="from the distances", instead=("to_wall",))


_Inner = Annotated[float | None, Quantity("length", "30 mm", "3 m", "380 mm")]
_EITHER = "Give either `inner_length` and `inner_width`, or `spacing` and `to_wall`."


class PlacesTable(TomlTable):
    """Where equal jars stand in one box; its board, flaps and headroom are those of `[surround]`."""

    rows: Annotated[int, Count(1, _MOST_PLACES)] = key("Rows of places.")
    columns: Annotated[int, Count(1, _MOST_PLACES)] = key("Places in each row.")
    inner_length: _Inner = _size(f"Inner size of the box along its rows. {_EITHER}")
    inner_width: _Inner = _size("Inner size of the box along its columns.")
    spacing: Annotated[float | None, Quantity("length", "0 mm", "150 mm", "12 mm")] = key(
        "Smallest distance between neighbouring jars. In a box of given size it may be left out.",
        default=None,
        shown="jars spread evenly",
    )
    to_wall: Annotated[float | None, Quantity("length", "0 mm", "150 mm", "10 mm")] = key(
        "Smallest distance between the outer jars and the wall.",
        default=None,
        shown="from the inner size",
        instead=("inner_length", "inner_width"),
    )
    dividers: Annotated[bool, Flag()] = like(Places, "dividers", "Whether a layer of board stands between neighbours.")
    empty: Annotated[tuple[Place, ...], PlaceList()] = like(Places, "empty", "Places without a jar: row and column.")


def places_of(places: PlacesTable, vessel: VesselTable) -> Places:
    """Build the places of the jars, from the inner size or from the distances; the jars may not fit it."""
    diameter, rows, columns, spacing = vessel.diameter, places.rows, places.columns, places.spacing
    if spacing is None and rows == columns == 1:
        spacing = 0.0
    pitches = None if spacing is None else (diameter + spacing, diameter + spacing)
    length, width = places.inner_length, places.inner_width
    if length is None or width is None:
        if pitches is None or places.to_wall is None:
            raise UnreadableError("spacing")
        length, width = ((count - 1) * pitches[0] + diameter + 2.0 * places.to_wall for count in (columns, rows))
    along, across = pitches or (length / columns, width / rows)
    return Places(
        rows=rows,
        columns=columns,
        length=length,
        width=width,
        pitch_along=along,
        pitch_across=across,
        dividers=places.dividers,
        empty=places.empty,
    )


def size_is_stated_once(places: PlacesTable, show: Show) -> Iterator[Fault]:
    """Find fault with neither or both of size and distances."""
    size = [name for name in ("inner_length", "inner_width") if getattr(places, name) is not None]
    distances = [name for name in ("spacing", "to_wall") if getattr(places, name) is not None]
    wanted = "give either inner_length and inner_width (spacing may be added), or spacing and to_wall"
    found = " and ".join([*size, *distances]) or "neither size nor distances"
    alone = places.rows == places.columns == 1
    enough = len(size) == 2 or distances == ["spacing", "to_wall"] or (alone and distances == ["to_wall"])
    if not enough or (size and "to_wall" in distances):
        yield "places", f"found {found}, {wanted}"


def empty_places_are_there(places: PlacesTable, show: Show) -> Iterator[Fault]:
    """Find fault with empty places that the box does not have, or that leave no jar."""
    outside = [place for place in places.empty if place[0] > places.rows or place[1] > places.columns]
    if outside:
        yield (
            "places.empty",
            f"found row {outside[0][0]}, column {outside[0][1]}, but the box has {places.rows} rows and"
            f" {places.columns} columns, give places in it",
        )
    elif len(places.empty) >= places.rows * places.columns:
        yield "places.empty", "found all places of the box, leave at least one jar in it"
