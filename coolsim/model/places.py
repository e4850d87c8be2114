"""Where jars stand in a box: rows and columns of places, and which kinds of place there are.

Each jar is solved in a cell of its own. Of the cell's four sides some face the wall of the box, some a jar of the same
kind (a plane of symmetry), and some a jar of another kind or an empty place, with which heat is exchanged. Places whose
sides meet the same are of one kind; one run for each kind serves all of its jars.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

Place = tuple[int, int]
"""Row and column, from 1."""

_SAME_LENGTH = 9
_NAMES = {4: "alone", 3: "end", 2: "corner", 1: "edge", 0: "inner"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """Equal jars in rows and columns in one box.

    Parameters
    ----------
    rows, columns : int
        How many [-].
    length, width : float
        Inner size of the box along its rows and along its columns [m].
    pitch_along, pitch_across : float
        Distance of the axes of neighbouring jars along a row and along a column [m].
    dividers : bool
        Whether a layer of board stands between neighbours.
    empty : tuple of (int, int)
        Row and column, from 1, of places without a jar.

    Examples
    --------
    >>> from coolsim import Places
    >>> pitches = {"pitch_along": 0.09, "pitch_across": 0.09}
    >>> places = Places(rows=2, columns=3, length=0.29, width=0.195, empty=((1, 2),), **pitches)
    >>> places.jars
    5
    """

    rows: int
    columns: int
    length: float
    width: float
    pitch_along: float
    pitch_across: float
    dividers: bool = False
    empty: tuple[Place, ...] = ()

    def __post_init__(self) -> None:
        if self.rows < 1 or self.columns < 1:
            raise ValueError(f"a box needs at least one place, not {self.rows} × {self.columns}")
        for row, column in self.empty:
            if not (1 <= row <= self.rows and 1 <= column <= self.columns):
                raise ValueError(f"there is no place in row {row}, column {column} of {self.rows} × {self.columns}")
        if self.jars < 1:
            raise ValueError("all places of the box are empty")

    @property
    def jars(self) -> int:
        """How many jars it holds [-]."""
        return self.rows * self.columns - len(set(self.empty))

    @property
    def plan(self) -> float:
        """Inner area, seen from above [m2]."""
        return self.length * self.width

    def __iter__(self) -> Iterator[Place]:
        return ((row, column) for row in range(1, self.rows + 1) for column in range(1, self.columns + 1))

    def middle(self, place: Place) -> tuple[float, float]:
        """Where the axis of a place is, seen from above.

        Parameters
        ----------
        place : (int, int)
            Row and column, from 1 [-].

        Returns
        -------
        (float, float)
            Distance from the middle of the box along a row and along a column [m].
        """
        row, column = place
        along = (column - 0.5 * (self.columns + 1)) * self.pitch_along
        return along, (row - 0.5 * (self.rows + 1)) * self.pitch_across

    def cell(self, place: Place) -> tuple[float, float]:
        """Size of the part of the box that belongs to a place.

        Parameters
        ----------
        place : (int, int)
            Row and column, from 1 [-].

        Returns
        -------
        (float, float)
            Along a row and along a column [m].
        """
        row, column = place
        return (
            _part(column, self.columns, self.length, self.pitch_along),
            _part(row, self.rows, self.width, self.pitch_across),
        )

    def sides(self, place: Place) -> Iterator[tuple[Place | None, float, float]]:
        """List what the four sides of a place face.

        Parameters
        ----------
        place : (int, int)
            Row and column, from 1 [-].

        Yields
        ------
        place or None, float, float
            The neighbouring place, or None for the wall; how long the side is, and how far away the neighbour's axis is
            (of a wall: the size of the cell towards it) [m].
        """
        row, column = place
        along, across = self.cell(place)
        for step, long, pitch in (
            ((-1, 0), along, self.pitch_across),
            ((1, 0), along, self.pitch_across),
            ((0, -1), across, self.pitch_along),
            ((0, 1), across, self.pitch_along),
        ):
            beside = row + step[0], column + step[1]
            inside = 1 <= beside[0] <= self.rows and 1 <= beside[1] <= self.columns
            yield (beside if inside else None), long, pitch


def _part(number: int, count: int, size: float, pitch: float) -> float:
    if count == 1:
        return size
    outermost = 0.5 * pitch + 0.5 * (size - (count - 1) * pitch)
    return outermost if number in (1, count) else pitch


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceKind:
    """Places (row and column from 1) that have the same on their sides.

    Each has so many sides at the wall of the box [-], of a mean length [m], 0 if there are none; `plan` is the mean
    area of its cell, seen from above [m2].
    """

    name: str
    places: tuple[Place, ...]
    empty: bool
    walls: int
    wall_length: float
    plan: float

    @property
    def count(self) -> int:
        """How many places there are of this kind [-]."""
        return len(self.places)

    @property
    def called(self) -> str:
        """What its jars are called in a sentence: with the place of a single one, else with how many they are."""
        if self.count > 1:
            return f"{self.name} ({self.count} jars)"
        row, column = self.places[0]
        return self.name if ", row " in self.name else f"{self.name} (row {row}, column {column})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbours:
    """Two kinds of place, by index, that stand beside each other in so many pairs [-], their axes a pitch apart [m]."""

    kinds: tuple[int, int]
    pairs: int
    pitch: float


def kinds_of(places: Places, *, each_place: bool = False) -> tuple[PlaceKind, ...]:
    """Sort the places of a box into those that are alike.

    Parameters
    ----------
    places : Places
        The box.
    each_place : bool, optional
        Make each place a kind of its own.

    Returns
    -------
    tuple of PlaceKind
        Kinds with jars from the most exposed on, then empty places.

    Notes
    -----
    Places are alike if their walls are as long and their neighbours are alike, which is found by sorting again and
    again by the kinds of the neighbours (the coarsest equitable partition). So all jars of a kind cool alike, and
    a kind for each place gives the same.

    Examples
    --------
    >>> from coolsim import Places, kinds_of
    >>> places = Places(rows=3, columns=4, length=0.38, width=0.285, pitch_along=0.09, pitch_across=0.09)
    >>> [(kind.name, kind.count) for kind in kinds_of(places)]
    [('corner', 4), ('edge, row 1, column 2', 4), ('edge, row 2, column 1', 2), ('inner', 2)]
    """
    sort = {place: number if each_place else 0 for number, place in enumerate(places)}
    while True:
        seen = {place: (sort[place], place in places.empty, _sides(places, place, sort)) for place in places}
        numbers = {what: number for number, what in enumerate(dict.fromkeys(seen.values()))}
        finer = {place: numbers[what] for place, what in seen.items()}
        if len(numbers) == len(set(sort.values())):
            break
        sort = finer
    groups: dict[int, list[Place]] = {}
    for place in places:
        groups.setdefault(sort[place], []).append(place)
    ordered = sorted(groups.values(), key=lambda group: (*_exposure(places, group[0]), group[0]))
    names = [_name(places, group[0]) for group in ordered]
    return tuple(
        _kind(places, group, name if names.count(name) == 1 else _name(places, group[0], at=True))
        for group, name in zip(ordered, names, strict=True)
    )


def _sides(places: Places, place: Place, sort: dict[Place, int]) -> tuple[tuple[int, float, float], ...]:
    """List what the four sides of a place meet, in an order that does not depend on where they are."""
    met = ((-1 if one is None else sort[one], long, pitch) for one, long, pitch in places.sides(place))
    return tuple(sorted((what, round(long, _SAME_LENGTH), round(pitch, _SAME_LENGTH)) for what, long, pitch in met))


def _exposure(places: Places, place: Place) -> tuple[bool, int, int]:
    beside = [one for one, _, _ in places.sides(place)]
    is_empty = place in places.empty
    hollow = 0 if is_empty else sum(one in places.empty for one in beside if one is not None)
    return is_empty, -beside.count(None), -hollow


def _kind(places: Places, group: list[Place], name: str) -> PlaceKind:
    walls = [long for place in group for one, long, _ in places.sides(place) if one is None]
    return PlaceKind(
        name=name,
        places=tuple(group),
        empty=group[0] in places.empty,
        walls=len(walls) // len(group),
        wall_length=sum(walls) / len(walls) if walls else 0.0,
        plan=sum(math.prod(places.cell(place)) for place in group) / len(group),
    )


def _name(places: Places, place: Place, *, at: bool = False) -> str:
    is_empty, walls, hollow = _exposure(places, place)
    name = "in the row" if walls == -2 and 1 in (places.rows, places.columns) else _NAMES[-walls]
    if is_empty:
        name = f"empty place, {name}"
    if at:
        return f"{name}, row {place[0]}, column {place[1]}"
    if hollow:
        name += " by an empty place" if hollow == -1 else f" by {-hollow} empty places"
    return name


def neighbours_of(places: Places, kinds: tuple[PlaceKind, ...]) -> tuple[Neighbours, ...]:
    """Count which kinds of place stand beside each other: one entry for each two different kinds that touch."""
    kind_of = {place: index for index, kind in enumerate(kinds) for place in kind.places}
    pitches: dict[tuple[int, int], list[float]] = {}
    for place, mine in kind_of.items():
        for beside, _, pitch in places.sides(place):
            if beside is not None and mine < kind_of[beside]:
                pitches.setdefault((mine, kind_of[beside]), []).append(pitch)
    return tuple(
        Neighbours(kinds=pair, pairs=len(found), pitch=sum(found) / len(found))
        for pair, found in sorted(pitches.items())
    )


def gaps_of(places: Places, diameter: float) -> tuple[tuple[str, float], ...]:
    """Mean width of the air [m] beside jars of a diameter [m], half of it between two jars.

    It is that to a ring as long as four such sides of the cell.
    """
    walls = [(kind.name, kind.wall_length) for kind in kinds_of(places) if kind.walls and not kind.empty]
    beside = ((name, 2.0 * long / math.pi - 0.5 * diameter) for name, long in walls)
    return (*beside, *((name, 0.5 * width) for name, width in air_between(places, diameter)))


def air_between(places: Places, diameter: float) -> tuple[tuple[str, float], ...]:
    """Mean width of the air [m] between neighbouring jars of different kinds, of a diameter [m].

    It is twice that to a ring as long as four sides half a pitch away.
    """
    kinds = kinds_of(places)
    jars = [one for one in neighbours_of(places, kinds) if not any(kinds[index].empty for index in one.kinds)]
    return tuple((kinds[one.kinds[0]].name, 4.0 * one.pitch / math.pi - diameter) for one in jars)
