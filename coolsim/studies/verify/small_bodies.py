"""Small bodies in a room, a body in a room as a sine, jars that share the air of a box, a jar in water."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from scipy.linalg import expm
from scipy.special import jv

from coolsim.model.jar import Jar, Room, Support, Vessel, WaterBath
from coolsim.model.materials import catalogue_wax
from coolsim.model.problem import Accuracy, Boundary, Film, Melt, Node, NodeLink, Problem
from coolsim.model.properties import Inert
from coolsim.model.section import Array
from coolsim.solve.assemble import result_of
from coolsim.solve.integrate import integrate
from coolsim.solve.join import join, split
from coolsim.solve.network import build
from coolsim.studies.verify.case import Case, Value, value
from coolsim.studies.verify.freezing_problems import AIR, one_block
from coolsim.studies.verify.problems import inert, on_axis, orders, solved

# --- a lumped body ------------------------------------------------------------------------------------

_RADIUS, _HEIGHT = 2e-3, 3e-3
# All faces lose heat alike, so only the ratio of volume to area counts; copper-like, so that the body has one
# temperature: its Biot number is below 1e-4.
_BODY = Inert(name="body", conductivity=400.0, density=1000.0, heat_capacity=23.375 * (2.0 / _RADIUS + 2.0 / _HEIGHT))
_EXACT = {600: 56.990863, 1800: 41.474978, 3600: 30.595994, 7200: 23.545022, 14400: 21.266313}
_RADIATION_ALONE = {824.037: 60.0, 3636.412: 40.0}


def rising_film(surface: float, air: float) -> float:
    """Film [W/m2/K] that rises with the difference of two temperatures [°C]."""
    return float(2.2 * abs(surface - air) ** 0.25)


def small_body(film: Film, tolerance: float = 0.01) -> Problem:
    """State the body with a film on all faces [W/m2/K], in steps that err by a tolerance [K]."""
    law = functools.partial(Boundary, part="wax", film=film, emissivity=0.9)
    return Problem(
        section=one_block(_BODY, radius=_RADIUS, height=_HEIGHT, radial_cells=2, axial_cells=3, start=70.0),
        boundaries=(law(name="side", facing="outwards"), law(name="top", facing="up"), law(name="base", facing="down")),
        room=AIR,
        accuracy=Accuracy(tolerance=tolerance, first_step=1.0),
        horizon=14400.0,
        stop_when_cool=False,
    )


def _lumped() -> Iterator[Value]:
    for name, film, exact in (("film and radiation", rising_film, _EXACT), ("radiation alone", 0.0, _RADIATION_ALONE)):
        result = solved(small_body(film))
        cells = result.temperatures(np.arange(len(result.block))).T
        for time, meant in exact.items():
            # Between steps the logarithm of the excess is nearly straight; the cell that is farthest off counts.
            found = [AIR + math.exp(np.interp(time, result.time, np.log(cell - AIR))) for cell in cells]
            farthest = max(found, key=lambda one: abs(one - meant))
            yield value(f"{name}, {time:.0f} s", farthest, meant, within=0.02, unit="°C", span=49.0)


def _lumped_orders() -> Iterator[Value]:
    tolerances, errors = (0.16, 0.08, 0.04), []
    for one in tolerances:
        result = solved(small_body(rising_film, one))
        cell = result.temperatures(np.arange(len(result.block)))[:, 0]
        errors.append(AIR + math.exp(np.interp(3600.0, result.time, np.log(cell - AIR))) - _EXACT[3600])
    # Steps go with the cube root of the tolerance, so that their own order is three times as high.
    errors = [abs(one) ** 3 for one in errors]
    yield from orders("in the step, 3600 s", tolerances, errors, unit="°C")


LUMPED_BODY = Case(
    id="C10",
    title="A small body by film and radiation",
    setup="A body of one temperature, 70 °C, in a room of 21 °C: emissivity 0.9, and a film that rises with the"
    " difference, or none. Of its six cells the one that is farthest off.",
    formulas=(r"$C\,\frac{dT}{dt} = -A\,[2.2\,|T - T_a|^{1.25} + \epsilon \sigma (T^4 - T_a^4)]$",),
    equation="One ordinary differential equation.",
    source="Textbook balance of a lumped body; its solution was computed independently to eight digits.",
    mark="this project",
    slack="0.02 °C, as asked; steps of 0.01 °C each leave less than half of it.",
    run=_lumped,
    orders=_lumped_orders,
    problems=(("", lambda: small_body(rising_film)),),
)

# --- a room as a sine ---------------------------------------------------------------------------------

_R, _FILM = 0.04, 12.0
_SOLID = Inert(name="solid", conductivity=0.3, density=900.0, heat_capacity=2000.0)
_MEAN, _SWING, _PERIOD = 20.0, 6.0, 4 * 3600.0


_OMEGA = 2.0 * math.pi / _PERIOD


def swinging_room(cells: int = 40) -> Problem:
    """State the cylinder in its room on cells [-]."""
    return Problem(
        section=one_block(_SOLID, radius=_R, height=0.02, radial_cells=cells, axial_cells=1, start=_MEAN),
        boundaries=(Boundary(name="side", part="wax", facing="outwards", film=_FILM),),
        room=lambda time: _MEAN + _SWING * math.cos(_OMEGA * time),
        horizon=7 * _PERIOD,
        stop_when_cool=False,
        accuracy=Accuracy(tolerance=0.02),
    )


def swing_at(r: Array, time: Array) -> Array:
    """Temperature at times [s] and radii [m] after many periods, (nt, nr) [°C]."""
    q = np.sqrt(-1j * _OMEGA / (_SOLID.conductivity / (_SOLID.density * _SOLID.heat_capacity)))
    c = _FILM * _SWING / (_FILM * jv(0, q * _R) - _SOLID.conductivity * q * jv(1, q * _R))
    swing: Array = np.real(c * jv(0, q * r[None, :]) * np.exp(1j * _OMEGA * time[:, None]))
    return _MEAN + swing


def _sine() -> Iterator[Value]:
    result = solved(swinging_room())
    r = result.grid.r
    # After six periods the start is forgotten: the slowest mode fades with R^2/(1.4^2 a), 82 min, to 1e-7.
    late = result.time >= 6 * _PERIOD
    expected = swing_at(r, result.time[late])
    found = result.temperatures(np.arange(len(r)))[late]
    for name, place in (("axis", 0), ("half-way", 20), ("surface", 39)):
        lowest, highest = found[:, place].min(), found[:, place].max()
        low, high = expected[:, place].min(), expected[:, place].max()
        yield value(f"{name}: warmest", highest, high, within=0.03, unit="°C", span=_SWING)
        yield value(f"{name}: coldest", lowest, low, within=0.03, unit="°C", span=_SWING)
    off = np.abs(found - expected).max()
    yield value("largest error of all cells and times", off, 0.0, within=0.03, unit="°C", span=_SWING)


def _sine_orders() -> Iterator[Value]:
    cells, errors = (5, 10), []
    for one in cells:
        problem = swinging_room(one)
        result = solved(replace(problem, accuracy=replace(problem.accuracy, tolerance=0.005)))
        late = result.time >= 6 * _PERIOD
        axis = [on_axis(result.grid.r, row) for row in result.temperatures(np.arange(one))[late]]
        errors.append(np.abs(axis - swing_at(np.zeros(1), result.time[late])[:, 0]).max())
    yield from orders("axis", cells, errors)


ROOM_AS_A_SINE = Case(
    id="C11",
    title="A cylinder in a room that swings",
    setup="A long cylinder of 40 mm radius, k 0.3, rho c 1.8e6, film 12 W/m²/K, in a room of 20 ± 6 °C that comes back"
    " every four hours; the seventh period. Cells of 1 mm.",
    formulas=(
        r"$T = T_m + \mathrm{Re}\,[C\, J_0(q r)\, e^{i \omega t}], \quad q^2 = -i \omega/\alpha$",
        r"$k q C J_1(q R) = h\,(C J_0(q R) - \hat T)$",
    ),
    equation="Periodic for ever: swing and delay of each place.",
    source="Derived here; the method of complex temperatures is that of Carslaw & Jaeger, Conduction of Heat in Solids,"
    " 2nd ed. 1959, chapter VII, from memory.",
    mark="from memory",
    slack="0.03 °C: the swing at the axis is 2 °C and an hour late; cells of 1 mm and steps that err by 0.02 °C make"
    " 1 % of it.",
    run=_sine,
    orders=_sine_orders,
    problems=(("", swinging_room),),
)

# --- jars that share the air of a box -----------------------------------------------------------------

_BODY_RADIUS, _BODY_HEIGHT, _BODY_FILM = 0.02, 0.05, 8.0


def _in_a_box(
    share: float, start: float, *, capacity: float, nodes: Sequence[Node], links: Sequence[NodeLink]
) -> Problem:
    """State a block of one temperature: one share of its side faces what is between, the other the air of the box."""
    metal = inert(400.0, capacity / (np.pi * _BODY_RADIUS**2 * _BODY_HEIGHT))
    return Problem(
        section=one_block(metal, radius=_BODY_RADIUS, height=_BODY_HEIGHT, radial_cells=2, axial_cells=4, start=start),
        boundaries=(
            Boundary(name="towards", part="wax", facing="outwards", film=_BODY_FILM, air="between", share=share),
            Boundary(name="rest", part="wax", facing="outwards", film=_BODY_FILM, air="air", share=1.0 - share),
        ),
        nodes=tuple(nodes),
        node_links=tuple(links),
        room=AIR,
        accuracy=Accuracy(tolerance=0.01, first_step=1.0, longest_step=60.0),
        horizon=3 * 3600.0,
        stop_when_cool=False,
    )


def _box() -> Iterator[Value]:
    side = 2.0 * np.pi * _BODY_RADIUS * _BODY_HEIGHT
    counts, shares, capacities, starts = (4, 2), (0.25, 0.5), (90.0, 140.0), (70.0, 50.0)
    between, air, leave = 6.0, 15.0, 0.3
    nodes = (Node(name="between", capacity=between, start=AIR, split=True), Node(name="air", capacity=air, start=AIR))
    links = (NodeLink(ends=("air", "room"), conductance=leave),)
    parts = [
        build(_in_a_box(share, start, capacity=capacity, nodes=nodes, links=links))
        for share, start, capacity in zip(shares, starts, capacities, strict=True)
    ]
    joined = join(parts, counts)
    history = integrate(joined.network)
    # Unknowns over the room: one body of each kind, between, air.
    matrix: Array = np.zeros((4, 4))
    heat = np.array([counts[0] * capacities[0], counts[1] * capacities[1], between, air])
    for kind, (many, share) in enumerate(zip(counts, shares, strict=True)):
        for node, part in ((2, share), (3, 1.0 - share)):
            conductance = many * _BODY_FILM * side * part
            matrix[kind, kind] -= conductance
            matrix[kind, node] += conductance
            matrix[node, node] -= conductance
            matrix[node, kind] += conductance
    matrix[3, 3] -= leave
    start = np.array([starts[0], starts[1], AIR, AIR]) - AIR
    runs = [result_of(network, part, name="") for network, part in split(joined, history)]
    rates = matrix / heat[:, None]
    for step in np.linspace(20, len(history.time) - 1, 6).astype(int):
        exact = expm(rates * history.time[step]) @ start
        found = [float(one.temperatures(np.arange(len(one.block)))[step].mean()) - AIR for one in runs]
        # A node is stepped with what the faces gave in the step before: it may be late by a step.
        late = np.abs(rates @ exact)[2:] * (history.time[step] - history.time[step - 1]) + 0.05
        *pieces, above = history.nodes[step] - AIR
        farthest = max(pieces, key=lambda one, meant=exact[2]: abs(one - meant))  # type: ignore[misc]
        for name, computed, meant, within in (
            ("four bodies", found[0], exact[0], 0.04),
            ("two bodies", found[1], exact[1], 0.04),
            ("air between", farthest, exact[2], late[0]),
            ("air over", above, exact[3], late[1]),
        ):
            where = f"{history.time[step] / 60.0:.0f} min: {name}"
            yield value(where, computed, meant, within=within, unit="°C", span=49.0)


SHARED_AIR = Case(
    id="C12",
    title="Bodies that share the air of a box",
    setup="Four bodies at 70 °C and two at 50 °C, of one temperature each, face air between them and air over them; the"
    " latter loses heat to a room of 21 °C. Excess over the room.",
    formulas=(r"$C\,\frac{dT}{dt} = A\,T, \quad T = e^{C^{-1} A t}\, T_0$",),
    equation="Linear, so the matrix exponential.",
    source="scipy.linalg.expm.",
    mark="this project",
    slack="0.04 °C: nodes are a step late, with steps of a minute that leaves 0.03 °C. The nodes themselves may be"
    " late by what they move in a step, and 0.05 °C.",
    run=_box,
)

# --- a tall jar in water ------------------------------------------------------------------------------

WATER_RADIUS, _WALL, WATER_DEPTH = 0.02, 0.2e-3, 0.24
_POUR, WATER_BATH = 80.0, 20.0
# So thin and light that neither its resistance nor its heat counts: 1e-3 of the film's, 1e-4 of the filling's.
_SHELL = Inert(name="shell", conductivity=5.0, density=100.0, heat_capacity=500.0)


def tall_jar(biot: float, fourier: float) -> tuple[Jar, float]:
    """Return the jar at Bi [-] and the time of Fo [-], [s]."""
    filling = catalogue_wax("water")
    film = biot * filling.conductivity_liquid / WATER_RADIUS * WATER_RADIUS / (WATER_RADIUS + _WALL)
    capacity = filling.density * filling.heat_capacity_liquid
    time = fourier * WATER_RADIUS**2 * capacity / filling.conductivity_liquid
    jar = Jar(
        name="Tall",
        vessel=Vessel(
            diameter=2 * (WATER_RADIUS + _WALL),
            height=WATER_DEPTH + _WALL,
            wall=_WALL,
            base=_WALL,
            material=_SHELL,
            start=_POUR,
        ),
        wax=filling,
        depth=WATER_DEPTH,
        pour=_POUR,
        support=Support(material=None),
        water=WaterBath(temperature=WATER_BATH, depth=WATER_DEPTH + _WALL, film=film),
        room=Room(temperature=21.0),
        melt=Melt(mixing="none"),
        accuracy=Accuracy(tolerance=0.02, first_step=0.05),
        horizon=1.05 * time,
    )
    return jar, time


def _bath() -> Iterator[Value]:
    for biot, fourier, centre in ((1.0, 0.5, 0.548586), (2.0, 0.5, 0.372397), (5.0, 0.2, 0.671418)):
        jar, time = tall_jar(biot, fourier)
        result = solved(jar)
        found = np.interp(time, result.time, result.temperature_at(0.0, 0.5 * WATER_DEPTH))
        share = (found - WATER_BATH) / (_POUR - WATER_BATH)
        yield value(f"Bi {biot:g}, Fo {fourier:g}: axis, mid-height", float(share), centre, within=1e-3, span=1.0)


WATER_JAR = Case(
    id="C13",
    title="A tall jar in a water bath",
    setup="A whole jar, 40 mm wide and 240 mm deep, of a filling that never freezes, stands in water to its brim. At"
    " mid-height the ends are six radii away. Shares of the excess over the water.",
    formulas=(r"$\theta = \sum_n C_n\, e^{-\zeta_n^2 Fo}\, J_0(\zeta_n r/R)$",),
    equation="The series for a long bar, as in C1: here the whole product is asked, from the jar to a point.",
    source="Bergman, Lavine, Incropera & DeWitt, 2011; the numbers were computed independently.",
    mark="published",
    slack="1e-3: the shell, which the series leaves out, holds a thousandth of the heat back (found: 4e-4 to 9e-4).",
    run=_bath,
    problems=(("", lambda: tall_jar(1.0, 0.5)[0]),),
)
