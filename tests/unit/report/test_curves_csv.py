"""Every column of the curves for a spreadsheet against the curve of the result, in both systems of units."""

import csv
import io

import numpy as np
import pytest

from coolsim.report.text.curves import curves_csv
from coolsim.solve.curves import (
    front_heights,
    front_radius,
    heat_shares,
    outside_of_wall,
    temperature_of_point,
    usual_points,
)

# Inch and degree of Fahrenheit after NIST Handbook 44, appendix C.
UNITS = {
    "metric": {"°C": lambda celsius: celsius, "mm": lambda metres: 1e3 * metres},
    "us": {"°F": lambda celsius: 1.8 * celsius + 32.0, "in": lambda metres: metres / 0.0254},
}
# As many decimals as are written, half a digit and round-off.
WRITTEN = {"s": 5.1e-3, "°C": 5.1e-4, "°F": 5.1e-4, "mm": 5.1e-5, "in": 5.1e-5, "-": 5.1e-6}


def curves(result):
    """All columns in their order: heading without its unit, kind of unit, values [SI, °C]."""
    temperatures = {name: temperature_of_point(result, *place) for name, place in usual_points(result.wax).items()}
    temperatures |= {
        "outside of the wall": outside_of_wall(result),
        "mean of the wax": result.mean_wax_temperature(),
        "hottest wax": result.hottest_wax(),
        **{name: values for (name, _), values in zip(result.nodes, result.history.nodes.T, strict=True)},
        "room": result.history.room,
    }
    below, above = front_heights(result)
    lengths = {
        "front radius at mid-height": front_radius(result),
        "front on the axis from below": below,
        "front on the axis from above": above,
    }
    shares = heat_shares(result)
    yield "time", 0, result.time
    for name, values in temperatures.items():
        yield name, 1, values
    yield "solid fraction", 3, result.solid_fraction()
    for name, values in lengths.items():
        yield name, 2, values
    for path in ("top", "side", "base"):
        yield f"share of heat through the {path}", 3, shares[path]


@pytest.mark.parametrize("which", [0, 1], ids=["bare", "boxed"])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_every_column_is_the_curve_it_is_called_after_in_its_unit(runs, which, units):
    result = runs[which][1]
    (degree, temperature), (unit, length) = UNITS[units].items()
    kinds = (("s", lambda seconds: seconds), (degree, temperature), (unit, length), ("-", lambda share: share))
    head, *body = csv.reader(io.StringIO(curves_csv(result, units=units), newline=""))
    expected = [(f"{name} [{kinds[kind][0]}]", kinds[kind], values) for name, kind, values in curves(result)]
    assert head == [heading for heading, _, _ in expected]
    for (heading, (symbol, shown), values), column in zip(expected, zip(*body, strict=True), strict=True):
        read = np.array([np.nan if cell == "" else float(cell) for cell in column])
        np.testing.assert_allclose(
            read, [shown(one) for one in values], rtol=0, atol=WRITTEN[symbol], equal_nan=True, err_msg=heading
        )
    # Curves that are never there, or all alike, would hold for any other column.
    lengths = [column for heading, (symbol, _), column in expected if symbol == unit]
    assert all(np.isfinite(one).sum() > 10 for one in lengths)


def test_a_probe_that_is_called_as_another_column_keeps_its_curve(runs):
    result = runs[0][1]
    points = {"room": (0.0, 0.01), "room (probe)": (0.01, 0.02), "hottest wax": (0.02, 0.03)}
    rows = list(csv.DictReader(io.StringIO(curves_csv(result, points=points), newline="")))
    for heading, values in (
        ("room [°C]", result.history.room),
        ("room (probe) [°C]", temperature_of_point(result, 0.0, 0.01)),
        ("room (probe) (probe) [°C]", temperature_of_point(result, 0.01, 0.02)),
        ("hottest wax [°C]", result.hottest_wax()),
        ("hottest wax (probe) [°C]", temperature_of_point(result, 0.02, 0.03)),
    ):
        np.testing.assert_allclose([float(row[heading]) for row in rows], values, atol=1e-3)
