"""The freezing cylinder with FiPy: finite volumes on its cylindrical grid.

Films enter as FiPy's documentation does it for a mixed condition: the flow through the outer faces as the divergence
of a face variable, half a cell of wax in series.
"""

import warnings

import numpy as np

from coolsim.studies.verify.freezing_problems import AIR
from coolsim.studies.verify.reference_cylinder import BASE, CONDUCTIVITY, HEIGHT, RADIUS, SIDE, TOP

with warnings.catch_warnings():
    # FiPy 4.0 asks numpy for a name that numpy 2 has moved.
    warnings.filterwarnings("ignore", message="numpy.core is deprecated", category=DeprecationWarning)
    from fipy import CellVariable, CylindricalGrid2D, DiffusionTerm, FaceVariable, ImplicitSourceTerm
    from fipy.solvers import LinearLUSolver


class FipyCylinder:
    """Operators on an even grid, and the solution of one linear step."""

    def __init__(self, radial_cells, axial_cells):
        width, height = RADIUS / radial_cells, HEIGHT / axial_cells
        mesh = CylindricalGrid2D(nr=radial_cells, nz=axial_cells, dr=width, dz=height)
        film = FaceVariable(mesh=mesh, value=0.0)
        for faces, outer, half in (
            (mesh.facesRight, SIDE, 0.5 * width),
            (mesh.facesTop, TOP, 0.5 * height),
            (mesh.facesBottom, BASE, 0.5 * height),
        ):
            film.setValue(1.0 / (1.0 / outer + half / CONDUCTIVITY), where=faces)
        self._films = np.array((film * mesh.faceNormals).divergence)
        # FiPy counts one radian.
        self.volume = 2.0 * np.pi * np.array(mesh.cellVolumes)
        self._temperature = CellVariable(mesh=mesh, value=AIR)
        self._stored = CellVariable(mesh=mesh, value=0.0)
        self._source = CellVariable(mesh=mesh, value=0.0)
        self._equation = DiffusionTerm(coeff=CONDUCTIVITY) - ImplicitSourceTerm(coeff=self._stored) + self._source == 0
        self._solver = LinearLUSolver()

    def solve(self, stored, source):
        """Temperatures of the cells [°C]."""
        self._stored.setValue(stored / self.volume + self._films)
        self._source.setValue(source / self.volume + self._films * AIR)
        self._equation.solve(var=self._temperature, solver=self._solver)
        return np.array(self._temperature)
