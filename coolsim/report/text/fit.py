"""What a fit found, as text, as data, and as remarks for the scenario that it writes."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from coolsim.report.blocks import Block, Column, Note, Table
from coolsim.report.text.page import as_text
from coolsim.report.wording import difference_text, hours_minutes, in_units, keyed, length_text
from coolsim.scenario.plausible import SIGMAS_IN_RANGE, Plausible
from coolsim.studies.fit.fit import IN_PART, TOLD, Fit, FittedField
from coolsim.studies.fit.parameters import Nuisance
from coolsim.units import System

_MUCH_TOGETHER = 2.0


def fit_blocks(fit: Fit, *, units: System) -> list[Block]:
    """Write what a fit found: the fitted values, how well they meet the log, and what is doubtful."""
    table = Table(
        columns=(Column(width=24), *(Column(width=width, right=True) for width in (14, 14, 10, 10, 8))),
        headings=("", "before", "fitted", "± 1 sd", "before ±", "known"),
        rows=tuple(_cells(one, units) for one in fit.fields),
        gap=0,
        ruled=True,
    )
    return [
        Note(f"Fitted: {fit.scenario.title}"),
        table,
        *map(Note, (*_data(fit, units), *_doubts(fit), *_errors(fit, units))),
        Note(
            "Two of three true values lie within ± 1 sd (one standard deviation), as far as the model holds."
            f" Before the fit ± 1 sd is a quarter of the plausible range. Known: from the data, yes if ± shrank to"
            f" {100 * TOLD:.0f} % or less, in part up to {100 * IN_PART:.0f} %."
        ),
    ]


fit_text = as_text(fit_blocks)


def fit_data(fit: Fit) -> dict[str, Any]:
    """Give what a fit found as plain data, values in SI and °C."""
    probes = fit.log.probes if fit.log is not None else ()
    return {
        "fields": [
            {
                "key": one.known.key,
                "before": one.known.centre,
                "fitted": one.value,
                **keyed(one, "low high"),
                "plausible": [one.known.low, one.known.high],
                "plausible_source": one.known.source,
                "told": _told(one.told),
                "spread_left": one.told,
                "at_bound": one.at_bound,
                "raw": one.known.raw(one.value),
            }
            for one in fit.fields
        ],
        "covariance": fit.covariance.tolist(),
        "inseparable": [
            {"keys": [first, second], "correlation": correlation} for first, second, correlation in fit.inseparable
        ],
        "untold": [{"spread_left": left, "parts": dict(parts)} for left, parts in fit.untold],
        "probes": [
            {
                "name": probe.name,
                "place_m": probe.place if isinstance(probe.place, str) else list(probe.place),
                "readings": len(probe.time),
                "misfit_before_K": before,
                "misfit_after_K": after,
                "noise_K": noise,
                "neighbours_factor": together,
            }
            for probe, (before, after), noise, together in zip(
                probes, fit.misfit, fit.estimate.noise, fit.estimate.together, strict=True
            )
        ],
        "events": [
            {
                "event": one.event,
                "seen_s": one.time,
                "spread_s": one.spread,
                "before_s": fit.before.events[one.event],
                "after_s": fit.after.events[one.event],
            }
            for one in fit.seen
        ],
        "thermometer": [
            {
                "error": one.kind,
                "probe": probes[one.probe].name if one.probe >= 0 else None,
                "found": found,
                "deviation": deviation,
                "expected": one.sigma,
            }
            for one, found, deviation in fit.errors
        ],
        "read": list(fit.log.how) if fit.log is not None else [],
        "settled": fit.estimate.settled,
        "runs": fit.runs,
    }


def remarks(fit: Fit) -> dict[str, tuple[str | float, str]]:
    """Give the fitted values by key as a scenario states them, each with a remark on where it came from."""
    source = Path(fit.log.where).name if fit.log is not None else "events that were seen"
    # A file name may hold what a comment of TOML must not.
    source = "".join(letter if letter.isprintable() else "?" for letter in source)
    return {
        one.known.key: (
            one.known.raw(one.value),
            f"fitted to {source}, ± {_spread(one.known, one)}{_remark(one)}",
        )
        for one in fit.fields
    }


def _remark(one: FittedField) -> str:
    return {"yes": "", "in part": " (known in part)", "no": " (hardly known from it)"}[_told(one.told)]


def _told(share: float) -> str:
    return "yes" if share <= TOLD else "in part" if share <= IN_PART else "no"


def _cells(one: FittedField, units: System) -> tuple[str, ...]:
    known, after = one.known, 0.5 * (one.high - one.low)
    before = (known.high - known.low) / SIGMAS_IN_RANGE
    digits = _digits(known, after, units)
    return (
        known.key,
        _value(known, known.centre, units, digits),
        _value(known, one.value, units, digits),
        _number(known, after, units),
        _number(known, before, units),
        _told(one.told),
    )


def _scale(known: Plausible, units: System) -> tuple[float, float, str]:
    return (1.0, 0.0, "") if known.kind is None else in_units(known.kind, units)


def _value(known: Plausible, value: float, units: System, digits: int) -> str:
    factor, offset, unit = _scale(known, units)
    return f"{factor * value + offset:z.{digits}f} {unit}".rstrip()


def _digits(known: Plausible, spread: float, units: System) -> int:
    """Decimals that show a spread with two digits."""
    shown = spread * _scale(known, units)[0]
    return max(0, 1 - math.floor(math.log10(shown))) if shown > 0.0 else 3


def _number(known: Plausible, spread: float, units: System) -> str:
    return f"{spread * _scale(known, units)[0]:.{_digits(known, spread, units)}f}"


def _spread(known: Plausible, one: FittedField) -> str:
    unit = "K" if known.kind == "temperature" else _scale(known, "metric")[2]
    return f"{_number(known, 0.5 * (one.high - one.low), 'metric')} {unit}".rstrip()


def _data(fit: Fit, units: System) -> list[str]:
    texts = []
    if fit.log is not None:
        for probe, (before, after) in zip(fit.log.probes, fit.misfit, strict=True):
            place = "mean of the wax"
            if not isinstance(probe.place, str):
                r, z = probe.place
                place = f"{length_text(r, units)} from the axis, {length_text(z, units)} up"
            texts.append(
                f"{probe.name} ({place}): {len(probe.time)} readings from {hours_minutes(probe.time[0])} to"
                f" {hours_minutes(probe.time[-1])} h. Model minus log, root mean square:"
                f" {difference_text(before, units)} before, {difference_text(after, units, digits=2)} after."
            )
        texts.append(f"{fit.log.where} was read with {', '.join(fit.log.how)}.")
    for one in fit.seen:
        texts.append(
            f"{one.event}: seen at {hours_minutes(one.time)} ± {hours_minutes(one.spread)} h; computed for"
            f" {hours_minutes(fit.before.events[one.event])} before,"
            f" {hours_minutes(fit.after.events[one.event])} after."
        )
    return texts


def _doubts(fit: Fit) -> list[str]:
    texts = []
    for first, second, correlation in fit.inseparable:
        way = "one higher and the other lower" if correlation < 0.0 else "both higher, or both lower,"
        texts.append(
            f"{first} and {second} cannot be told apart by these data (correlation {correlation:+.2f}):"
            f" {way} fit equally well. Measure one of them in another way."
        )
    untold = [one.known.key for one in fit.fields if _told(one.told) == "no"]
    if untold:
        texts.append(f"Hardly known from these data, and so left near the values before: {', '.join(untold)}.")
    for left, parts in fit.untold:
        if len(parts) > 1:
            named = " with ".join(f"{key} ({'up' if part > 0 else 'down'})" for key, part in parts)
            texts.append(f"Hardly known together: {named}; {100 * left:.0f} % of the doubt before is left.")
    bound = [one.known.key for one in fit.fields if one.at_bound]
    if bound:
        texts.append(
            f"Warning: {', '.join(bound)} reached the limit of the fit. Check the log, the places of the probes and the"
            " scenario, or fit other fields."
        )
    if any(together > _MUCH_TOGETHER for together in fit.estimate.together):
        most = max(fit.estimate.together)
        texts.append(
            f"Neighbouring readings err together: the model misses something that these fields cannot correct. Their"
            f" noise was counted {most:.1f} times."
        )
    if not fit.estimate.settled:
        texts.append("Warning: the search did not settle. Fit fewer fields, or give narrower ranges.")
    return texts


def _errors(fit: Fit, units: System) -> list[str]:
    if not fit.errors:
        return []
    probes = fit.log.probes if fit.log is not None else ()
    parts = [
        f"{probes[one.probe].name if one.probe >= 0 else 'the pour'} {_error(one, found, deviation, units)}"
        for one, found, deviation in fit.errors
    ]
    return [f"Errors of the thermometer, found along with it: {'; '.join(parts)}."]


def _error(one: Nuisance, found: float, deviation: float, units: System) -> str:
    if one.kind == "clock":
        return f"{abs(found):.0f} ± {deviation:.0f} s {'before' if found > 0 else 'after'} the zero of the log"
    if one.kind == "reading":
        way = "high" if found > 0 else "low"
        high, deviates = (difference_text(one, units, digits=2) for one in (abs(found), deviation))
        return f"reads {high} ± {deviates} {way}"
    way = {"r": ("further out", "further in"), "z": ("higher", "lower")}[one.kind][found < 0]
    return f"{length_text(abs(found), units)} ± {length_text(deviation, units)} {way}"
