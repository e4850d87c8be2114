"""From the values of a scenario to the day of its jar and the course of its room, and what does not fit there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from coolsim.model.day import CourseOfRoom, NightOfRoom
from coolsim.model.jar import Change, Lid, Room, Surround
from coolsim.model.materials import catalogue_inert
from coolsim.scenario.calendar import ClockTime
from coolsim.scenario.day_tables import DRAUGHT, Happening
from coolsim.scenario.known import Known
from coolsim.units import format_quantity

Fault = tuple[str, str]

_INTO, _OUT = "into the box", "out of the box"


def room_of(known: Known) -> Room:
    """Put the room together.

    Parameters
    ----------
    known : Known
        The values of a scenario without faults.

    Returns
    -------
    Room
        Constant, by rows, or with a cold night.
    """
    speed = known("room.air_speed")
    own = known("room.temperature")
    usual = Room().at(0.0) if own is None else float(own)
    rows, lowest = known("room.course"), known("room.lowest")
    if rows is not None:
        return Room(temperature=CourseOfRoom(rows=rows, pour=known("pour.clock")), air_speed=speed)
    if lowest is not None:
        night = NightOfRoom(warmest=usual, lowest=lowest, coldest=known("room.coldest"), pour=known("pour.clock"))
        return Room(temperature=night, air_speed=speed)
    return Room(temperature=usual, air_speed=speed)


def warmest_room(known: Known) -> float:
    """Tell how warm the room gets.

    Parameters
    ----------
    known : Known
        The values of a scenario.

    Returns
    -------
    float
        Its highest temperature on any day [°C].
    """
    rows, own = known("room.course"), known("room.temperature")
    if rows is not None:
        return max(float(temperature) for _, temperature in rows)
    return Room().at(0.0) if own is None else float(own)


def coldest_room(known: Known) -> float:
    """Tell how cold the room gets.

    Parameters
    ----------
    known : Known
        The values of a scenario.

    Returns
    -------
    float
        Its lowest temperature on any day [°C].
    """
    rows, lowest = known("room.course"), known("room.lowest")
    if rows is not None:
        return min(float(temperature) for _, temperature in rows)
    return warmest_room(known) if lowest is None else float(lowest)


def starts_bare(known: Known) -> bool:
    """Tell whether the jar of a scenario with a box is first put into it on the way.

    Parameters
    ----------
    known : Known
        The values of a scenario.

    Returns
    -------
    bool
        Whether it stands bare at the pour.
    """
    moves = [one.what for one in _happenings(known) if one.what in (_INTO, _OUT)]
    return bool(moves) and moves[0] == _INTO


def changes_of(known: Known, *, surround: Surround | None, feet: Callable[[bool], float]) -> tuple[Change, ...]:
    """Turn what happens into how the jar stands from then on.

    Parameters
    ----------
    known : Known
        The values of a scenario without faults.
    surround : Surround or None
        Its box.
    feet : callable
        Contact conductance of the foot [W/m2/K] of whether the jar stands on board.

    Returns
    -------
    tuple of Change
        One for each row.
    """
    boxed = surround is not None and not starts_bare(known)
    flaps, speed, lidded = surround.flaps if surround is not None else "closed", known("room.air_speed"), False
    found: list[Change] = []
    for one in _happenings(known):
        boxed = {_INTO: True, _OUT: False}.get(one.what, boxed)
        lidded = {"lid on": True, "lid off": False}.get(one.what, lidded)
        if one.what in ("flaps open", "flaps closed"):
            flaps = "open" if one.what == "flaps open" else "closed"
        speed = {DRAUGHT: one.speed or 0.0, "still air": 0.0}.get(one.what, speed)
        here = None
        if boxed and surround is not None:
            here = replace(surround, flaps=flaps, cover=surround.cover if flaps == "closed" else 0.0)
        lid = Lid(material=catalogue_inert(known("day.lid_material")), thickness=known("day.lid_thickness"))
        found.append(
            Change(
                time=one.time,
                happens=one.what if one.speed is None else f"draught of {format_quantity(one.speed, 'speed')}",
                surround=here,
                lid=lid if lidded else None,
                foot=feet(here is not None and here.under_layers > 0),
                air_speed=speed,
                moved=one.what in (_INTO, _OUT),
            )
        )
    return tuple(found)


def _happenings(known: Known) -> tuple[Happening, ...]:
    found: tuple[Happening, ...] = known("day.changes") if known.has("day.changes") else ()
    return found


def _changes_follow_each_other(known: Known) -> Iterator[Fault]:
    rows = _happenings(known)
    if not rows:
        return
    horizon = known("run.horizon")
    late = next((one for one in rows if one.time >= horizon), None)
    if late is not None:
        yield (
            "day.changes",
            f"found '{late.what}' at {known.show(late.time, 'duration')}, not before the end of the run at"
            f" {known.show(horizon, 'duration')}, give an earlier time or a later run.horizon",
        )
    has_box = known.has("surround.flaps")
    boxed = has_box and not starts_bare(known)
    flaps = known("surround.flaps") if has_box else None
    lidded, speed = False, known("room.air_speed")
    for one in rows:
        where = f"found '{one.what}' at {known.show(one.time, 'duration')}"
        needs_box = one.what in (_INTO, _OUT, "flaps open", "flaps closed")
        if needs_box and not has_box:
            yield "day.changes", f"{where}, but the scenario has no box, give a table [surround], or leave the row out"
            return
        already = {
            _INTO: boxed,
            _OUT: not boxed,
            "lid on": lidded,
            "lid off": not lidded,
            "flaps open": flaps == "open",
            "flaps closed": flaps == "closed",
            "still air": speed == 0.0,
        }.get(one.what, False)
        if already or (one.what.startswith("flaps") and not boxed):
            why = "the jar is not in its box then" if one.what.startswith("flaps") and not boxed else "it is so already"
            yield "day.changes", f"{where}, but {why}, give rows that follow each other"
            return
        boxed = {_INTO: True, _OUT: False}.get(one.what, boxed)
        lidded = {"lid on": True, "lid off": False}.get(one.what, lidded)
        flaps = {"flaps open": "open", "flaps closed": "closed"}.get(one.what, flaps)
        speed = {DRAUGHT: one.speed or 0.0, "still air": 0.0}.get(one.what, speed)


def _room_has_one_course(known: Known) -> Iterator[Fault]:
    rows, lowest, coldest = known("room.course"), known("room.lowest"), known("room.coldest")
    if rows is not None:
        for name in ("temperature", "lowest", "coldest"):
            if known(f"room.{name}") is not None:
                yield f"room.{name}", "found together with room.course, give only one of them"
    if (lowest is None) != (coldest is None) and rows is None:
        missing = "coldest" if coldest is None else "lowest"
        example = ClockTime().show(5 * 3600.0) if coldest is None else "14 °C"
        yield f"room.{missing}", f"missing, a cold night needs both lowest and coldest, give it as in '{example}'"
    own = known("room.temperature")
    warmest = Room().at(0.0) if own is None else own
    if lowest is not None and lowest >= warmest:
        yield (
            "room.lowest",
            f"found {known.show(lowest, 'temperature')}, not below the {known.show(warmest, 'temperature')} of"
            " room.temperature, give a colder one",
        )
    if (rows is not None or lowest is not None) and known("pour.clock") is None:
        yield (
            "pour.clock",
            "missing, a room that changes by the clock needs the time of the pour, give it as in '16:30'",
        )


DAY_CHECKS: tuple[Callable[[Known], Iterator[Fault]], ...] = (_changes_follow_each_other, _room_has_one_course)
"""What must fit together."""
