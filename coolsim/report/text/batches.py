"""The log of the batches of a jar: seen beside computed, whether they drift apart, and the fit that would use them."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from coolsim.answers import verdict
from coolsim.overview import NOT_REACHED
from coolsim.report.blocks import Block, Column, Lines, Note, Row, Table
from coolsim.report.text.fit import UNIT_OF_KIND, seen_text
from coolsim.report.text.page import as_text
from coolsim.report.wording import length_text, listed, temperature_text
from coolsim.scenario import Scenario
from coolsim.studies.fit.batches import Logged
from coolsim.studies.fit.drift import ENOUGH, RECENT, Compared, Drift
from coolsim.studies.fit.probe_curves import SIGHTS
from coolsim.studies.fit.seen import USUAL_ERROR
from coolsim.units import System

_SHOWN = 10
RULE = (
    f"Off: the last {ENOUGH} differences have one sign, and their mean is more than a reading may be wrong"
    f" ({listed([*USUAL_ERROR.values()])}; estimates). Drifting: they rise or fall from batch to batch by more than"
    f" chance, of the last {RECENT} (Kendall's rank test; no more than 1 false alarm in 20, for all that was seen"
    f" together). Fewer than {ENOUGH} batches cannot tell."
)
"""When a log warns, in words."""

_CALLED = {
    "too few": "cannot tell yet",
    "steady": "as computed",
    "off": "off",
    "rising": "drifts up",
    "falling": "drifts down",
}


def fit_command(file: Path, log: Path) -> str:
    """Write the command that fits a scenario to its log."""
    return shlex.join(["coolsim", "fit", str(file), str(log), "--out", str(file.with_name(f"{file.stem}-fitted.toml"))])


def line_text(batch: Logged, scenario: Scenario, units: System) -> str:
    """Say in a line what was logged of a batch; the scenario is that of the batch."""
    jar = scenario.jar
    told = [f"room {temperature_text(jar.room.at(0.0), units)}", f"pour {temperature_text(jar.pour, units)}"]
    told += [f"{one.what} {seen_text(one.value, one.what, units)}" for one in batch.seen]
    return f"{batch.day}: {', '.join(told)}{f', top: {batch.top}' if batch.top else ''}"


def _batch_blocks(
    scenario: Scenario, batches: Sequence[Compared], found: Sequence[Drift], file: Path, log: Path, *, units: System
) -> list[Block]:
    shown = batches[-_SHOWN:]
    earlier = len(batches) - len(shown)
    widths = (10, 7, 7, 15, 9, 9, 10)
    table = Table(
        title=f"{scenario.title}: {_counted(len(batches))} in {log.name}",
        headings=("date", "room", "pour", "", "seen", "computed", "difference"),
        columns=tuple(Column(width=width, right=number > 3) for number, width in enumerate(widths)),
        rows=tuple(row for one in shown for row in _rows(one, units)),
        notes=(f"The last {_SHOWN}; {earlier} more before.",) if earlier else (),
        ruled=True,
    )
    blocks: list[Block] = [table]
    if found:
        sums = Table(
            title=f"Seen less computed, mean of the last {ENOUGH}",
            columns=(Column(width=15), Column(width=10, right=True), Column(width=50)),
            rows=tuple((one.what, _difference(one.mean, one.what, units), verdict_text(one)) for one in found),
        )
        warnings = [text for one in found for text in _warnings(one, units)]
        blocks += [sums, *map(Note, warnings), Note(RULE)]
        blocks.append(Lines(("To correct the wax by these batches:", f"  {fit_command(file, log)}")))
    return blocks


batches_text = as_text(_batch_blocks)
"""Writes seen beside computed, batch by batch, and what the differences come to."""


def batches_data(
    scenario: Scenario, batches: Sequence[Compared], found: Sequence[Drift], file: Path, log: Path
) -> dict[str, Any]:
    """Give the same as plain data, values in SI and °C."""
    return {
        "log": log.name,
        "batches": [
            {
                **batch_data(one.batch, one.scenario),
                "computed": {_key(what): value for what, value in one.computed.items()},
                "computed_top": _top(one, "metric"),
            }
            for one in batches
        ],
        "differences": [
            {
                "what": one.what,
                "batches": one.count,
                f"mean_{UNIT_OF_KIND[SIGHTS[one.what].kind]}": one.mean,
                "verdict": one.verdict,
            }
            for one in found
        ],
        "rule": RULE,
        "fit": fit_command(file, log) if found else None,
    }


def batch_data(batch: Logged, scenario: Scenario) -> dict[str, Any]:
    """Give a batch as it was logged as plain data; the scenario is that of the batch."""
    return {
        "date": batch.day,
        "room_C": scenario.jar.room.at(0.0),
        "pour_C": scenario.jar.pour,
        "top": batch.top,
        "seen": {_key(one.what): one.value for one in batch.seen},
    }


def _rows(one: Compared, units: System) -> list[Row]:
    batch, jar = one.batch, one.scenario.jar
    lines: list[tuple[str, ...]] = []
    for seen in batch.seen:
        computed, difference = one.computed[seen.what], one.difference(seen.what)
        lines.append(
            (
                seen.what,
                seen_text(seen.value, seen.what, units),
                NOT_REACHED if computed is None else seen_text(computed, seen.what, units),
                NOT_REACHED if difference is None else _difference(difference, seen.what, units),
            )
        )
    if batch.top:
        lines.append(("top", f"{batch.top}; computed: {_top(one, units)}"))
    head = (batch.day or f"line {batch.line}", *(temperature_text(at, units) for at in (jar.room.at(0.0), jar.pour)))
    return [(*(head if number == 0 else ("", "", "")), *line) for number, line in enumerate(lines or [("",)])]


def _difference(value: float, what: str, units: System) -> str:
    if SIGHTS[what].kind == "duration":
        return f"{value / 60.0:+z.0f} min"
    text = seen_text(value, what, units)
    return text if text.startswith("-") else f"+{text}"


def verdict_text(one: Drift) -> str:
    """Say what the differences of one thing seen come to."""
    if one.verdict == "too few":
        return f"{_CALLED[one.verdict]}: {_counted(one.count)}, {ENOUGH} are needed"
    return f"{_CALLED[one.verdict]}, {_counted(one.count)}"


def _warnings(one: Drift, units: System) -> list[str]:
    if one.verdict == "off":
        way = "more" if one.mean > 0.0 else "less"
        return [
            f"Warning: {one.what}: {way} than computed in each of the last {ENOUGH} batches, on the mean by"
            f" {_difference(abs(one.mean), one.what, units)[1:]}. A fit corrects that."
        ]
    if one.verdict in ("rising", "falling"):
        return [
            f"Warning: {one.what}: seen less computed is {one.verdict} from batch to batch. Look what has changed: a"
            " new lot of wax, the oil, the jars, the thermometer. A fit takes all batches of a log: if something has"
            " changed, put this log away and begin a new one."
        ]
    return []


def _top(one: Compared, units: System) -> str:
    """Say what the top is that was computed, and how deep."""
    top = one.result.shrinkage
    if top is None:
        return NOT_REACHED
    return f"{verdict.verdict_text(top.dish, top.hole, one.result.answers)}, {length_text(top.depth, units)}"


def _counted(count: int) -> str:
    return f"{count} batch{'es' if count != 1 else ''}"


def _key(what: str) -> str:
    return f"{what.replace(' ', '_')}_{UNIT_OF_KIND[SIGHTS[what].kind]}"
