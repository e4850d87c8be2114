r"""How far a run is from the answer of the equations, by a companion on a coarser grid with longer steps.

Terms and rules are those of ASME V&V 20-2009 and of Celik et al. 2008: from values on grids of different cell size h
follow the order at which they converge, the value extrapolated to h = 0, and the uncertainty of the finest.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from coolsim.answers.answer import Run, number_of
from coolsim.answers.catalogue import ANSWERS
from coolsim.model.jar import Jar
from coolsim.model.problem import Problem
from coolsim.solve.integrate import Progress
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate
from coolsim.solve.together import simulate_jars

RATIO = 1.5
"""A companion has cells larger by this factor in each direction [-]; 1.3 is the least that the procedure allows."""

FORMAL_ORDER = 2.0
"""Order of the scheme in cell and step [-]."""

SAFETY_FORMAL = 3.0
SAFETY_OBSERVED = 1.25
"""Factor on the estimated error [-]: with the formal order, and with one that was observed on three grids."""

TRUSTED_ORDERS = (1.0, 3.0)
"""An observed order outside of these is none of a scheme of second order [-]."""

_STEP_ORDER = 3.0  # the error allowed in one step goes with the third power of its length
_ORDERS = (1e-3, 30.0)
_HALVINGS = 60

_Whole = TypeVar("_Whole", bound=Problem | Jar)

ESTIMATED = tuple(answer for answer in ANSWERS if answer.grid is not None)
"""The answers whose error is estimated."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorEstimate:
    """The numerical error of one answer [unit of the answer].

    `extrapolated` estimates the value on cells and steps of no size; the value is meant to be within `uncertainty`
    of that of the equations. `order` of convergence and `safety` factor on the estimated error were used [-];
    `basis` says how it was found, or why it could not be.
    """

    value: float | None
    extrapolated: float | None = None
    uncertainty: float | None = None
    order: float | None = None
    safety: float | None = None
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GridError:
    """The numerical errors of a run, for each of `ESTIMATED` by key.

    `cells` are the wax cells of the run and of its companions, from the finest [-].
    """

    cells: tuple[int, ...]
    answers: tuple[tuple[str, ErrorEstimate], ...]

    def __getitem__(self, name: str) -> ErrorEstimate:
        """Return the estimate of an answer."""
        return dict(self.answers)[name]


def observed_order(fine: float, middle: float, coarse: float, *, ratios: tuple[float, float]) -> float | None:
    r"""Find the order at which three values converge.

    Three values in any one unit, and by how much the cells are longer from the fine grid to the middle one and from
    there to the coarse one [-]. The order [-] is None if the values do not approach a limit from one side.

    Notes
    -----
    Equation (49) of `coolsim.theory`.
    Celik et al. 2008, equation 5, written without logarithms and solved by halving, as the left side rises with p:

    .. math:: r_{21}^p \frac{r_{32}^p - 1}{r_{21}^p - 1} = \frac{\varepsilon_{32}}{\varepsilon_{21}}

    They take an absolute value of the logarithms, which makes values that drift apart look as if they converged.

    References
    ----------
    Celik, Ghia, Roache, Freitas, Coleman, Raad 2008, J. Fluids Eng. 130:078001.
    """
    near, far = middle - fine, coarse - middle
    if near == 0.0 or far / near <= 0.0:
        return None
    first, second = ratios

    def excess(order: float) -> float:
        return float(first**order * (second**order - 1.0) / (first**order - 1.0)) - far / near

    low, high = _ORDERS
    if excess(low) >= 0.0 or excess(high) <= 0.0:
        return None
    for _ in range(_HALVINGS):
        middle_order = 0.5 * (low + high)
        low, high = (middle_order, high) if excess(middle_order) < 0.0 else (low, middle_order)
    return 0.5 * (low + high)


def extrapolated(fine: float, coarse: float, *, ratio: float, order: float) -> float:
    """Extrapolate two values to cells of no size (Richardson), by the ratio of their cells [-] and the order [-].

    Equation (49) of `coolsim.theory`.
    """
    return fine + (fine - coarse) / float(ratio**order - 1.0)


def error_estimate(values: Sequence[float | None], *, ratios: Sequence[float]) -> ErrorEstimate:
    """Estimate the error of the first of two or three values, on grids from the finest on, with their ratios [-].

    With two grids the formal order, 2, is used, with a safety factor of 3. With three, an observed order of 1 to 3
    is used with 1.25, but no more than 2: a higher one is luck. Any other is not that of the scheme, so the formal
    order and the factor of 3 hold again. Values that go to and fro have no estimate.
    """
    fine, others = values[0], values[1:]
    if fine is None or any(one is None for one in others):
        where = "no run" if all(one is None for one in values) else "only some of the runs"
        return ErrorEstimate(value=fine, basis=f"{where} on these grids came to it")
    coarser = [one for one in others if one is not None]
    order, safety, basis = FORMAL_ORDER, SAFETY_FORMAL, "formal order, two grids"
    if len(coarser) > 1:
        middle, coarse = coarser
        if (coarse - middle) * (middle - fine) < 0.0:
            return ErrorEstimate(value=fine, basis="not monotone: from grid to grid it goes to and fro")
        found = observed_order(fine, middle, coarse, ratios=(ratios[0], ratios[1]))
        if found is not None and TRUSTED_ORDERS[0] <= found <= TRUSTED_ORDERS[1]:
            order, safety, basis = min(found, FORMAL_ORDER), SAFETY_OBSERVED, f"observed order {found:.2f}, three grids"
        else:
            seen = "none" if found is None else f"{found:.2f}"
            basis = f"formal order, two grids, since the order observed on three ({seen}) is not that of the scheme"
    limit = extrapolated(fine, coarser[0], ratio=ratios[0], order=order)
    return ErrorEstimate(
        value=fine,
        extrapolated=limit,
        uncertainty=safety * abs(limit - fine),
        order=order,
        safety=safety,
        basis=f"{basis}, safety factor {safety:g}",
    )


def coarser(problem: _Whole, *, times: int = 1) -> _Whole:
    """Make the companion of a problem or a jar, so many times [-] coarser by `RATIO` in each direction.

    The tolerance makes its steps longer by as much: the two together measure the error of space and time.
    """
    factor, accuracy = RATIO**times, problem.accuracy
    return replace(
        problem,
        accuracy=replace(
            accuracy,
            refinement=accuracy.refinement / factor,
            tolerance=accuracy.tolerance * factor**_STEP_ORDER,
            first_step=accuracy.first_step * factor,
            longest_step=accuracy.longest_step * factor,
        ),
    )


def grid_error(
    problem: Problem | Jar,
    *,
    known: Result | None = None,
    grids: Literal[2, 3] = 2,
    on_step: Callable[[Progress], None] | None = None,
) -> GridError:
    """Estimate the numerical error of every answer of a run; its result may be known already.

    With two grids [-] the order is taken as known, with three it is observed. `on_step` is called after each step
    of each companion. ValueError if there is no wax.
    """
    first = simulate(problem) if known is None else known
    others = [simulate(coarser(problem, times=times), on_step=on_step) for times in range(1, grids)]
    return _error_of([first, *others])


def grid_errors(
    jar: Jar, *, known: Sequence[Result], on_step: Callable[[Progress], None] | None = None
) -> tuple[GridError, ...]:
    """Estimate the numerical errors of a jar, or of each kind of place of a box, from its known results."""
    others = simulate_jars(coarser(jar), on_step=on_step)
    return tuple(_error_of([fine, coarse]) for fine, coarse in zip(known, others, strict=True))


def _error_of(runs: Sequence[Result]) -> GridError:
    cells = tuple(run.required_wax().cells.size for run in runs)
    # As for any grid: h is the square root of the area of a cell.
    ratios = tuple(math.sqrt(cells[at] / cells[at + 1]) for at in range(len(cells) - 1))
    found = [Run(result=run) for run in runs]
    return GridError(
        cells=cells,
        answers=tuple(
            (answer.key, error_estimate([number_of(answer.of(run)) for run in found], ratios=ratios))
            for answer in ESTIMATED
        ),
    )
