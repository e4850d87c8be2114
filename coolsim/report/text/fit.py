"""What a fit found, as text, as data, and as remarks for the scenario that it writes."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from coolsim.report.blocks import Block, Column, Note, Table
from coolsim.report.text.page import as_text
from coolsim.report.wording import difference_text, hours_minutes, in_units, keyed, length_text
from coolsim.scenario.plausible import Plausible
from coolsim.studies.fit.estimate import INSIDE
from coolsim.studies.fit.fit import IN_PART, TOLD, Fit, FittedField, FittedJar
from coolsim.studies.fit.parameters import Nuisance
from coolsim.studies.fit.probe_curves import SIGHTS
from coolsim.units import System

_TOGETHER, _MUCH_TOGETHER = 1.1, 2.0
_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
UNIT_OF_KIND = {"duration": "s", "length": "m", "volume": "m3"}


def fit_blocks(fit: Fit, *, units: System) -> list[Block]:
    """Write what a fit found: the fitted values, how well they meet the data, and what is doubtful."""
    table = Table(
        columns=(Column(width=22), *(Column(width=width, right=True) for width in (13, 13, 12, 12, 8))),
        headings=("", "before", "fitted", "95 % from", "to", "known"),
        rows=tuple(field_cells(one, units) for one in fit.fields),
        gap=0,
        ruled=True,
    )
    return [
        Note(f"Fitted: {' and '.join(dict.fromkeys(jar.measured.scenario.title for jar in fit.jars))}"),
        table,
        *map(Note, (*_data(fit, units), *_doubts(fit), *_errors(fit, units))),
        Note(
            "Of 100 true values 95 lie between 'from' and 'to', as far as the model holds. The plausible range of each"
            " value (four standard deviations) counts as if it were measured. Known: from the data, yes if they"
            f" narrowed that range to {100 * TOLD:.0f} % or less, in part up to {100 * IN_PART:.0f} %."
        ),
    ]


fit_text = as_text(fit_blocks)


def fit_data(fit: Fit) -> dict[str, Any]:
    """Give what a fit found as plain data, values in SI and °C."""
    probes = iter(zip(fit.estimate.noise, fit.estimate.together, strict=True))
    return {
        "fields": [
            {
                "key": one.known.key,
                "before": one.known.centre,
                "fitted": one.value,
                **keyed(one, "low high"),
                "inside": INSIDE,
                "plausible": [one.known.low, one.known.high],
                "plausible_source": one.known.source,
                "told": known_word(one),
                "deviation_left": one.told,
                "at_bound": one.at_bound,
                "raw": one.known.raw(one.value),
            }
            for one in fit.fields
        ],
        "covariance": fit.covariance.tolist(),
        "inseparable": [
            {"keys": [first, second], "correlation": correlation} for first, second, correlation in fit.inseparable
        ],
        "untold": [{"deviation_left": left, "parts": dict(parts)} for left, parts in fit.untold],
        "independent_values": fit.independent,
        "jars": [
            {
                "file": jar.measured.scenario.where,
                "ends_before_solid": jar.ends_early,
                "liquid_left": jar.after.liquid_left if jar.measured.log is not None else None,
                "probes": [
                    {
                        "name": probe.name,
                        "place_m": probe.place if isinstance(probe.place, str) else list(probe.place),
                        "readings": len(probe.time),
                        "independent_readings": len(probe.time) / together**2,
                        "misfit_before_K": before,
                        "misfit_after_K": after,
                        "noise_K": noise,
                        "neighbours_factor": together,
                    }
                    for probe, (before, after), (noise, together) in zip(
                        jar.measured.probes, jar.misfit, probes, strict=False
                    )
                ],
                "seen": [
                    {
                        "what": one.what,
                        f"seen_{unit}": one.value,
                        f"deviation_{unit}": one.deviation,
                        f"before_{unit}": jar.before.seen[one.what],
                        f"after_{unit}": jar.after.seen[one.what],
                    }
                    for one in jar.measured.seen
                    for unit in (UNIT_OF_KIND[SIGHTS[one.what].kind],)
                ],
                "read": list(jar.measured.log.how) if jar.measured.log is not None else [],
            }
            for jar in fit.jars
        ],
        "thermometer": [
            {
                "error": one.kind,
                "file": fit.jars[one.jar].measured.scenario.where,
                "probe": fit.jars[one.jar].measured.probes[one.probe].name if one.probe >= 0 else None,
                "found": found,
                "deviation": deviation,
                "expected": one.sigma,
            }
            for one, found, deviation in fit.errors
        ],
        "settled": fit.estimate.settled,
        "runs": fit.runs,
    }


def remarks(fit: Fit) -> dict[str, tuple[str | float, str]]:
    """Give the fitted values by key as a scenario states them, each with a remark on where it came from."""
    source = sources_text(fit)
    return {
        one.known.key: (
            one.known.raw(one.value),
            f"fitted to {source}, 95 % from {' to '.join(_ends(one, 'metric'))}{_remark(one)}",
        )
        for one in fit.fields
    }


def sources_text(fit: Fit) -> str:
    """Name what a fit was made to; a file name may hold what a comment of TOML must not."""
    logs = [Path(jar.measured.log.where).name for jar in fit.jars if jar.measured.log is not None]
    source = " and ".join((*logs, *(["what was seen"] if any(jar.measured.seen for jar in fit.jars) else [])))
    return "".join(letter if letter.isprintable() else "?" for letter in source)


def _remark(one: FittedField) -> str:
    return {"yes": "", "in part": " (known in part)", "no": " (hardly known from it)"}[known_word(one)]


def known_word(one: FittedField) -> str:
    """Say whether a value is known from the data: yes, in part or no."""
    return "no" if one.cut_off or one.told > IN_PART else "yes" if one.told <= TOLD else "in part"


def field_cells(one: FittedField, units: System) -> tuple[str, ...]:
    """Write the key of a fitted value, what it was before, what it is, the ends of its interval, and if it is known."""
    digits = _digits(one, units)
    return (
        one.known.key,
        _value(one.known, one.known.centre, units, digits),
        _value(one.known, one.value, units, digits),
        *_ends(one, units),
        known_word(one),
    )


def _ends(one: FittedField, units: System) -> tuple[str, str]:
    """Write the ends of the interval, with the unit that stands beside the value."""
    digits = _digits(one, units)
    low, high = (_value(one.known, end, units, digits) for end in (one.low, one.high))
    return low, high


def _scale(known: Plausible, units: System) -> tuple[float, float, str]:
    return (1.0, 0.0, "") if known.kind is None else in_units(known.kind, units)


def _value(known: Plausible, value: float, units: System, digits: int) -> str:
    factor, offset, unit = _scale(known, units)
    return f"{factor * value + offset:z.{digits}f} {unit}".rstrip()


def _digits(one: FittedField, units: System) -> int:
    """Decimals that show the standard deviation, a quarter of the interval, with two digits."""
    shown = 0.25 * (one.high - one.low) * _scale(one.known, units)[0]
    return max(0, 1 - math.floor(math.log10(shown))) if shown > 0.0 else 3


def _data(fit: Fit, units: System) -> list[str]:
    texts = []
    together = iter(fit.estimate.together)
    for jar in fit.jars:
        of = f"{jar.measured.name}: " if len(fit.jars) > 1 else ""
        for probe, (before, after), linked in zip(jar.measured.probes, jar.misfit, together, strict=False):
            place = "mean of the wax"
            if not isinstance(probe.place, str):
                r, z = probe.place
                place = f"{length_text(r, units)} from the axis, {length_text(z, units)} up"
            count = len(probe.time)
            counts = f", which count as {count / linked**2:.0f}" if linked > _TOGETHER else ""
            texts.append(
                f"{of}{probe.name} ({place}): {count} readings from {hours_minutes(probe.time[0])} to"
                f" {hours_minutes(probe.time[-1])} h{counts}. Model minus log, root mean square:"
                f" {difference_text(before, units)} before, {difference_text(after, units, digits=2)} after."
            )
        if jar.measured.log is not None:
            texts.append(f"{jar.measured.log.where} was read with {', '.join(jar.measured.log.how)}.")
        texts += [f"{of}{one}" for one in seen_texts(jar, units)]
        if jar.ends_early:
            texts.append(
                f"Warning: {of}the log ends when the last place to freeze is still {100 * jar.after.liquid_left:.0f} %"
                " liquid. What comes after, such as where freezing ends, it cannot show. Log until the wax is solid."
            )
    return texts


def seen_texts(jar: FittedJar, units: System) -> list[str]:
    """Write what was seen of a jar, and what its run has before and after the fit."""
    texts = []
    for one in jar.measured.seen:
        seen, deviation, first, last = (
            seen_text(value, one.what, units)
            for value in (one.value, one.deviation, jar.before.seen[one.what], jar.after.seen[one.what])
        )
        at, unit = ("at ", " h") if SIGHTS[one.what].kind == "duration" else ("", "")
        texts.append(f"{one.what}: seen {at}{seen} ± {deviation}{unit}; computed {first} before, {last} after.")
    return texts


def seen_text(value: float, what: str, units: System) -> str:
    """Write what was seen or computed of it [s, m, m3]."""
    kind = SIGHTS[what].kind
    if kind == "duration":
        return hours_minutes(value)
    factor, _, unit = in_units(kind, units)
    return f"{factor * value:z.{2 if units == 'us' else 1}f} {unit}"


def _doubts(fit: Fit) -> list[str]:
    texts = []
    count = math.floor(fit.independent + 0.5)
    if count < len(fit.fields):
        texts.append(
            f"{_word(count).capitalize()} {'reading' if count == 1 else 'readings'} cannot tell"
            f" {_word(len(fit.fields))} values: what they leave open is filled in from the plausible ranges. Measure"
            " more, or fit fewer with --fields."
        )
    for first, second, correlation in fit.inseparable:
        way = "one higher and the other lower" if correlation < 0.0 else "both higher, or both lower,"
        texts.append(
            f"{first} and {second} cannot be told apart by these data (correlation {correlation:+.2f}):"
            f" {way} fit equally well. Measure one of them in another way."
        )
    untold = [one.known.key for one in fit.fields if known_word(one) == "no"]
    if untold:
        texts.append(f"Hardly known from these data, and so left near the values before: {', '.join(untold)}.")
    for left, parts in fit.untold:
        if len(parts) > 1:
            named = " with ".join(f"{key} ({'up' if part > 0 else 'down'})" for key, part in parts)
            # Found from draws, the share can come out a little above all of it.
            share = "all" if left >= 0.995 else f"{100 * left:.0f} %"
            texts.append(f"Hardly known together: {named}; {share} of the doubt before is left.")
    bound = [one.known.key for one in fit.fields if one.at_bound]
    if bound:
        texts.append(
            f"Warning: {', '.join(bound)} reached the limit of the fit. Check the log, the places of the probes and the"
            " scenario, or fit other fields."
        )
    if any(together > _MUCH_TOGETHER for together in fit.estimate.together):
        most = max(fit.estimate.together)
        texts.append(
            f"Neighbouring readings err together: the model misses something that these fields cannot correct. So a"
            f" reading counts for less, as if its noise were {most:.1f} times what it is."
        )
    if not fit.estimate.settled:
        texts.append("Warning: the search did not settle. Fit fewer fields, or give narrower ranges.")
    return texts


def _word(count: int) -> str:
    return _COUNTS[count] if count < len(_COUNTS) else str(count)


def _errors(fit: Fit, units: System) -> list[str]:
    if not fit.errors:
        return []
    parts = []
    for one, found, deviation in fit.errors:
        measured = fit.jars[one.jar].measured
        of = f"{measured.name}: " if len(fit.jars) > 1 else ""
        name = measured.probes[one.probe].name if one.probe >= 0 else "the pour"
        parts.append(f"{of}{name} {_error(one, found, deviation, units)}")
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
