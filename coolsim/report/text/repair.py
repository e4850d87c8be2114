"""The repair of a set top with hot air as a table and in words."""

from __future__ import annotations

import numpy as np

from coolsim.model.properties import METAL_CONDUCTIVITY
from coolsim.model.section import Array
from coolsim.report.text.page import paragraph
from coolsim.report.wording import difference_text, hours_minutes, length_text, temperature_text, volume_text
from coolsim.scenario.keys import keys_that
from coolsim.scenario.plausible import states
from coolsim.studies.repair.repair import Repair, RepairedTop
from coolsim.units import System, format_quantity

_SHOWN = (10.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0, 240.0, 300.0, 420.0, 600.0, 900.0, 1200.0, 1800.0)
_LABEL = 36
_LOW = 4e-3
_FURTHER = 2.0
_COLUMNS = (10, 14, 14, 14, 14, 12)
_NOTE = (
    "Try it on a jar that does not matter: if the top melts sooner or later than in the table, change repair.film until"
    " it agrees. Computed for a jet that is moved over the whole top; where it stands still, wax and rim get hotter."
)


def vessel_word(found: Repair) -> str:
    """Name what the vessel is made of for the reader, "glass" or "metal"."""
    conductivity = found.scenario.jar.vessel.material.conductivity
    return "metal" if conductivity > METAL_CONDUCTIVITY else "glass"


def blown_text(seconds: float | None) -> str:
    """Write how long hot air is blown.

    Parameters
    ----------
    seconds : float or None
        The time [s].

    Returns
    -------
    str
        Seconds up to two minutes, then minutes and seconds; a dash for none.
    """
    if seconds is None:
        return "–"
    whole = int(np.ceil(seconds - 1e-9))
    return f"{whole} s" if whole <= 120 else f"{whole // 60}:{whole % 60:02d} min"


def repair_text(
    found: Repair,
    *,
    title: str,
    units: System,
    cooler: Repair | None = None,
    films: tuple[Repair, Repair] | None = None,
) -> str:
    """Write what hot air does to a set top.

    Parameters
    ----------
    found : Repair
        The repair.
    title : str
        What the jar is called.
    units : {"metric", "us"}
        Units of the workshop.
    cooler : Repair, optional
        The same with air that does not overheat the oil, where this one does.
    films : (Repair, Repair), optional
        The same with the weakest and the strongest jet.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    lines = []
    for heading, rows in _groups(found, units):
        lines += [heading, *(f"  {label:<{_LABEL}}{value}".rstrip() for label, value in rows)]
    parts = [paragraph(f"Repair with hot air: {title}"), "\n".join(lines), "\n".join(_table(found, units))]
    told = [verdict_text(found, units, cooler=cooler)]
    if films is not None:
        told.append(films_text(films, units))
    parts += [paragraph(text) for text in (*told, *warnings(found, units), estimated(found), _NOTE) if text]
    return "\n\n".join(parts)


def _groups(found: Repair, units: System) -> list[tuple[str, list[tuple[str, str]]]]:
    before, hot, after = found.before, found.hot_air, found.after
    hidden = [("Hidden cavity", volume_text(before.cavity_volume, units))]
    if before.cavity_roof is not None:
        hidden.append(("Its roof under the top", length_text(before.cavity_roof, units)))
    shape = [("Highest place over the mean", length_text(found.levels_from, units))]
    groups = [
        (
            f"The set top, {hours_minutes(found.begins)} h after the pour",
            [("It is", found.verdict), ("Middle minus rim", length_text(before.flatness, units)), *shape, *hidden],
        ),
        (
            "Hot air (estimates)",
            [
                ("At the wax", temperature_text(hot.air, units)),
                ("Film on the wax", format_quantity(hot.film, "film_coefficient", system=units)),
            ],
        ),
        (
            "Smallest time",
            [
                *([("Levels the dish", _time(found.levelled, found))] if "level" in found.goals else []),
                *([("Melts through to the cavity", _time(found.opened, found))] if "open" in found.goals else []),
                *(
                    [("Stands level with the cavity full", _time(found.reaches, found))]
                    if "open" in found.goals
                    else []
                ),
                (f"The rim burns the hand ({temperature_text(hot.hot_to_touch, units)})", _time(found.touch, found)),
            ],
        ),
    ]
    if after is not None:
        rows = [
            ("It is", after.verdict),
            ("Middle minus rim", length_text(after.flatness, units)),
            ("Lower than before, on the mean", length_text(max(after.sunk, 0.0), units)),
            ("Below the pour, on the mean", length_text(_below_pour(found, after), units)),
            ("Has set again after", _clock(after.set_after)),
            (f"No {vessel_word(found)} burns the hand after", _clock(after.touchable_after)),
            ("Wax near the room after", _clock(after.cool_after)),
        ]
        groups.append((f"The top after {blown_text(found.needed)} of hot air, set again", rows))
    return groups


def _below_pour(found: Repair, after: RepairedTop) -> float:
    return found.before.pour_level - float(np.average(after.level, weights=found.before.area))


def _time(seconds: float | None, found: Repair) -> str:
    return f"not within {blown_text(found.hot_air.longest)}" if seconds is None else blown_text(seconds)


def _clock(seconds: float | None) -> str:
    if seconds is None:
        return "not before the run ended"
    return "at once" if seconds < 1.0 else f"{hours_minutes(seconds)} h" if seconds >= 3600.0 else _minutes(seconds)


def _minutes(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 100.0 else f"{seconds / 60.0:.0f} min"


def _table(found: Repair, units: System) -> list[str]:
    """Seconds against depth and temperatures, with the smallest time among them."""
    vessel = vessel_word(found)
    heads = ("Hot air", "Melted in", "Melted at", "Wax surface,", "Rim of", vessel.capitalize())
    below = ("for", "the middle", f"the {vessel}", "hottest", f"the {vessel}", "differs by")
    rule = "-" * 80
    lines = [_cells(heads), _cells(below), rule]
    marked = found.reaches
    last = found.hot_air.longest if marked is None else min(max(_FURTHER * marked, _SHOWN[0]), found.hot_air.longest)
    times = {time for time in _SHOWN if time <= last and (marked is None or blown_text(time) != blown_text(marked))}
    for time in sorted({*times, *([marked] if marked is not None else [])}):
        row = (
            blown_text(time),
            _depth(at(found, found.depth_in_middle, time), units),
            _depth(at(found, found.depth_at_glass, time), units),
            temperature_text(at(found, found.surface, time), units),
            temperature_text(at(found, found.rim, time), units),
            format_quantity(at(found, found.across, time), "temperature_difference", system=units, digits=0),
        )
        lines.append(_cells(row) + ("<" if time == marked else ""))
    lines.append(rule)
    if marked is not None:
        lines.append("<: all is reached")
    return [line.rstrip() for line in lines]


def _depth(metres: float, units: System) -> str:
    return format_quantity(metres, "length", system=units, digits=1 if units == "metric" else 2)


def at(found: Repair, values: Array, seconds: float) -> float:
    """Value at a time, straight between steps.

    Parameters
    ----------
    found : Repair
        The repair.
    values : (nt,) ndarray
        One of its curves, any unit.
    seconds : float
        Since the air was switched on [s].

    Returns
    -------
    float
        The value, in the same unit.
    """
    return float(np.interp(seconds, found.seconds, values))


def _cells(cells: tuple[str, ...]) -> str:
    return "".join(f"{cell:<{width}}" for cell, width in zip(cells, _COLUMNS, strict=True))


def verdict_text(found: Repair, units: System, *, cooler: Repair | None = None) -> str:
    """Say in words how long to blow, or why not.

    Parameters
    ----------
    found : Repair
        The repair.
    units : {"metric", "us"}
        Units of the workshop.
    cooler : Repair, optional
        The same with air that does not overheat the oil, where this one does.

    Returns
    -------
    str
        A sentence or two.
    """
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
    """Say how far the smallest time hangs on the film.

    Parameters
    ----------
    films : (Repair, Repair)
        The repair with the weakest and the strongest jet.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        A sentence.
    """
    told = [format_quantity(one.hot_air.film, "film_coefficient", system=units) for one in films]
    times = [_time(one.reaches, one) for one in films]
    return (
        f"The film of a jet is loosely known: with {told[0]} all is reached after {times[0]}, with {told[1]} after"
        f" {times[1]}."
    )


def estimated(found: Repair) -> str:
    """Name the keys of the hot air that the scenario leaves to estimates.

    Parameters
    ----------
    found : Repair
        The repair.

    Returns
    -------
    str
        A sentence; empty if it states all.
    """
    keys = keys_that(lambda said: said.behind == "The repair", tables=("repair",))
    left = [key for key in keys if not states(found.scenario, key)]
    if not left:
        return ""
    return (
        f"Estimates. These keys have values that were estimated: {', '.join(left)}. The top, the cavity and the melting"
        " hang on those of the wax as well, as `coolsim run` names them."
    )


def warnings(found: Repair, units: System) -> tuple[str, ...]:
    """Say what this repair does to hand, glass, wax and fragrance.

    Parameters
    ----------
    found : Repair
        The repair.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    tuple of str
        Sentences.
    """
    time = found.reaches if found.reaches is not None else found.hot_air.longest
    surface, rim = (temperature_text(at(found, one, time), units) for one in (found.surface, found.rim))
    word, told = vessel_word(found), []
    if found.touch is not None and found.touch < time:
        told.append(
            f"Warning: the rim is hot to the touch after {blown_text(found.touch)} and {rim} after {blown_text(time)}:"
            " do not touch or lift the jar until it has cooled."
        )
    if found.shock is not None and found.shock < time:
        limit = difference_text(found.scenario.jar.vessel.shock_limit, units)
        told.append(
            f"Warning: after {blown_text(found.shock)} rim and foot of the {word} differ by more than {limit}"
            " (vessel.shock_limit), and it may crack: blow in bursts, keep the air off the rim, or warm the"
            " whole jar first."
        )
    for key, most in found.scenario.pour_limits.items():
        if at(found, found.surface, time) > most:
            told.append(
                f"Warning: the surface gets {surface} hot, above {temperature_text(most, units)} ({key}): it may"
                " discolour or lose fragrance; use cooler air."
            )
    if found.hottest_oil is None and found.scenario.plan.load > 0.0:
        told.append(
            f"Warning: the surface gets {surface} hot, and no flash point is stated (batch.flash_point): hold that"
            " against the data sheets of wax and oil first. Air and nozzle are far hotter."
        )
    return tuple(told)
