"""Ways to compute one freezing cylinder until all is solid, each with settings from the loosest on.

`python -m tests.benchmarks.freezing_cylinder METHOD SETTING` runs one setting once, to measure its memory.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass

from scipy.integrate import solve_ivp
from scipy.sparse import dia_array

from coolsim.solve.simulate import simulate
from coolsim.solve.wax_body import last_above
from coolsim.studies.verify.reference_cylinder import ALL_SOLID, HORIZON, SENSIBLE, SOLIDUS, stated_for_coolsim
from tests.support.lean_equations import LeanEquations


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """When all was solid [s], and the work: steps, and solved systems (evaluations where nothing is solved)."""

    all_solid: float
    steps: int
    solved: int

    @property
    def deviation(self) -> float:
        """Relative deviation from the time computed independently [-]."""
        return self.all_solid / ALL_SOLID - 1.0


@dataclass(frozen=True, kw_only=True)
class Method:
    """A way to compute it."""

    name: str
    run: Callable[..., Outcome]
    settings: tuple[tuple, ...]


def with_coolsim(radial_cells, axial_cells, tolerance) -> Outcome:
    """The product."""
    problem = stated_for_coolsim(radial_cells=radial_cells, axial_cells=axial_cells, tolerance=tolerance)
    result = simulate(problem)
    if not result.ledger.closed:
        raise ArithmeticError(f"the energy ledger is open by {result.ledger.open_share:.1e}")
    history = result.history
    return Outcome(all_solid=result.events.solid_throughout, steps=len(history.time) - 1, solved=history.newton)


def with_solve_ivp(method, *, jacobian=None):
    """An integrator of scipy on the lean equations, `jacobian` by hand in "bands" or "sparse", or by differences."""

    def run(radial_cells, axial_cells, relative, kelvin) -> Outcome:
        equations = LeanEquations(radial_cells, axial_cells)
        options = {}
        if method == "LSODA":
            options = {"lband": radial_cells, "uband": radial_cells}
        if jacobian == "bands":
            options["jac"] = equations.bands
        elif jacobian == "sparse":
            offsets = range(radial_cells, -radial_cells - 1, -1)
            kept = [radial_cells - one for one in (radial_cells, 1, 0, -1, -radial_cells)]
            size = len(equations.start)

            def sparse(time, enthalpy):
                bands = equations.bands(time, enthalpy)[kept]
                return dia_array((bands, [offsets[one] for one in kept]), shape=(size, size)).tocsc()

            options["jac"] = sparse
        found = solve_ivp(
            equations.rate,
            (0.0, HORIZON),
            equations.start,
            method=method,
            rtol=relative,
            atol=kelvin * SENSIBLE,
            **options,
        )
        return Outcome(
            all_solid=float(last_above(found.t, found.y.max(axis=0) - SOLIDUS)),
            steps=len(found.t) - 1,
            solved=found.nlu or found.nfev,
        )

    return run


def with_library(library):
    """FiPy or scikit-fem; backward Euler with even steps, or backward differences with steps to suit a tolerance."""

    def run(radial_cells, axial_cells, longest_step, tolerance=None) -> Outcome:
        # They take a second to import, and a process that measures its memory needs only one.
        if library == "fipy":
            from tests.support.fipy_cylinder import FipyCylinder as Cylinder
        else:
            from tests.support.fem_cylinder import FemCylinder as Cylinder
        from tests.support.backward_steps import step_until_solid

        cylinder = Cylinder(radial_cells, axial_cells)
        stepped = step_until_solid(cylinder.solve, cylinder.volume, longest_step=longest_step, tolerance=tolerance)
        return Outcome(all_solid=stepped.all_solid, steps=len(stepped.time) - 1, solved=stepped.solved)

    return run


# The coarsest grid whose own error is below 0.2 %, and finer ones: nobody is to win by two errors that cancel alone.
GRIDS = ((12, 28), (14, 30), (16, 36))
OURS = (*((*grid, tolerance) for grid in GRIDS for tolerance in (6.0, 4.0, 3.0, 2.0)), (20, 44, 3.0), (20, 44, 2.0))
# Looser ones were tried: none of them is accurate.
INTEGRATOR = tuple((*grid, *tolerances) for grid in GRIDS for tolerances in ((1e-2, 1.0), (1e-2, 0.3), (1e-3, 0.1)))
BACKWARD = ((16, 36, 1e-3, 0.1), (16, 36, 1e-3, 0.03), (16, 36, 1e-4, 0.03), (20, 44, 1e-3, 0.03))
TO_SUIT = tuple((*grid, 1000.0, tolerance) for grid in GRIDS for tolerance in (2.0, 0.5))

METHODS = (
    Method(name="coolsim", run=with_coolsim, settings=OURS),
    Method(name="solve_ivp, RK23", run=with_solve_ivp("RK23"), settings=INTEGRATOR[:6]),
    Method(name="solve_ivp, LSODA banded", run=with_solve_ivp("LSODA"), settings=INTEGRATOR[2:]),
    Method(name="  with Jacobian by hand", run=with_solve_ivp("LSODA", jacobian="bands"), settings=INTEGRATOR[2:]),
    Method(name="solve_ivp, BDF sparse", run=with_solve_ivp("BDF", jacobian="sparse"), settings=BACKWARD),
    Method(name="scikit-fem, even steps", run=with_library("skfem"), settings=((22, 52, 20.0), (24, 56, 25.0))),
    Method(name="  steps to suit", run=with_library("skfem"), settings=TO_SUIT),
    Method(name="FiPy, even steps", run=with_library("fipy"), settings=((16, 36, 40.0), (16, 36, 45.0))),
    Method(name="  steps to suit", run=with_library("fipy"), settings=TO_SUIT[:4]),
)

if __name__ == "__main__":
    METHODS[int(sys.argv[1])].run(*METHODS[int(sys.argv[1])].settings[int(sys.argv[2])])
