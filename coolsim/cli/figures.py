"""Which figure is drawn by what. matplotlib is imported here, so this module only when a figure is wanted."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from coolsim.cli.options import Figure
from coolsim.report.figures.curves import draw_cooling_curves, draw_heat_shares
from coolsim.report.figures.fronts import draw_fronts
from coolsim.report.figures.sections import draw_sections
from coolsim.report.figures.set_map import draw_set_map
from coolsim.report.figures.tops import draw_top_profiles, draw_tops

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from coolsim.scenario import Scenario
    from coolsim.solve.result import Result
    from coolsim.units import System


def draw(
    runs: Sequence[tuple[str, Result]], scenarios: Sequence[Scenario], *, units: System, only: Sequence[Figure]
) -> Iterator[tuple[Figure, Drawing]]:
    """Draw figures one after the other, all unless some are named."""
    # Points of one jar may lie outside the wax of another.
    probes = scenarios[0].probes if all(one.probes == scenarios[0].probes for one in scenarios) else {}
    poured = [one.pour_clock for one in scenarios]
    drawings: dict[Figure, Callable[[], Drawing]] = {
        Figure.TEMPERATURE_MAPS: lambda: draw_sections(runs, scenarios[0].map_times, units=units),
        Figure.SET_TIMES: lambda: draw_set_map(runs, units=units),
        Figure.COOLING_CURVES: lambda: draw_cooling_curves(runs, units=units, points=probes),
        Figure.SOLID_FRONT: lambda: draw_fronts(runs, units=units, poured=poured),
        Figure.HEAT_SHARES: lambda: draw_heat_shares(runs, units=units),
        Figure.TOPS: lambda: draw_tops(runs, units=units),
        Figure.TOP_PROFILES: lambda: draw_top_profiles(runs, units=units),
    }
    for name, drawing in drawings.items():
        if not only or name in only:
            yield name, drawing()
