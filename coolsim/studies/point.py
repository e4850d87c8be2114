"""One run of a sweep, as plain data that travels between processes and into a file.

This module is all that a worker process imports: nothing that draws, prints or reads a command line.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from typing import Any

from coolsim import __version__
from coolsim.errors import CoolsimError
from coolsim.scenario import one_jar, scenario_from_data
from coolsim.solve.curves import starting_temperature
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate
from coolsim.units import Kind

Answer = float | str | bool | None

ANSWERS: dict[str, Kind | None] = {
    "pour_C": "temperature",
    "jar_C": "temperature",
    "room_C": "temperature",
    "shock_limit_K": "temperature_difference",
    "freezing_starts_C": "temperature",
    "skin_formed_s": "duration",
    "skin_coldest_C": "temperature",
    "skin_coldest_at_s": "duration",
    "skin_melted_again_s": "duration",
    "rim_set_s": "duration",
    "wick_free_until_s": "duration",
    "top_closed_s": "duration",
    "fully_set_s": "duration",
    "solid_throughout_s": "duration",
    "cool_s": "duration",
    "last_liquid_r_m": "length",
    "last_liquid_above_bottom_m": "length",
    "rim_dip_m": "length",
    "centre_dip_m": "length",
    "mean_dip_m": "length",
    "flatness_m": "length",
    "dish_volume_m3": "volume",
    "cavity_volume_m3": "volume",
    "cavity_roof_m": "length",
    "cavity_r_m": "length",
    "cavity_above_bottom_m": "length",
    "lost_m3": "volume",
    "lost_surface_m3": "volume",
    "lost_cavities_m3": "volume",
    "lost_pores_m3": "volume",
    "lost_solid_m3": "volume",
    "mass_open_share": None,
    "heat_given_off_J": None,
    "heat_share_top": None,
    "heat_share_side": None,
    "heat_share_base": None,
    "ledger_open_share": None,
    "ledger_closed": None,
    "ended": None,
    "ended_s": "duration",
    "warnings": None,
}
"""What is kept of a run, in SI and °C with the unit at the end of each name, and the kind of quantity of each; None
where it has no unit that a workshop would change."""

_KINDS = {"ended": str, "warnings": str, "ledger_closed": bool}
_MAY_LACK = frozenset(
    {
        "jar_C", "skin_formed_s", "skin_coldest_C", "skin_coldest_at_s", "skin_melted_again_s", "rim_set_s",
        "wick_free_until_s", "top_closed_s", "fully_set_s", "solid_throughout_s", "cool_s", "cavity_roof_m",
        "cavity_r_m", "cavity_above_bottom_m", "warnings",
    }
)  # fmt: skip
# Control characters, which a terminal would obey, and halves of surrogate pairs, which no file takes.
_UNPRINTED = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")
_LARGEST = 1e12  # in any unit; no answer comes near


def checked_answers(raw: object) -> dict[str, Answer] | None:
    """Check answers that come out of a file.

    Parameters
    ----------
    raw : object
        What stands there.

    Returns
    -------
    dict or None
        The answers; None if `answers_of` could not have given them.
    """
    if not isinstance(raw, dict) or raw.keys() != ANSWERS.keys():
        return None
    answers = {name: _answer(name, raw[name]) for name in ANSWERS}
    lacking = {name for name, value in answers.items() if value is None}
    # What is there and is no answer has come out as None, too.
    possible = lacking <= _MAY_LACK and all(raw[name] is None for name in lacking)
    return answers if possible else None


def _answer(name: str, raw: object) -> Answer:
    kind = _KINDS.get(name, float)
    if kind is float and isinstance(raw, int | float) and not isinstance(raw, bool) and abs(raw) <= _LARGEST:
        return float(raw)
    if kind is bool and isinstance(raw, bool):
        return raw
    return raw if kind is str and isinstance(raw, str) and not _UNPRINTED.search(raw) else None


def identity(data: Mapping[str, Any]) -> str:
    """Name a point by what decides its answers.

    Parameters
    ----------
    data : mapping
        The whole scenario with its changes, as `Scenario.data`.

    Returns
    -------
    str
        A hash of the data, the version of coolsim and the list of answers: equal for equal runs only.
    """
    whole = json.dumps([__version__, list(ANSWERS), data], sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(whole.encode()).hexdigest()[:32]


def run_point(data: Mapping[str, Any], where: str) -> dict[str, Any]:
    """Run a scenario and keep its answers.

    Parameters
    ----------
    data : mapping
        The scenario, as `Scenario.data`.
    where : str
        What messages call it.

    Returns
    -------
    dict
        ``answers`` with the answers, or ``fault`` with a message if it cannot be run.
    """
    try:
        scenario = one_jar(scenario_from_data(data, where=where))
        result = simulate(scenario.jar)
    except CoolsimError as error:
        return {"fault": str(error)}
    return {"answers": answers_of(result, shock_limit=scenario.jar.vessel.shock_limit, pour=scenario.jar.pour)}


def answers_of(result: Result, *, shock_limit: float, pour: float) -> dict[str, Answer]:
    """Take the answers from a run.

    Parameters
    ----------
    result : Result
        The run; it holds wax.
    shock_limit : float
        Largest sudden difference that the jar is trusted with [K].
    pour : float
        Temperature of the wax when it is poured [°C].

    Returns
    -------
    dict
        One value for each name of `ANSWERS`; None for what was not reached or is not there.

    Raises
    ------
    ValueError
        If the run holds no wax.
    """
    wax, events, top = result.required_wax(), result.events, result.shrinkage
    if events is None or top is None:
        raise ValueError("the run holds no wax, so it has no answers")
    skin, ledger = events.first_skin, result.ledger
    cavity_r, cavity_z = top.cavity_place or (None, None)
    found: dict[str, Answer] = {
        "pour_C": pour,
        "jar_C": starting_temperature(result, "glass"),
        "room_C": float(result.history.room[0]),
        "shock_limit_K": shock_limit,
        "freezing_starts_C": float(wax.table.temperature[-1]),
        "skin_formed_s": None if skin is None else skin.formed,
        "skin_coldest_C": None if skin is None else skin.coldest,
        "skin_coldest_at_s": None if skin is None else skin.coldest_at,
        "skin_melted_again_s": None if skin is None else skin.melted_again,
        "rim_set_s": events.rim_set,
        "wick_free_until_s": events.wick_free_until,
        "top_closed_s": events.top_closed,
        "fully_set_s": events.fully_set,
        "solid_throughout_s": events.solid_throughout,
        "cool_s": events.cool,
        "last_liquid_r_m": events.last_liquid[0],
        "last_liquid_above_bottom_m": events.last_liquid[1],
        "rim_dip_m": top.rim_dip,
        "centre_dip_m": top.centre_dip,
        "mean_dip_m": top.ledger.surface / float(top.area.sum()),
        "flatness_m": top.flatness,
        "dish_volume_m3": top.dish_volume,
        "cavity_volume_m3": top.cavity_volume,
        "cavity_roof_m": top.cavity_roof,
        "cavity_r_m": cavity_r,
        "cavity_above_bottom_m": cavity_z,
        "lost_m3": top.ledger.total,
        "lost_surface_m3": top.ledger.surface,
        "lost_cavities_m3": top.ledger.cavities,
        "lost_pores_m3": top.ledger.pores,
        "lost_solid_m3": top.ledger.solid,
        "mass_open_share": top.ledger.open_share,
        "heat_given_off_J": ledger.given_off,
        **{f"heat_share_{path}": share for path, share in ledger.by_path},
        "ledger_open_share": ledger.open_share,
        "ledger_closed": ledger.closed,
        "ended": result.ended,
        "ended_s": float(result.time[-1]),
        "warnings": " ".join(result.warnings) or None,
    }
    return {name: found[name] for name in ANSWERS}
