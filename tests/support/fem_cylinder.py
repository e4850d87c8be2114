"""The freezing cylinder with scikit-fem: bilinear elements, every integral weighted with the radius.

Find T with, for every test function v,

    int v dH/dt r dr dz + int k grad v . grad T r dr dz + int h v (T - T_air) r ds = 0.

The heat of a node is lumped: row sums of the mass matrix, as for the enthalpy at its nodes.
"""

import numpy as np
from scipy.sparse import diags
from skfem import Basis, BilinearForm, ElementQuad1, LinearForm, MeshQuad, solve
from skfem.helpers import dot, grad

from coolsim.studies.verify.freezing_problems import AIR
from coolsim.studies.verify.reference_cylinder import BASE, CONDUCTIVITY, HEIGHT, RADIUS, SIDE, TOP


class FemCylinder:
    """Operators on an even mesh, and the solution of one linear step."""

    def __init__(self, radial_elements, axial_elements):
        mesh = MeshQuad.init_tensor(
            np.linspace(0.0, RADIUS, radial_elements + 1), np.linspace(0.0, HEIGHT, axial_elements + 1)
        ).with_boundaries(
            {
                "side": lambda x: np.isclose(x[0], RADIUS),
                "top": lambda x: np.isclose(x[1], HEIGHT),
                "base": lambda x: np.isclose(x[1], 0.0),
            }
        )
        inside = Basis(mesh, ElementQuad1())
        ring = LinearForm(lambda v, w: v * w.x[0])
        self.volume = 2.0 * np.pi * ring.assemble(inside)
        conduction = BilinearForm(lambda u, v, w: CONDUCTIVITY * w.x[0] * dot(grad(u), grad(v))).assemble(inside)
        to_room = np.zeros(inside.N)
        for name, film in (("side", SIDE), ("top", TOP), ("base", BASE)):
            face = inside.boundary(name)
            conduction += BilinearForm(lambda u, v, w, film=film: film * w.x[0] * u * v).assemble(face)
            to_room += film * ring.assemble(face)
        self._operator = 2.0 * np.pi * conduction
        self._from_room = 2.0 * np.pi * to_room * AIR

    def solve(self, stored, source):
        """Temperatures of the nodes [°C]."""
        return solve((self._operator + diags(stored)).tocsc(), source + self._from_room)
