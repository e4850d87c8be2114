"""The table of a scenario that says where jars stand in one box."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from coolsim.model.box import Box, Place
from coolsim.scenario.tables import Table, key, like
from coolsim.scenario.values import Count, Flag, Quantity, Value
from coolsim.scenario.wording import shown

MOST_PLACES = 12
"""Most rows and most columns [-]."""


@dataclass(frozen=True, slots=True)
class PlaceList(Value):
    """Places in a box, each a row and a column."""

    def read(self, raw: object) -> tuple[Place, ...]:
        """Return pairs of row and column, from 1 [-]."""
        wanted = "give pairs of row and column, counted from 1, such as [[2, 3]]"
        if not isinstance(raw, list) or len(raw) > MOST_PLACES**2:
            raise ValueError(f"found {shown(raw)}, {wanted}")
        number = Count(1, MOST_PLACES)
        places: list[Place] = []
        faults = []
        for item, pair in enumerate(raw, start=1):
            try:
                if not isinstance(pair, list) or len(pair) != 2:
                    raise ValueError(f"found {shown(pair)}, {wanted}")
                places.append((number.read(pair[0]), number.read(pair[1])))
            except ValueError as error:
                faults.append(f"item {item}: {error}")
        if faults:
            raise ValueError("\n".join(faults))
        twice = [place for place in places if places.count(place) > 1]
        if twice:
            raise ValueError(f"found row {twice[0][0]}, column {twice[0][1]} twice, give each place once")
        return tuple(places)

    def describe(self) -> str:
        """Say what to write."""
        return "pairs of row and column from 1, `[[2, 3]]`"

    def show(self, value: Any) -> str:
        """Write the pairs."""
        return str([list(place) for place in value]) if value else "none"


_Inner = Annotated[float | None, Quantity("length", "30 mm", "3 m", "380 mm")]
_EITHER = "Give either `inner_length` and `inner_width`, or `spacing` and `to_wall`."


class BoxTable(Table):
    """Where equal jars stand in one box; its board, flaps and headroom are those of `[surround]`."""

    rows: Annotated[int, Count(1, MOST_PLACES)] = key("Rows of places.")
    columns: Annotated[int, Count(1, MOST_PLACES)] = key("Places in each row.")
    inner_length: _Inner = key(
        f"Inner size of the box along its rows. {_EITHER}", default=None, shown="from the distances"
    )
    inner_width: _Inner = key("Inner size of the box along its columns.", default=None, shown="from the distances")
    spacing: Annotated[float | None, Quantity("length", "0 mm", "150 mm", "12 mm")] = key(
        "Smallest distance between neighbouring jars. In a box of given size it may be left out.",
        default=None,
        shown="jars spread evenly",
    )
    to_wall: Annotated[float | None, Quantity("length", "0 mm", "150 mm", "10 mm")] = key(
        "Smallest distance between the outer jars and the wall.", default=None, shown="from the inner size"
    )
    dividers: Annotated[bool, Flag()] = like(Box, "dividers", "Whether a layer of board stands between neighbours.")
    empty: Annotated[tuple[Place, ...], PlaceList()] = like(Box, "empty", "Places without a jar: row and column.")
