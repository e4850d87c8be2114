"""The repair of a set top with hot air as plain data."""

from __future__ import annotations

from typing import Any

from coolsim.studies.repair.repair import Repair


def repair_data(
    found: Repair, *, cooler: Repair | None = None, films: tuple[Repair, Repair] | None = None
) -> dict[str, Any]:
    """Give a repair as plain data.

    Parameters
    ----------
    found : Repair
        The repair.
    cooler : Repair, optional
        The same with air that does not overheat the oil, where this one does.
    films : (Repair, Repair), optional
        The same with the weakest and the strongest jet.

    Returns
    -------
    dict
        SI values and °C, each with its unit in the name; what is not reached is None.
    """
    hot, after, before = found.hot_air, found.after, found.before
    return {
        "begins_s": found.begins,
        "hot_air": {
            "air_C": hot.air,
            "film_W_m2K": hot.film,
            "on_glass": hot.on_glass,
            "stirring": hot.stirring,
            "runs_from_m": hot.runs_from,
            "longest_s": hot.longest,
            "hot_to_touch_C": hot.hot_to_touch,
        },
        "before": {
            "verdict": found.verdict,
            "flatness_m": before.flatness,
            "dish_volume_m3": before.dish_volume,
            "highest_over_mean_m": found.levels_from,
            "cavity_volume_m3": before.cavity_volume,
            "cavity_roof_m": before.cavity_roof,
        },
        "goals": list(found.goals),
        "levels_after_s": found.levelled,
        "opens_after_s": found.opened,
        "reaches_all_after_s": found.reaches,
        "needed_s": found.needed,
        "hottest_oil_C": found.hottest_oil,
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
        "after": None
        if after is None
        else {
            "verdict": after.verdict,
            "flatness_m": after.flatness,
            "sunk_m": after.sunk,
            "cavity_volume_m3": after.cavity_volume,
            "set_after_s": after.set_after,
            "touchable_after_s": after.touchable_after,
            "cool_after_s": after.cool_after,
        },
    }
