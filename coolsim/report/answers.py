"""The answers of a run in words, for tables, and as plain data, for machines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from coolsim.model.jar import Jar
from coolsim.report.error_answers import any_error, error_data, error_group
from coolsim.report.runs import HARD_SPACE, NOT_KNOWN, Group, Row, Run, runs_of
from coolsim.report.top_answers import any_melt_range, melt_data, melt_group, top_data, top_group
from coolsim.report.wording import called, difference_text, hours_minutes, length_text, temperature_text
from coolsim.solve.curves import PATHS, starting_temperature
from coolsim.solve.result import Result
from coolsim.studies.grid_error import GridError
from coolsim.studies.melt_range import MeltRange
from coolsim.units import System

_FIRST_MINUTE = 60.0


def groups_of(runs: Sequence[Run], units: System) -> tuple[Group, ...]:
    """List the lines of the table of answers.

    Parameters
    ----------
    runs : sequence of Run
        The runs side by side.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    tuple of Group
        All answers.
    """
    changed: tuple[Row, ...] = ()
    if any(run.result.changes for run in runs):
        changed = (Row(label="On the way", cell=lambda run, _: _changes(run)),)
    margins = {run.result.answers.cool_within for run in runs}
    margin = difference_text(margins.pop(), units) if len(margins) == 1 else "its margin"
    return (
        Group(
            heading="At the pour",
            rows=(
                Row(label="Wax poured at", cell=lambda run, units: _start(run, "wax", units)),
                Row(label="Jar at", cell=lambda run, units: _start(run, "glass", units)),
                Row(label="Room at", cell=lambda run, units: temperature_text(run.result.history.room[0], units)),
                Row(label="Pour minus jar", cell=_shock),
            ),
        ),
        Group(
            heading="First skin at the glass",
            rows=(
                Row(label="Forms", cell=lambda run, _: _moment(run.skin.formed) if run.skin else "none"),
                Row(
                    label="Lowest temperature",
                    cell=lambda run, units: temperature_text(run.skin.coldest, units) if run.skin else NOT_KNOWN,
                ),
                Row(label="Melts again", cell=_melts_again),
            ),
        ),
        Group(
            heading="Setting [h:mm since the pour]",
            rows=(
                Row(label="Rim set", cell=lambda run, _: _reached(run, run.events.rim_set)),
                Row(label="Wick free until", cell=lambda run, _: _reached(run, run.events.wick_free_until)),
                Row(label="Top closed", cell=lambda run, _: _reached(run, run.events.top_closed)),
                Row(label="Fully set: may be moved with care", cell=lambda run, _: _reached(run, run.events.fully_set)),
                Row(label="Solid throughout", cell=lambda run, _: _reached(run, run.events.solid_throughout)),
                Row(
                    label=f"Within {margin} of the room: may be lidded",
                    cell=lambda run, _: _reached(run, run.events.cool),
                ),
            ),
        ),
        Group(
            heading="Place of the last liquid",
            rows=(
                Row(label="From the axis", cell=lambda run, units: length_text(run.events.last_liquid[0], units)),
                Row(
                    label="Above the bottom of the wax",
                    cell=lambda run, units: length_text(run.events.last_liquid[1], units),
                ),
            ),
        ),
        top_group(),
        *([melt_group()] if any_melt_range(runs) else []),
        *([error_group(runs)] if any_error(runs) else []),
        Group(
            heading="Heat",
            rows=(
                *(Row(label=f"Through the {path}", cell=_share(path)) for path in PATHS),
                Row(label="Given off in all", cell=lambda run, _: f"{run.result.ledger.given_off / 1e3:.1f} kJ"),
                Row(label="Energy ledger", cell=_ledger),
            ),
        ),
        Group(heading="Run", rows=(*changed, Row(label="Ended", cell=_ended))),
    )


def _changes(run: Run) -> str:
    told = (f"{happens} at {hours_minutes(time)}" for time, happens in run.result.changes)
    return "; ".join(told) or "nothing"


def _reached(run: Run, time: float | None) -> str:
    return f"not within {hours_minutes(run.result.time[-1])}{HARD_SPACE}h" if time is None else hours_minutes(time)


def _moment(time: float) -> str:
    return "in the first minute" if time < _FIRST_MINUTE else f"at {hours_minutes(time)}{HARD_SPACE}h"


def _start(run: Run, part: str, units: System) -> str:
    temperature = starting_temperature(run.result, part)
    return NOT_KNOWN if temperature is None else temperature_text(temperature, units)


def _melts_again(run: Run, _: System) -> str:
    if run.skin is None:
        return NOT_KNOWN
    return "no, it stays" if run.skin.melted_again is None else _moment(run.skin.melted_again)


def pour_step(run: Run) -> float | None:
    """Tell how much hotter than the jar the wax is poured.

    Parameters
    ----------
    run : Run
        The run.

    Returns
    -------
    float or None
        The difference [K]; None without a vessel.
    """
    wax, glass = (starting_temperature(run.result, part) for part in ("wax", "glass"))
    return None if wax is None or glass is None else wax - glass


def _shock(run: Run, units: System) -> str:
    step = pour_step(run)
    if step is None:
        return NOT_KNOWN
    text = difference_text(step, units)
    if run.jar is None or called(run.result, "glass") != "glass":
        return text
    limit = difference_text(run.jar.vessel.shock_limit, units)
    if step > run.jar.vessel.shock_limit:
        return f"{text}: ABOVE the shock limit of {limit}"
    return f"{text}, limit {limit}"


def _share(path: str) -> Callable[[Run, System], str]:
    return lambda run, _: f"{100 * dict(run.result.ledger.by_path)[path]:.0f} %"  # type: ignore[index]


def _ledger(run: Run, _: System) -> str:
    ledger = run.result.ledger
    return "closes" if ledger.closed else f"OPEN by {ledger.open_share:.0e} of the heat"


def _ended(run: Run, _: System) -> str:
    why = "the wax was cool" if run.result.ended == "cool" else "the time was up"
    return f"{hours_minutes(run.result.time[-1])}{HARD_SPACE}h: {why}"


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
        One for each run, in SI and °C, the unit at the end of each key. An answer that was not reached, and the parts
        of a first skin that did not form, are None.

        ``title``; ``changes`` (a list of ``at_s`` and ``happens``); ``ended`` (``"cool"`` or ``"horizon"``);
        ``ended_s``; ``pour_C``, ``jar_C``, ``room_C`` at the
        start; ``pour_minus_jar_K``; ``shock_limit_K``; ``first_skin`` (None, or ``formed_s``, ``coldest_C``,
        ``coldest_at_s``, ``melted_again_s``); ``rim_set_s``; ``wick_free_until_s``; ``top_closed_s``;
        ``fully_set_s``; ``solid_throughout_s``; ``cool_s`` (hottest wax within ``cool_within_K`` of the room);
        ``last_liquid_r_m``; ``last_liquid_above_bottom_m``; ``top`` (``verdict``, and ``cavity``, whether there is
        one to speak of, both None if the wax has not set; ``rim_dip_m``, ``centre_dip_m``, ``flatness_m``,
        ``dish_volume_m3``, ``cavity_volume_m3``, ``cavity_roof_m``, ``cavity_r_m``, ``cavity_above_bottom_m``; of the
        volume that was lost ``lost_m3``, ``lost_surface_m3``, ``lost_cavities_m3``, ``lost_pores_m3``,
        ``lost_solid_m3``; ``mass_open_share`` [-]); ``top_over_melt`` (None, or for each ``flows_above`` [-] the
        ``verdict`` and the numbers named before it from the rim to the volume of the cavity);
        ``heat_given_off_J``; ``heat_share_top``, ``heat_share_side``, ``heat_share_base`` [-];
        ``ledger_open_share`` [-]; ``ledger_closed``; ``numerical_error`` (None, or under the name of each answer its
        ``value``, ``extrapolated`` to a grid and steps of no size, and ``uncertainty``, in the unit of the answer,
        ``order`` and ``safety_factor`` [-], the ``basis`` in words, and whether the uncertainty was found to bound the
        error (for top and cavity it was not); numbers that cannot be told are None);
        ``warnings``.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.

    Examples
    --------
    >>> from coolsim import built_in_pair, answers_data, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> (answers,) = answers_data([("Bare", simulate(quick.jar))])
    >>> answers["title"], answers["pour_C"], answers["ended"]
    ('Bare', 65.0, 'cool')
    """
    return [_data(run) for run in runs_of(runs, jars, melt_ranges, errors)]


def _data(run: Run) -> dict[str, Any]:
    result, events, skin = run.result, run.events, run.skin
    return {
        "title": run.title,
        "changes": [{"at_s": time, "happens": happens} for time, happens in result.changes],
        "ended": result.ended,
        "ended_s": float(result.time[-1]),
        "pour_C": starting_temperature(result, "wax"),
        "jar_C": starting_temperature(result, "glass"),
        "room_C": float(result.history.room[0]),
        "pour_minus_jar_K": pour_step(run),
        "shock_limit_K": None if run.jar is None else run.jar.vessel.shock_limit,
        "first_skin": None
        if skin is None
        else {
            "formed_s": skin.formed,
            "coldest_C": skin.coldest,
            "coldest_at_s": skin.coldest_at,
            "melted_again_s": skin.melted_again,
        },
        "rim_set_s": events.rim_set,
        "wick_free_until_s": events.wick_free_until,
        "top_closed_s": events.top_closed,
        "fully_set_s": events.fully_set,
        "solid_throughout_s": events.solid_throughout,
        "cool_s": events.cool,
        "cool_within_K": result.answers.cool_within,
        "last_liquid_r_m": events.last_liquid[0],
        "last_liquid_above_bottom_m": events.last_liquid[1],
        "top": top_data(run),
        "top_over_melt": melt_data(run),
        "heat_given_off_J": result.ledger.given_off,
        **{f"heat_share_{path}": share for path, share in result.ledger.by_path},
        "ledger_open_share": result.ledger.open_share,
        "ledger_closed": result.ledger.closed,
        "numerical_error": error_data(run),
        "warnings": list(result.warnings),
    }
