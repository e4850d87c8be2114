"""The curves of a run against time, as comma-separated values."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from coolsim.report.csv_text import csv_text
from coolsim.report.wording import in_units
from coolsim.solve.curves import (
    PATHS,
    front_heights,
    front_radius,
    heat_shares,
    outside_of_wall,
    temperature_of_point,
    usual_points,
)
from coolsim.solve.result import Result
from coolsim.units import System


def curves_csv(
    result: Result, *, units: System = "metric", points: Mapping[str, tuple[float, float]] | None = None
) -> str:
    """Write the curves of a run against time.

    Parameters
    ----------
    result : Result
        The run; it must hold wax.
    units : {"metric", "us"}
        Units of the workshop; each is named in the first row.
    points : mapping of str to (float, float), optional
        Radius and height above the bottom of the wax [m] of the points, by name; the usual ones if left out or empty.
        A name that another column has, such as "room", gets "(probe)" behind it.

    Returns
    -------
    str
        Comma-separated values as in RFC 4180, one row for each step. A field is empty where there is nothing to
        state: no front any more, or no heat yet to take shares of.

    Raises
    ------
    ValueError
        If the run holds no wax, or a point is in the air.

    References
    ----------
    Shafranovich, Y. (2005). RFC 4180: Common format and MIME type for comma-separated values (CSV) files.

    Examples
    --------
    >>> from coolsim import built_in_pair, curves_csv, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> rows = curves_csv(simulate(quick.jar), points={"middle": (0.0, 0.03)}).splitlines()
    >>> rows[0].split(",")[:3]
    ['time [s]', 'middle [°C]', 'outside of the wall [°C]']
    """
    scale, offset, degree = in_units("temperature", units)
    length, _, unit = in_units("length", units)
    wax = result.required_wax()
    outside = outside_of_wall(result)
    of_the_run = {
        **({} if outside is None else {"outside of the wall": outside}),
        "mean of the wax": result.mean_wax_temperature(),
        "hottest wax": result.hottest_wax(),
        **{name: result.history.nodes[:, index] for index, (name, _) in enumerate(result.nodes)},
        "room": result.history.room,
    }
    probed: dict[str, np.ndarray] = {}
    for name, (r, z) in (points or usual_points(wax)).items():
        while name in of_the_run or name in probed:
            name = f"{name} (probe)"
        probed[name] = temperature_of_point(result, r, z)
    columns = {"time [s]": (result.time, 2)}
    columns |= {f"{name} [{degree}]": (scale * one + offset, 3) for name, one in (probed | of_the_run).items()}
    columns["solid fraction [-]"] = (result.solid_fraction(), 5)
    columns[f"front radius at mid-height [{unit}]"] = (length * front_radius(result), 4)
    rise, down = front_heights(result)
    columns[f"front on the axis from below [{unit}]"] = (length * rise, 4)
    columns[f"front on the axis from above [{unit}]"] = (length * down, 4)
    shares = heat_shares(result)
    for path in PATHS:
        columns[f"share of heat through the {path} [-]"] = (shares[path], 5)
    fields = [_fields(values, digits) for values, digits in columns.values()]
    return csv_text(list(columns), zip(*fields, strict=True))


def _fields(values: np.ndarray, digits: int) -> list[str]:
    return ["" if np.isnan(value) else f"{value:z.{digits}f}" for value in values]
