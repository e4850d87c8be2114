"""The stirring of the melt against resolved flow computations of a jar."""

from __future__ import annotations

import functools
from collections.abc import Iterator

from coolsim.model.freezing import CellTables
from coolsim.model.problem import Accuracy, Boundary, Melt, Problem
from coolsim.model.section import Array
from coolsim.solve.result import Result
from coolsim.studies.verify.case import Case, Value, value
from coolsim.studies.verify.freezing_problems import (
    AIR,
    CONDUCTION,
    falls_below,
    frozen_share_reaches,
    made_up_wax,
    one_block,
)
from coolsim.studies.verify.problems import solved

FLOW_WAX = made_up_wax(
    freezing=(35.0, 45.0), conductivity_solid=0.22, conductivity_liquid=0.165, density=880.0, latent_heat=130e3
)
TOP_FILM = 9.0

EVENTS = (
    "centre 45 °C",
    "mean 45 °C",
    "top 45 °C",
    "top 40 °C",
    "a quarter solid",
    "half solid",
    "three quarters solid",
    "90 % solid",
    "99 % solid",
    "all below 35 °C",
)
COMPUTED = {
    "no gravity": (6251, 2734, 829, 2307, 3901, 6616, 10116, 13226, 16789, 18273),
    "C 1e5": (1859, 1764, 1676, 5909, 3406, 5655, 8589, 11239, 14527, 16011),
    "C 1e6": (1893, 1764, 1704, 4889, 3448, 5851, 9020, 11888, 15329, 16813),
    "small": (1362, 1260, 1222, 3661, 2486, 4172, 6301, 8100, 10133, 10982),
}
"""Times of the flow computation [s]: with a slushy mush, a stiffer one, and a smaller jar."""

# The stiffer the mush, the sooner it stops to flow.
FLOWS_ABOVE = {"C 1e5": 0.5, "C 1e6": 0.7, "small": 0.7}
_SHARES = {"no gravity": (71, 15, 14), "C 1e5": (71, 18, 11), "C 1e6": (71, 18, 11)}
_LAST = {"no gravity": (34.0, 1.5), "C 1e6": (43.0, 5.0), "C 1e5": (49.0, 10.0)}


def resolved_problem(column: str) -> Problem:
    """State the jar of a column of the flow computation, or with a melt of another kind."""
    radius, height = (0.025, 0.050) if column == "small" else (0.034, 0.070)
    melt = CONDUCTION
    if column in FLOWS_ABOVE:
        melt = Melt(relaxation=90.0, flows_above=FLOWS_ABOVE[column])
    if column == "effective":
        melt = Melt(mixing="effective", conductivity_factor=10.0, flows_above=FLOWS_ABOVE["C 1e6"])
    return Problem(
        # The mesh of the flow computation, where the surface is half a millimetre from the uppermost cells.
        section=one_block(FLOW_WAX, radius=radius, height=height, radial_cells=34, axial_cells=70, start=65.0),
        boundaries=(
            Boundary(name="side", part="wax", facing="outwards", film=10.0, path="side"),
            Boundary(name="top", part="wax", facing="up", film=TOP_FILM, path="top"),
            Boundary(name="base", part="wax", facing="down", film=8.0, path="base"),
        ),
        room=AIR,
        melt=melt,
        accuracy=Accuracy(tolerance=0.25),
        horizon=30000.0,
        stop_when_cool=False,
    )


@functools.cache
def resolved_jar(column: str) -> Result:
    """Run such a jar."""
    return solved(resolved_problem(column))


def mean_surface_temperature(result: Result) -> Array:
    """Area mean of the temperature of the surface, from the uppermost cells and the film [°C]."""
    body = result.required_wax()
    uppermost = body.cells[-1]
    tables = CellTables(result.tables, result.block[uppermost])
    enthalpy = result.history.enthalpy[:, uppermost]
    piece = tables.piece(enthalpy)
    towards = tables.conductivity(piece) / (body.z_edges[-1] - body.z[-1])
    surface = (towards * tables.temperature(enthalpy, piece) + TOP_FILM * AIR) / (towards + TOP_FILM)
    mean: Array = surface @ body.volume[-1] / body.volume[-1].sum()
    return mean


def times_of(column: str) -> dict[str, float]:
    """Read the times of the events off a run [s]."""
    result = resolved_jar(column)
    time, middle = result.time, 0.5 * result.required_wax().z_edges[-1]
    top = mean_surface_temperature(result)
    found = (
        falls_below(time, result.temperature_at(0.0, middle), 45.0),
        falls_below(time, result.mean_wax_temperature(), 45.0),
        falls_below(time, top, 45.0),
        falls_below(time, top, 40.0),
        *(frozen_share_reaches(result, share) for share in (0.25, 0.5, 0.75, 0.9, 0.99)),
        falls_below(time, result.hottest_wax(), 35.0),
    )
    return dict(zip(EVENTS, found, strict=True))


def _column(column: str, *, called: str, share: float) -> Iterator[Value]:
    for (event, found), meant in zip(times_of(column).items(), COMPUTED[column], strict=True):
        yield value(f"{called}: {event}", found, meant, share=share, unit="s")
    if column in _SHARES:
        paths = dict(resolved_jar(column).ledger.by_path)
        for path, meant in zip(("side", "top", "base"), _SHARES[column], strict=True):
            within = 0.6 if column == "no gravity" else 2.0
            found = 100 * paths[path]  # type: ignore[index]
            yield value(f"{called}: heat through the {path}", found, meant, within=within, unit="%", span=100.0)
        place, within = _LAST[column]
        height = 1e3 * resolved_jar(column).required_events().last_liquid[1]
        yield value(f"{called}: height of the last liquid", height, place, within=within, unit="mm", span=70.0)


def _stratified() -> Iterator[Value]:
    for column, called in (("C 1e5", "slushy"), ("C 1e6", "stiffer"), ("small", "small jar")):
        yield from _column(column, called=called, share=0.05)


_JAR = (
    "A rigid cylinder of wax, 68 mm wide and 70 mm deep (small: 50 and 50): rho 880, c 2100, k 0.165 liquid and 0.22"
    " solid, 130 kJ/kg given off evenly from 45 to 35 °C; poured at 65 °C, films of 10, 9 and 8 W/m²/K at side, top and"
    " base to 21 °C."
)
_FLOW = (
    "Computed independently for this project: finite volumes with a Boussinesq flow and a porous mush, open CFD"
    " libraries, 34 by 70 cells, checked on a coarser and a finer mesh."
)
STRATIFIED_MELT = Case(
    id="R5",
    title="The melt in layers against a resolved flow",
    setup=f"{_JAR} The mush is slushy (Carman-Kozeny constant 1e5) or stiffer (1e6, so in the small jar).",
    formulas=(
        r"flow: $\rho \frac{D\mathbf{u}}{Dt} = -\nabla p + \mu \nabla^2 \mathbf{u}"
        r" + \rho \beta (T - T_0)\mathbf{g} - C\frac{(1-f)^2}{f^3}\mathbf{u}$",
    ),
    equation="The flow itself; here mobile melt settles into layers within 90 s.",
    source=_FLOW,
    mark="this project",
    slack="5 % of each time, the aim of the reduced model; the flow is trusted to 0.2 % in the bulk, 1 % at the centre,"
    " 2 to 6 % at the top. Shares of heat 2 %. The last liquid is where the temperature is nearly flat: met worst.",
    run=_stratified,
    problems=(("", lambda: resolved_problem("C 1e6")),),
)
STILL_MELT = Case(
    id="R6",
    title="Conduction alone against the flow without gravity",
    setup=_JAR,
    formulas=(r"$\frac{\partial H}{\partial t} = \nabla \cdot (k \nabla T)$",),
    equation="Enthalpy in r and z, by another code.",
    source=_FLOW + " Without gravity it agrees with a conduction code.",
    mark="this project",
    slack="3 %; shares are rounded to 1 %; the last liquid within a cell either way.",
    run=lambda: _column("no gravity", called="no gravity", share=0.03),
    problems=(("", lambda: resolved_problem("no gravity")),),
)
