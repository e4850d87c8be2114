"""One run of a sweep, as plain data that travels between processes and into a file.

This module is all that a worker process imports: nothing that draws, prints or reads a command line.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from typing import Any

from coolsim import __version__
from coolsim.errors import CoolsimError
from coolsim.model.jar import Jar
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


def identity(jar: Jar) -> str:
    """Name a point by what decides its answers: the jar, the version of coolsim and the list of answers."""
    whole = json.dumps([__version__, list(ANSWERS), asdict(jar)], sort_keys=True)
    return hashlib.sha256(whole.encode()).hexdigest()[:32]


def run_point(jar: Jar) -> dict[str, Any]:
    """Run a jar and keep its ``answers``, or the ``fault`` why it cannot be run."""
    try:
        result = simulate(jar)
    except CoolsimError as error:
        return {"fault": str(error)}
    return {"answers": answers_of(result, shock_limit=jar.vessel.shock_limit, pour=jar.pour)}


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
