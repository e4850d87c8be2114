"""Short statements of conduction problems, and a run that is held to its energy ledger; nothing here is a solver."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from coolsim.errors import SolverError
from coolsim.model.jar import Jar
from coolsim.model.materials import Inert, Wax, catalogue_wax
from coolsim.model.problem import Accuracy, Boundary, Contact, Melt, Problem, Thresholds
from coolsim.model.section import Array, Block, Finer, Section, Span
from coolsim.model.softness import Softness
from coolsim.solve.network import build
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate
from coolsim.studies.verify.case import Value, value

FIXED = np.inf
"""A film that makes the surface take the temperature of the air [W/m2/K]."""

UNIT_AREA = float(1.0 / np.sqrt(np.pi))
"""Radius of a column of 1 m2 [m]."""


def sets_at(liquid: float) -> Softness:
    """Return a softness by which wax bears a jar that is carried below a liquid share [-]."""
    law, carry = Softness(), Thresholds().carry
    return replace(law, stiffness=carry / (1.0 - law.gels_at - liquid) ** law.exponent)


STILL = Melt(mixing="none", softness=sets_at(0.0))
"""A melt that only conducts, all of which is solid when it is called so."""


def inert(conductivity: float, capacity: float, name: str = "inert") -> Inert:
    """Return a material of given k [W/m/K] and rho c [J/m3/K]."""
    return Inert(name=name, conductivity=conductivity, density=capacity / 1000.0, heat_capacity=1000.0)


def wax(
    *,
    conductivity: tuple[float, float],
    heat_capacity: tuple[float, float],
    density: float,
    latent_heat: float,
    freezing: tuple[float, float],
) -> Wax:
    """Return a wax of k [W/m/K] and c [J/kg/K] (solid, liquid), rho [kg/m3] and latent heat [J/kg].

    What conduction does not see is that of paraffin.
    """
    ends, starts = freezing
    return replace(
        catalogue_wax("paraffin"),
        conductivity_solid=conductivity[0],
        conductivity_liquid=conductivity[1],
        density=density,
        heat_capacity_solid=heat_capacity[0],
        heat_capacity_liquid=heat_capacity[1],
        latent_heat=latent_heat,
        freezing=((ends, 0.0), (starts, 1.0)),
        clear_point=starts,
        density_liquid_at=max(starts, 20.0),
        # Hardly any: the liquid of a metal that freezes at 1500 °C would shrink to less than its solid.
        expansion_liquid=1e-6,
        expansion_solid=1e-6,
    )


def reference_wax(freezing: tuple[float, float]) -> Wax:
    """Return the made-up wax of round numbers used for tests only."""
    return wax(
        conductivity=(0.24, 0.16), heat_capacity=(2100.0, 2300.0), density=850.0, latent_heat=180e3, freezing=freezing
    )


@dataclass(frozen=True, kw_only=True)
class Layer:
    """One layer of a cylinder or column: length [m], cells [-], start [°C], stretch [-]."""

    part: str
    material: Inert | Wax
    length: float
    cells: int
    start: float
    finer: Finer = "evenly"
    stretch: float = 1.0

    @property
    def span(self) -> Span:
        """The interval this layer fills."""
        return Span(name=self.part, length=self.length, cells=self.cells, finer=self.finer, stretch=self.stretch)


def cylinder(
    layers: Sequence[Layer],
    *,
    boundaries: Sequence[Boundary],
    horizon: float,
    axial: Sequence[Span] = (Span(name="height", length=1.0, cells=1),),
    inner_radius: float = 0.0,
    accuracy: Accuracy | None = None,
    room: float = 21.0,
    start: Callable[[Array, Array], Array] | None = None,
    source: Callable[[Array, Array, float], Array] | None = None,
    contacts: Sequence[Contact] = (),
) -> Problem:
    """State layers round an axis, up to a horizon [s] in a room [°C], from an inner radius [m].

    It is one cell high, and so endless, unless `axial` is given.
    """
    height = tuple(span.name for span in axial)
    return Problem(
        section=Section(
            radial=tuple(layer.span for layer in layers),
            axial=tuple(axial),
            blocks=tuple(
                Block(part=layer.part, material=layer.material, radial=(layer.part,), axial=height, start=layer.start)
                for layer in layers
            ),
            inner_radius=inner_radius,
        ),
        boundaries=tuple(boundaries),
        contacts=tuple(contacts),
        melt=STILL,
        accuracy=accuracy or Accuracy(),
        horizon=horizon,
        stop_when_cool=False,
        room=room,
        start=start,
        source=source,
    )


def column(
    layers: Sequence[Layer],
    *,
    boundaries: Sequence[Boundary],
    horizon: float,
    accuracy: Accuracy | None = None,
    room: float = 21.0,
    source: Callable[[Array, Array, float], Array] | None = None,
) -> Problem:
    """State layers on top of each other, from the lowest up, in a column of 1 m2 with insulated sides.

    It runs to a horizon [s] in a room [°C].
    """
    return Problem(
        section=Section(
            radial=(Span(name="width", length=UNIT_AREA, cells=1),),
            axial=tuple(layer.span for layer in layers),
            blocks=tuple(
                Block(
                    part=layer.part, material=layer.material, radial=("width",), axial=(layer.part,), start=layer.start
                )
                for layer in layers
            ),
        ),
        boundaries=tuple(boundaries),
        melt=STILL,
        accuracy=accuracy or Accuracy(),
        horizon=horizon,
        stop_when_cool=False,
        room=room,
        source=source,
    )


def fixed_steps(step: float, *, refinement: float = 1.0) -> Accuracy:
    """Return an accuracy under which each step is `step` long [s]: no error shortens it; refinement [-]."""
    return Accuracy(refinement=refinement, tolerance=1e6, first_step=step, longest_step=step)


@dataclass(frozen=True, kw_only=True)
class Run:
    """A problem and its result, read at points and times."""

    problem: Problem
    result: Result

    def at(self, time: float) -> Array:
        """Temperature of the section after a time [s], (nz, nr) [°C]."""
        return self.result.temperature_map(time)

    def mean(self, time: float) -> float:
        """Mean temperature by volume after a time [s], [°C]."""
        grid = self.result.grid
        return float(np.average(self.at(time)[grid.row, grid.column], weights=grid.volume))

    def surface(self, name: str, time: float) -> Array:
        """Temperatures of the faces of a boundary [°C] at a time [s]; known for the middle of each step."""
        faces = build(self.problem).faces
        index = [law.name for law in faces.laws].index(name)
        here = slice(faces.start[index], faces.start[index] + faces.count[index])
        times = self.result.time
        middle = 0.5 * (times[1:] + times[:-1])
        if not middle[0] <= time <= middle[-1]:
            raise ValueError(f"no surface temperature is known at {time} s")
        known = self.result.history.surface[1:, here]
        return np.array([np.interp(time, middle, one) for one in known.T])

    def lost(self, name: str, time: float | None = None) -> float:
        """Heat that has left through a boundary [J], up to a time [s] or the end."""
        history = self.result.history
        lost = history.lost[:, self._number(name)]
        return float(lost[-1] if time is None else np.interp(time, history.time, lost))

    def flow(self, name: str) -> float:
        """Heat flow through a boundary in the last step [W]."""
        history = self.result.history
        lost = history.lost[-2:, self._number(name)]
        return float((lost[1] - lost[0]) / (history.time[-1] - history.time[-2]))

    def _number(self, name: str) -> int:
        return [law for law, _ in self.result.boundaries].index(name)

    def frozen_depth(self, time: float) -> float:
        """Thickness of frozen wax at a time [s], mush by its solid share, in a column or far from the axis [m]."""
        body = self.result.required_wax()
        liquid = self.result.liquid_map(time)
        return float(((1.0 - liquid) * body.volume).sum() / body.volume.sum()) * self._wax_length()

    def _wax_length(self) -> float:
        body = self.result.required_wax()
        edges = body.z_edges if len(body.z) > 1 else body.r_edges
        return float(edges[-1] - edges[0])


def solved(problem: Problem | Jar) -> Result:
    """Simulate, and see that no heat was lost on the way, as every run must."""
    result = simulate(problem)
    if not result.ledger.closed:
        raise SolverError(f"{result.name}: the energy ledger is open by {result.ledger.open_share:.1e} of the heat.")
    return result


def run(problem: Problem) -> Run:
    """Run a problem and hold it to its energy ledger."""
    return Run(problem=problem, result=solved(problem))


def on_axis(middles: Array, values: Array) -> float:
    """Value at r = 0 of the parabola a + b r^2 through the two innermost cells."""
    slope = (values[1] - values[0]) / (middles[1] ** 2 - middles[0] ** 2)
    return float(values[0] - slope * middles[0] ** 2)


def orders(
    name: str, sizes: Sequence[object], errors: Sequence[float], *, unit: str = "cells", within: float = 0.3
) -> Iterator[Value]:
    """Hold errors on cells that are halved each time [-] to second order; sizes in a unit say which."""
    for (size, finer), order in zip(pairwise(sizes), measured_orders([abs(one) for one in errors]), strict=True):
        yield value(f"order, {name}: {size} to {finer} {unit}", order, 2.0, within=within)


def measured_orders(errors: Sequence[float]) -> Array:
    """Order of convergence from each error to the next, on cells or steps that are halved each time."""
    sizes = np.asarray(errors)
    orders: Array = np.log2(sizes[:-1] / sizes[1:])
    return orders
