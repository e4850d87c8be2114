"""The choice of the pour temperature as comma-separated values and as plain data."""

from __future__ import annotations

from typing import Any

from coolsim.report.csv_text import csv_text
from coolsim.report.wording import in_units, volume_units
from coolsim.studies.pour.choose import Candidate, PourStudy
from coolsim.studies.pour.remedies import Remedies, Remedy
from coolsim.units import System


def pour_csv(study: PourStudy, *, units: System) -> str:
    """Write every candidate as comma-separated values.

    Parameters
    ----------
    study : PourStudy
        The study.
    units : {"metric", "us"}
        Units of the workshop; each is named in the first row.

    Returns
    -------
    str
        One row for each candidate, as in RFC 4180.
    """
    scale, offset, degree = in_units("temperature", units)
    length, _, unit = in_units("length", units)
    volume, volume_unit = volume_units(units)
    heading = [
        "place", f"room [{degree}]", f"jar [{degree}]", f"pour [{degree}]", "recommended", "rejected by",
        f"dish [{volume_unit}]", f"cavity [{volume_unit}]", f"middle minus rim [{unit}]", f"mean dip [{unit}]",
        "skin melts again [s]", "top closed [s]", "fully set [s]", "passes in [%]",
    ]  # fmt: skip
    rows: list[list[str]] = []
    for choice in study.choices:
        for one in choice.candidates:
            temperatures = [f"{scale * value + offset:.2f}" for value in (one.room, one.jar, one.pour)]
            volumes = [_field(one.number(name), volume, 3) for name in ("dish_volume_m3", "cavity_volume_m3")]
            lengths = [_field(one.number(name), length, 4) for name in ("flatness_m", "mean_dip_m")]
            times = [
                _field(one.number(name), 1.0, 0) for name in ("skin_melted_again_s", "top_closed_s", "fully_set_s")
            ]
            recommended = "yes" if one is choice.recommended else "no"
            rows.append(
                [
                    one.place,
                    *temperatures,
                    recommended,
                    "; ".join(one.rejected),
                    *volumes,
                    *lengths,
                    *times,
                    _field(one.passes, 100.0, 1),
                ]
            )
    return csv_text(heading, rows)


def pour_data(study: PourStudy, *, remedies: Remedies | None = None) -> dict[str, Any]:
    """Give the study as plain data.

    Parameters
    ----------
    study : PourStudy
        The study.
    remedies : dict, optional
        What was tried where no pour passes.

    Returns
    -------
    dict
        In SI and °C, the unit at the end of each key.
    """
    tried = remedies or {}
    return {
        "twin": study.twin,
        "time_allowed_s": study.time_allowed,
        "margin_K": study.margin,
        "own_grid": study.own_grid,
        "cases": study.cases,
        "share": study.share,
        "varied": list(study.varied),
        "choices": [
            {
                "place": choice.place,
                "room_C": choice.room,
                "jar_C": choice.jar,
                "recommended_C": None if choice.recommended is None else choice.recommended.pour,
                "as_good_C": [one.pour for one in choice.as_good],
                "candidates": [_candidate_data(one) for one in choice.candidates],
                "remedies": [_remedy_data(remedy) for remedy in tried.get((choice.place, choice.room), ())],
            }
            for choice in study.choices
        ],
    }


def _candidate_data(one: Candidate) -> dict[str, Any]:
    return {
        "pour_C": one.pour,
        "rejected": list(one.rejected),
        "passes": one.passes,
        "breaks": dict(one.breaks),
        "fault": one.fault,
        "answers": one.answers,
    }


def _remedy_data(remedy: Remedy) -> dict[str, Any]:
    best = None if remedy.choice is None else remedy.choice.recommended
    unit = "s" if remedy.change == "allow longer" else "C"
    return {
        "change": remedy.change,
        f"value_{unit}": remedy.value,
        "helps": remedy.helps,
        "recommended": None if best is None else _candidate_data(best),
    }


def _field(value: float | None, factor: float, digits: int) -> str:
    return "" if value is None else f"{factor * value:z.{digits}f}"
