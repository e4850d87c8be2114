"""The repair of a set top with hot air as a table, in words, and as plain data."""

from __future__ import annotations

from typing import Any

import numpy as np

from coolsim.answers.catalogue import BY_KEY
from coolsim.model.section import Array
from coolsim.report.blocks import Block, Column, Note, Row, Table
from coolsim.report.text.page import as_text
from coolsim.report.wording import (
    difference_text,
    hours_minutes,
    keyed,
    length_text,
    shape_text,
    temperature_text,
    volume_text,
)
from coolsim.scenario.keys import keys_that
from coolsim.scenario.plausible import states
from coolsim.solve.contraction import Shrinkage
from coolsim.studies.repair.repair import Repair, RepairedTop
from coolsim.units import System, format_quantity

_SHOWN = (10.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0, 240.0, 300.0, 420.0, 600.0, 900.0, 1200.0, 1800.0)
_LOW = 4e-3
_FURTHER = 2.0
_NOTE = (
    "Try it on a jar that does not matter: if the top melts sooner or later than in the table, change repair.film until"
    " it agrees. Computed for a jet that is moved over the whole top; where it stands still, wax and brim get hotter."
)


def vessel_word(found: Repair) -> str:
    """Name what the vessel is made of for the reader, "glass" or "metal"."""
    return "metal" if found.scenario.jar.vessel.material.is_metal else "glass"


def blown_text(seconds: float | None) -> str:
    """Write how long hot air is blown [s]: seconds up to two minutes, then minutes and seconds; a dash for none."""
    if seconds is None:
        return "–"
    whole = int(np.ceil(seconds - 1e-9))
    return f"{whole} s" if whole <= 120 else f"{whole // 60}:{whole % 60:02d} min"


def repair_blocks(
    found: Repair,
    *,
    title: str,
    units: System,
    cooler: Repair | None = None,
    films: tuple[Repair, Repair] | None = None,
) -> list[Block]:
    """Write what hot air does to a set top.

    `cooler` is the same with air that does not overheat the oil, where this one does; `films` with the weakest and the
    strongest jet.
    """
    told = [verdict_text(found, units, cooler=cooler), *([] if films is None else [films_text(films, units)])]
    told += warnings(found, units)
    return [
        Note(f"Repair with hot air: {title}"),
        _tops(found, units),
        _table(found, units),
        *(Note(text) for text in told if text),
        *(Note(text, rests=True) for text in (estimated(found), _NOTE) if text),
    ]


repair_text = as_text(repair_blocks)


def _tops(found: Repair, units: System) -> Table:
    """Tell of the top before, of the hot air and what it reaches, and of the top after."""
    before, hot, after = found.before, found.hot_air, found.after
    rows: list[Row] = [
        f"The set top, {hours_minutes(found.begins)} h after the pour",
        ("  It is", shape_text(before.dish, before.hole, found.band, found.scenario.jar.answers, units)),
        *_dish_and_hole(before, units),
        ("  Highest place over the mean", length_text(found.levels_from, units)),
    ]
    if "open" in found.goals and before.cavity_roof is not None:
        rows += [
            ("  Hidden cavity", volume_text(before.cavity_volume, units)),
            ("  Its roof under the top", length_text(before.cavity_roof, units)),
        ]
    else:
        rows.append(("  Hidden cavity", f"none to speak of: {volume_text(before.cavity_volume, units)}"))
    rows += [
        "Hot air (estimates)",
        ("  At the wax", temperature_text(hot.air, units)),
        ("  Film on the wax", _film(found, units)),
        "Smallest time",
    ]
    if "level" in found.goals:
        rows.append(("  Levels the dish", _time(found.levelled, found)))
    if "open" in found.goals:
        rows.append(("  Melts through to the cavity", _time(found.opened, found)))
        rows.append(("  Stands level with the cavity full", _time(found.reaches, found)))
    touch = temperature_text(hot.hot_to_touch, units)
    rows.append((f"  The brim burns the hand ({touch})", _time(found.touch, found)))
    if after is not None:
        rows += [
            f"The top after {blown_text(found.needed)} of hot air, set again",
            ("  It is", after.verdict),
            *_dish_and_hole(after, units),
            ("  Lower than before, on average", length_text(max(after.sunk, 0.0), units)),
            ("  Fall since the pour, on average", length_text(_below_pour(found, after), units)),
            ("  Has set again after", after_text(after.set_after)),
            (f"  No {vessel_word(found)} burns the hand after", after_text(after.touchable_after)),
            ("  Wax near the room after", after_text(after.cool_after)),
        ]
    return Table(columns=(Column(width=38), Column(width=42)), rows=tuple(rows), gap=0)


def _dish_and_hole(top: Shrinkage | RepairedTop, units: System) -> list[Row]:
    shape = (("dish_m", top.dish), ("hole_m", top.hole))
    return [(f"  {BY_KEY[key].label}", length_text(depth, units)) for key, depth in shape]


def _film(found: Repair, units: System) -> str:
    return format_quantity(found.hot_air.film, "film_coefficient", system=units)


def _below_pour(found: Repair, after: RepairedTop) -> float:
    return found.before.pour_level - float(np.average(after.level, weights=found.before.area))


def _time(seconds: float | None, found: Repair) -> str:
    return f"not within {blown_text(found.hot_air.longest)}" if seconds is None else blown_text(seconds)


def after_text(seconds: float | None) -> str:
    """Write a time since the air was switched off [s]."""
    if seconds is None:
        return "not before the run ended"
    return "at once" if seconds < 1.0 else f"{hours_minutes(seconds)} h" if seconds >= 3600.0 else _minutes(seconds)


def _minutes(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 100.0 else f"{seconds / 60.0:.0f} min"


def _table(found: Repair, units: System) -> Table:
    """Set seconds against depth and temperatures, the smallest time among them."""
    vessel, marked = vessel_word(found), found.reaches
    last = found.hot_air.longest if marked is None else min(max(_FURTHER * marked, _SHOWN[0]), found.hot_air.longest)
    times = {time for time in _SHOWN if time <= last and (marked is None or blown_text(time) != blown_text(marked))}
    digits = 1 if units == "metric" else None

    def row(time: float) -> Row:
        middle, glass, surface, rim, across = (
            at(found, curve, time)
            for curve in (found.depth_in_middle, found.depth_at_glass, found.surface, found.rim, found.across)
        )
        return (
            blown_text(time),
            *(format_quantity(depth, "length", system=units, digits=digits) for depth in (middle, glass)),
            *(temperature_text(one, units) for one in (surface, rim)),
            difference_text(across, units, digits=0),
            "<" if time == marked else "",
        )

    return Table(
        columns=tuple(Column(width=width) for width in (10, 14, 14, 14, 14, 12, 2)),
        headings=(
            "Hot air\nfor", "Melted in\nthe middle", f"Melted at\nthe {vessel}", "Wax surface,\nhottest",
            f"Brim of\nthe {vessel}", f"{vessel.capitalize()}\ndiffers by", "",
        ),
        rows=tuple(map(row, sorted({*times, *([] if marked is None else [marked])}))),
        notes=() if marked is None else ("<: all is reached",),
        gap=0,
        ruled=True,
    )  # fmt: skip


def at(found: Repair, values: Array, seconds: float) -> float:
    """Value of one of its curves at a time since the air was switched on [s], straight between steps."""
    return float(np.interp(seconds, found.seconds, values))


def verdict_text(found: Repair, units: System, *, cooler: Repair | None = None) -> str:
    """Say in words how long to blow, or why not and with which cooler air."""
    goals = {"level": "level the dish", "open": "melt through to the cavity, so that it fills"}
    wanted = " and ".join(goals[goal] for goal in found.goals)
    if found.needed is not None:
        depth = length_text(at(found, found.depth_in_middle, found.needed), units)
        told = f"Blow for {blown_text(found.needed)} to {wanted}: the top is then melted {depth} deep in the middle."
        after = found.after
        if after is not None and after.verdict != "flat":
            told += f" So much melt sets {after.verdict} again."
        if after is not None and _below_pour(found, after) > _LOW:
            told += " Hot air adds no wax: if the top is too low for you then, pour a little on it."
        return told
    longest = blown_text(found.hot_air.longest)
    if found.too_hot is None or found.hottest_oil is None:
        return (
            f"No time up to {longest} (repair.longest) will {wanted}. Give hotter air (repair.air), a stronger jet"
            " (repair.film), or more time; or melt the whole wax again in a water bath."
        )
    why = (
        f"Not with this air: after {blown_text(found.too_hot)} the surface is hotter than wax with this oil may be,"
        f" {temperature_text(found.hottest_oil, units)} (batch.flash_point less batch.flash_margin), and it is not"
        f" melted deep enough to {wanted}."
    )
    if cooler is None:
        return f"{why} Cooler air does not do it within {longest} either. Do not repair this top with hot air."
    return (
        f"{why} With air of {temperature_text(cooler.hot_air.air, units)} it takes {blown_text(cooler.needed)} and the"
        " surface stays below that."
    )


def films_text(films: tuple[Repair, Repair], units: System) -> str:
    """Say how far the smallest time depends on the film, from that of the weakest to that of the strongest jet."""
    told = [_film(one, units) for one in films]
    times = [_time(one.reaches, one) for one in films]
    return (
        f"The film of a jet is loosely known: with {told[0]} all is reached after {times[0]}, with {told[1]} after"
        f" {times[1]}."
    )


def estimated(found: Repair) -> str:
    """Name the keys of the hot air that the scenario leaves to estimates; empty if it states all."""
    keys = keys_that(lambda said: said.behind == "The repair", tables=("repair",))
    left = [key for key in keys if not states(found.scenario, key)]
    if not left:
        return ""
    return (
        f"Estimates. These keys have values that were estimated: {', '.join(left)}. The top, the cavity and the melting"
        " depend on those of the wax as well, as `coolsim run` names them."
    )


def warnings(found: Repair, units: System) -> tuple[str, ...]:
    """Say what this repair does to hand, glass, wax and fragrance."""
    time = found.reaches if found.reaches is not None else found.hot_air.longest
    surface, rim = (temperature_text(at(found, one, time), units) for one in (found.surface, found.rim))
    word, told = vessel_word(found), []
    if found.touch is not None and found.touch < time:
        told.append(
            f"Warning: the brim is hot to the touch after {blown_text(found.touch)} and {rim} after {blown_text(time)}:"
            " do not touch or lift the jar until it has cooled."
        )
    limit = found.scenario.jar.vessel.shock_limit
    if limit is not None and found.shock is not None and found.shock < time:
        told.append(
            f"Warning: after {blown_text(found.shock)} brim and foot of the {word} differ by more than"
            f" {difference_text(limit, units)} (vessel.shock_limit), and it may crack: blow in bursts, keep the"
            " air off the brim, or warm the whole jar first."
        )
    for key, most in found.scenario.pour_limits.items():
        if at(found, found.surface, time) > most:
            told.append(
                f"Warning: the surface gets {surface} hot, above {temperature_text(most, units)} ({key}): it may"
                " discolour or lose fragrance; use cooler air."
            )
    if found.hottest_oil is None and found.scenario.plan.load > 0.0:
        told.append(
            f"Warning: the surface gets {surface} hot, and no flash point is stated (batch.flash_point): compare"
            " that with the data sheets of wax and oil first. Air and nozzle are far hotter."
        )
    return tuple(told)


def repair_data(
    found: Repair, *, cooler: Repair | None = None, films: tuple[Repair, Repair] | None = None
) -> dict[str, Any]:
    """Give a repair as plain data: SI values and °C, each with its unit in the name; None for what is not reached."""
    hot, top, after = found.hot_air, found.before, found.after
    air = "air_C film_W_m2K on_glass stirring runs_from_m longest_s hot_to_touch_C"
    again = "verdict dish_m hole_m sunk_m cavity_volume_m3 set_after_s touchable_after_s cool_after_s"
    return {
        "begins_s": found.begins,
        "hot_air": keyed(hot, air),
        "before": {
            "verdict": found.verdict,
            "depth_band_m": list(found.band),
            **keyed(top, "dish_m hole_m depth_m dish_volume_m3 void_volume_m3"),
            "highest_over_mean_m": found.levels_from,
            **keyed(top, "cavity_volume_m3 cavity_roof_m"),
        },
        "goals": list(found.goals),
        "levels_after_s": found.levelled,
        "opens_after_s": found.opened,
        "reaches_all_after_s": found.reaches,
        **keyed(found, "needed_s hottest_oil_C"),
        "too_hot_after_s": found.too_hot,
        "hot_to_touch_after_s": found.touch,
        "shock_after_s": found.shock,
        "cooler_air": None if cooler is None else {"air_C": cooler.hot_air.air, "needed_s": cooler.needed},
        "over_films": None
        if films is None
        else [{"film_W_m2K": one.hot_air.film, "reaches_all_after_s": one.reaches} for one in films],
        "curves": {
            "seconds_s": found.seconds.tolist(),
            "melted_in_middle_m": found.depth_in_middle.tolist(),
            "melted_at_glass_m": found.depth_at_glass.tolist(),
            "surface_C": found.surface.tolist(),
            "rim_C": found.rim.tolist(),
            "glass_differs_K": found.across.tolist(),
        },
        "after": None if after is None else keyed(after, again),
    }
