"""The answers of runs side by side: as rows of a table, as text, and as plain data."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from coolsim.answers.answer import Answer, Group, Run, Value
from coolsim.answers.catalogue import ANSWERS, BY_KEY, HEADINGS, answers_of, in_group
from coolsim.answers.text import value_text
from coolsim.answers.verdict import depth_band, verdict_of, verdict_text
from coolsim.model.jar import Jar
from coolsim.overview import NOT_REACHED, Lines, hours_minutes
from coolsim.report.blocks import HARD_SPACE, Block, Column, Note, Row, Table
from coolsim.report.text.limits import breach_notes
from coolsim.report.text.page import WIDTH, text_of
from coolsim.report.wording import capital, difference_text, in_units, keyed, top_text
from coolsim.solve.curves import starting_temperature
from coolsim.solve.result import Result
from coolsim.studies.checks.grid_error import ESTIMATED, GridError
from coolsim.studies.checks.melt_range import RANGED, MeltRange
from coolsim.units import System, format_quantity

MELT_NOTE = (
    "The range: how stiff half-frozen wax is (mush.stiffness) is known only to a factor of three either way, and the"
    " top depends on it. Measure one set top with a ruler and let `coolsim fit --seen` find it."
)
ERROR_NOTE = (
    "Numerical uncertainty: what the grid and the steps may add. A second run has cells and steps longer by a half; the"
    " uncertainty is three times the difference, extrapolated with the order 2 of the scheme (ASME V&V 20). It says"
    " nothing about the wax, the air and the melt, which are far less sure. Compared with runs four times as fine, it"
    " was right for 37 of 42 times and 39 of 48 figures of the top, which is good to 5 % at worst."
)
_LABELS, _BETWEEN, _WIDEST_COLUMN, _SIDE_BY_SIDE = 26, 2, 26, 3
_FIRST_MINUTE, _MOST_DECIMALS = 60.0, 3
_BOTH = "Top closed, wick fixed"
_WITHOUT_ERROR_ROW = ("rim_dip_m", "centre_dip_m")


@dataclass(frozen=True, slots=True, kw_only=True)
class TitledRun(Run):
    """A run as a column of the table; the range of the melt and the numerical error are None if nobody asked."""

    title: str
    melt_range: MeltRange | None = None
    error: GridError | None = None


def titled_runs(
    runs: Sequence[tuple[str, Result]],
    jars: Sequence[Jar | None] | None = None,
    melt_ranges: Sequence[MeltRange | None] | None = None,
    errors: Sequence[GridError | None] | None = None,
) -> list[TitledRun]:
    """Join titles, results and what else is known; ValueError if the counts differ or a run holds no wax."""
    if not runs:
        raise ValueError("there is no run to report")
    others = {"jar": jars, "range": melt_ranges, "error": errors}
    for what, found in others.items():
        if found is not None and len(found) != len(runs):
            raise ValueError(f"there are {len(runs)} runs and {len(found)} {what}s; give one {what} for each run")
    nothing = [None] * len(runs)
    joined = [
        TitledRun(title=title, result=result, jar=jar, melt_range=melt, error=error)
        for (title, result), jar, melt, error in zip(
            runs, jars or nothing, melt_ranges or nothing, errors or nothing, strict=True
        )
    ]
    for run in joined:
        if run.result.events is None:
            raise ValueError(f"'{run.title}' holds no wax, so it has no answers")
    return joined


Cell = Callable[[TitledRun, System], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRow:
    """A line of the table: what it is called, and what a run has for it in the units of the workshop."""

    label: str
    cell: Cell


@dataclass(frozen=True, slots=True, kw_only=True)
class RunGroup:
    """Lines that belong together, under a heading."""

    heading: str
    rows: tuple[RunRow, ...]


def groups_of(runs: Sequence[TitledRun], units: System) -> tuple[RunGroup, ...]:
    """List the lines of the table for these runs."""
    margins = {run.result.answers.cool_within for run in runs}
    margin = difference_text(margins.pop(), units) if len(margins) == 1 else "its margin"
    lidded = f"Within {margin} of the room: may be lidded"
    hollow = any(run.set_top is not None and _is_hollow(run) for run in runs)
    changes = [RunRow(label="On the way", cell=_changes)] if any(run.result.changes for run in runs) else []
    return (
        _group("pour", *map(_row, ("pour_C", "jar_C", "room_C")), RunRow(label="Pour minus jar", cell=_shock)),
        _group(
            "skin", _row("skin_formed_s", _formed), _row("skin_coldest_C"), _row("skin_melted_again_s", _melts_again)
        ),
        _group("setting", *_setting(runs, units, lidded)),
        _group("last liquid", *(_row(answer.key) for answer in in_group("last liquid"))),
        _group(
            "top",
            RunRow(label="The top is", cell=_verdict),
            *map(_row, ("dish_m", "hole_m", "rim_dip_m", "dish_volume_m3", "void_volume_m3")),
            _row("cavity_volume_m3", _cavity),
            *(_row(key, _of_cavity(BY_KEY[key])) for key in ("cavity_roof_m", "cavity_above_bottom_m") if hollow),
            _row("lost_m3", _lost),
        ),
        *([_melt_group()] if any(run.melt_range for run in runs) else []),
        *([error_group(runs)] if any(run.error for run in runs) else []),
        _group(
            "heat",
            *(_row(answer.key) for answer in in_group("heat") if answer.compared),
            _row("heat_given_off_J", lambda run, _: f"{run.result.ledger.given_off / 1e3:.1f} kJ"),
            _row("ledger_open_share", _ledger),
        ),
        _group("run", *changes, _row("ended", _ended)),
    )


def _setting(runs: Sequence[TitledRun], units: System, lidded: str) -> list[RunRow]:
    """List the times; wick and top are one line where no run tells them apart to the minute."""
    rows = {
        answer.key: _row(answer.key, _reached(answer), label=lidded if answer.key == "cool_s" else "")
        for answer in in_group("setting")
    }
    wick, top = rows["wick_free_until_s"], rows["top_closed_s"]
    if all(wick.cell(run, units) == top.cell(run, units) for run in runs):
        rows["top_closed_s"] = RunRow(label=_BOTH, cell=top.cell)
        del rows["wick_free_until_s"]
    return list(rows.values())


def _group(group: Group, *rows: RunRow) -> RunGroup:
    return RunGroup(heading=HEADINGS[group], rows=rows)


def _row(key: str, cell: Cell | None = None, *, label: str = "") -> RunRow:
    answer = BY_KEY[key]
    usual = f"{answer.label}: {answer.means}" if answer.means else answer.label
    return RunRow(label=label or usual, cell=cell or (lambda run, units: value_text(answer, answer.of(run), units)))


def _moment(time: float) -> str:
    return "in the first minute" if time < _FIRST_MINUTE else f"at {hours_minutes(time)}{HARD_SPACE}h"


def _formed(run: TitledRun, _: System) -> str:
    return "none" if run.skin is None else _moment(run.skin.formed)


def _melts_again(run: TitledRun, _: System) -> str:
    if run.skin is None:
        return NOT_REACHED
    return "no, it stays" if run.skin.melted_again is None else _moment(run.skin.melted_again)


def _reached(answer: Answer) -> Cell:
    def cell(run: TitledRun, _: System) -> str:
        time = answer.read(run)
        if not isinstance(time, float):
            return f"not {_within(run)}"
        solid = f" ({100 * run.result.solid_share:.0f} % solid)" if answer.key == "solid_s" else ""
        return f"{hours_minutes(time)}{solid}"

    return cell


def _within(run: TitledRun) -> str:
    return f"within {hours_minutes(run.result.time[-1])}{HARD_SPACE}h"


def pour_step(run: Run) -> float | None:
    """Tell how much hotter than the jar the wax is poured [K]; None without a vessel."""
    wax, glass = (starting_temperature(run.result, part) for part in ("wax", "glass"))
    return None if wax is None or glass is None else wax - glass


def _shock(run: TitledRun, units: System) -> str:
    step = pour_step(run)
    if step is None:
        return NOT_REACHED
    text = difference_text(step, units)
    most = None if run.jar is None else run.jar.vessel.shock_limit
    if most is None:
        return text
    limit = difference_text(most, units)
    return f"{text}: ABOVE the shock limit of {limit}" if step > most else f"{text}, limit {limit}"


def _verdict(run: TitledRun, units: System) -> str:
    top = run.set_top
    if top is None:
        return f"not set {_within(run)}"
    return top_text(run.result, units)


def _is_hollow(run: TitledRun) -> bool:
    return run.top.cavity_volume >= run.result.answers.cavity_from


def _cavity(run: TitledRun, units: System) -> str:
    top = run.set_top
    text = value_text(BY_KEY["cavity_volume_m3"], None if top is None else top.cavity_volume, units)
    return text if top is None or _is_hollow(run) else f"none to speak of: {text}"


def _of_cavity(answer: Answer) -> Cell:
    """Write where a cavity is, if there is one to speak of."""

    def cell(run: TitledRun, units: System) -> str:
        told = run.set_top is not None and _is_hollow(run)
        return value_text(answer, answer.of(run), units) if told else NOT_REACHED

    return cell


def _lost(run: TitledRun, _: System) -> str:
    return f"{100 * run.top.ledger.total / float(run.result.required_wax().volume.sum()):.1f} %"


def _ledger(run: TitledRun, _: System) -> str:
    ledger = run.result.ledger
    return "closes" if ledger.closed else f"OPEN by {ledger.open_share:.0e} of the heat"


def _changes(run: TitledRun, _: System) -> str:
    told = (f"{happens} at {hours_minutes(time)}" for time, happens in run.result.changes)
    return "; ".join(told) or "nothing"


def _ended(run: TitledRun, _: System) -> str:
    why = "the wax was cool" if run.result.ended == "cool" else "the time was up"
    return f"{hours_minutes(run.result.time[-1])}{HARD_SPACE}h: {why}"


def _melt_group() -> RunGroup:
    def shares(run: TitledRun, _: System) -> str:
        if run.melt_range is None:
            return NOT_REACHED
        ends = (format_quantity(end, "pressure") for end in (run.melt_range.stiffness[0], run.melt_range.stiffness[-1]))
        return " to ".join(ends)

    def verdicts(run: TitledRun, _: System) -> str:
        if run.melt_range is None:
            return NOT_REACHED
        words = [
            "not set in time" if one is None else verdict_of(one["dish_m"], one["hole_m"], run.result.answers)
            for one in run.melt_range.answers
        ]
        return " or ".join(dict.fromkeys(words))

    def span(answer: Answer) -> Cell:
        def cell(run: TitledRun, units: System) -> str:
            ends = None if run.melt_range is None else run.melt_range.span(answer.key)
            if ends is None:
                return NOT_REACHED
            low, high = (value_text(answer, value, units).replace(" ", HARD_SPACE) for value in ends)
            return low if low == high else f"{low} to {high}"

        return cell

    return RunGroup(
        heading="The same with softer and stiffer mush",
        rows=(
            RunRow(label="mush.stiffness", cell=shares),
            RunRow(label="The top is", cell=verdicts),
            *(_row(answer.key, span(answer)) for answer in RANGED),
        ),
    )


def error_group(runs: Sequence[TitledRun]) -> RunGroup:
    """List the numerical uncertainty; what none of the runs came to has no line."""

    def cell(answer: Answer) -> Cell:
        def written(run: TitledRun, units: System) -> str:
            one = None if run.error is None else run.error[answer.key]
            if one is None or one.value is None:
                return NOT_REACHED
            if one.uncertainty is None:
                return one.basis
            factor, unit = _factor(answer, units)
            text = plus_minus(factor * one.value, factor * one.uncertainty)
            return f"{text} {unit}".replace(" ", HARD_SPACE)

        return written

    shown = [
        answer
        for answer in ESTIMATED
        if answer.compared and answer.kind is not None and answer.key not in _WITHOUT_ERROR_ROW
        if any(run.error is not None and run.error[answer.key].value is not None for run in runs)
    ]
    rows = tuple(RunRow(label=capital(answer.called), cell=cell(answer)) for answer in shown)
    return RunGroup(heading="Numerical uncertainty", rows=rows)


def _factor(answer: Answer, units: System) -> tuple[float, str]:
    if answer.kind == "duration":
        return 1.0 / 60.0, "min"
    factor, _, unit = in_units(answer.kind or "fraction", units)
    return factor, unit


def plus_minus(value: float, uncertainty: float) -> str:
    """Write a value with its uncertainty, which is rounded up to one digit; both in one unit [-].

    Examples
    --------
    >>> plus_minus(121.0, 0.31), plus_minus(-3.94, 0.0001), plus_minus(1210.0, 31.0)
    ('121.0 ± 0.4', '-3.940 ± 0.001', '1210 ± 31')
    """
    decimals = _MOST_DECIMALS
    if uncertainty > 0.0:
        decimals = max(0, min(_MOST_DECIMALS, -math.floor(math.log10(uncertainty))))
    step = 10.0**-decimals
    # A hair less, so that rounding does not push a whole number of steps to the next one.
    rounded = step * math.ceil(uncertainty / step - 1e-9)
    return f"{value:.{decimals}f} ± {rounded:.{decimals}f}"


def run_blocks(runs: Sequence[TitledRun], units: System) -> list[Block]:
    """Set runs side by side; more than three come in tables below each other, warnings and notes under them."""
    tables = -(-len(runs) // _SIDE_BY_SIDE)
    size = -(-len(runs) // tables)
    blocks: list[Block] = [_table(runs[at : at + size], units) for at in range(0, len(runs), size)]
    if any(run.melt_range for run in runs):
        blocks.append(Note(MELT_NOTE))
    if any(run.error for run in runs):
        blocks.append(Note(ERROR_NOTE))
    blocks += [Note(told) for told in _breaches(runs, units)]
    blocks += [Note(f"Warning, {run.title}: {warning}") for run in runs for warning in run.result.warnings]
    return blocks


def _breaches(runs: Sequence[TitledRun], units: System) -> list[str]:
    """Say which limits the pours break and what mends it, once where it is the same for all."""
    told = [
        () if run.jar is None else breach_notes(run.jar, answers=[answers_of(run.result, run.jar)], units=units)
        for run in runs
    ]
    if len(set(told)) == 1:
        return list(told[0])
    return [f"{run.title}. {note}" for run, notes in zip(runs, told, strict=True) for note in notes]


def _table(runs: Sequence[TitledRun], units: System) -> Table:
    width = min(_WIDEST_COLUMN, (WIDTH - _LABELS) // len(runs) - _BETWEEN)
    rows: list[Row] = []
    for group in groups_of(runs, units):
        rows.append(group.heading)
        rows += [(f"  {row.label}", *(row.cell(run, units) for run in runs)) for row in group.rows]
    columns = (Column(width=_LABELS), *[Column(width=width)] * len(runs))
    headings = ("", *(run.title for run in runs))
    return Table(columns=columns, headings=headings, rows=tuple(rows), gap=_BETWEEN, ruled=True)


def answers_table(
    runs: Sequence[tuple[str, Result]],
    *,
    units: System = "metric",
    jars: Sequence[Jar | None] | None = None,
    melt_ranges: Sequence[MeltRange | None] | None = None,
    errors: Sequence[GridError | None] | None = None,
) -> str:
    """Write the answers of one or several runs side by side.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results.
    units : {"metric", "us"}
        Units of the workshop.
    jars : sequence of Jar or None, optional
        What was simulated, one for each run: with it the pour is checked against the limit of thermal shock.
    melt_ranges : sequence of MeltRange or None, optional
        The top over the range of the melt, one for each run, as `melt_range` gives it.
    errors : sequence of GridError or None, optional
        The numerical error, one for each run, as `grid_error` gives it.

    Returns
    -------
    str
        Lines of at most 80 columns, without a line break at the end. More than three runs come in blocks below each
        other. Warnings of the runs stand under the table.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.

    Examples
    --------
    >>> from coolsim import built_in_pair, answers_table, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> print(answers_table([("Bare", simulate(quick.jar))], units="us"))
                                Bare
    ------------------------------------------------------
    At the pour
      Wax poured at             140 °F
      Jar at                    70 °F
    ...
    """
    return Lines(text_of(run_blocks(titled_runs(runs, jars, melt_ranges, errors), units)))


def answers_data(
    runs: Sequence[tuple[str, Result]],
    *,
    jars: Sequence[Jar | None] | None = None,
    melt_ranges: Sequence[MeltRange | None] | None = None,
    errors: Sequence[GridError | None] | None = None,
) -> list[dict[str, Any]]:
    """Give the answers as plain data that `json.dumps` takes.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results.
    jars : sequence of Jar or None, optional
        What was simulated, one for each run; it has the limit of thermal shock.
    melt_ranges : sequence of MeltRange or None, optional
        The top over the range of the melt, one for each run.
    errors : sequence of GridError or None, optional
        The numerical error, one for each run.

    Returns
    -------
    list of dict
        One for each run: all of `coolsim.answers.catalogue.ANSWERS` by key, in SI and °C, the unit at the end of each
        key, but for these. An answer that was not reached is None.

        ``title``; ``changes`` (a list of ``at_s`` and ``happens``); ``pour_minus_jar_K``; ``cool_within_K``, the
        margin of ``cool_s``; ``first_skin`` (None, or its answers without ``skin_`` in front); ``top`` (its answers
        and those on the volume lost; ``verdict``, and ``cavity``, whether there is one to speak of, both None if the
        wax has not set); ``top_over_melt`` (None, or for each ``stiffness_Pa`` the ``verdict`` and the numbers of
        the top); ``numerical_error`` (None, or under the key of each answer its ``value``, ``extrapolated`` to a grid
        and steps of no size, and ``uncertainty``, in the unit of the answer, ``order`` and ``safety_factor`` [-], the
        ``basis`` in words, and whether the uncertainty was found to bound the error (for top and cavity it was not);
        numbers that cannot be told are None); ``warnings``, a list.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.

    Examples
    --------
    >>> from coolsim import built_in_pair, answers_data, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> (answers,) = answers_data([("Bare", simulate(quick.jar))])
    >>> answers["title"], round(answers["pour_C"], 6), answers["ended"]
    ('Bare', 60.0, 'cool')
    """
    return [_data(run) for run in titled_runs(runs, jars, melt_ranges, errors)]


def _data(run: TitledRun) -> dict[str, Any]:
    found = answers_of(run.result, run.jar)

    def of(*groups: Group) -> dict[str, Value]:
        return {answer.key: found[answer.key] for answer in ANSWERS if answer.group in groups}

    skin = {name.removeprefix("skin_"): value for name, value in of("skin").items()}
    top = run.set_top
    return {
        "title": run.title,
        "changes": [{"at_s": time, "happens": happens} for time, happens in run.result.changes],
        **of("pour"),
        "pour_minus_jar_K": pour_step(run),
        "first_skin": None if run.skin is None else skin,
        **of("setting"),
        "cool_within_K": run.result.answers.cool_within,
        **of("last liquid"),
        "top": {
            "verdict": None if top is None else verdict_text(top.dish, top.hole, run.result.answers),
            "depth_band_m": None if top is None else depth_band(run.result),
            "cavity": None if top is None else top.cavity_volume >= run.result.answers.cavity_from,
            **of("top", "losses"),
        },
        "top_over_melt": _melt_data(run),
        **of("heat", "run"),
        "numerical_error": error_data(run.error),
        "warnings": list(run.result.warnings),
    }


def _melt_data(run: TitledRun) -> list[dict[str, Any]] | None:
    if run.melt_range is None:
        return None
    return [
        {
            "stiffness_Pa": stiffness,
            "verdict": None if found is None else verdict_of(found["dish_m"], found["hole_m"], run.result.answers),
            **{answer.key: None if found is None else found[answer.key] for answer in RANGED},
        }
        for stiffness, found in zip(run.melt_range.stiffness, run.melt_range.answers, strict=True)
    ]


def error_data(error: GridError | None) -> dict[str, Any] | None:
    """Give the numerical error as plain data, under the key of each answer."""
    if error is None:
        return None
    return {
        answer.key: {
            **keyed(error[answer.key], "value extrapolated uncertainty order"),
            "safety_factor": error[answer.key].safety,
            "basis": error[answer.key].basis,
            "bounds_the_error": answer.grid == "converges",
        }
        for answer in ESTIMATED
    }
