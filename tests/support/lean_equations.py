"""The reference cylinder as a right-hand side for a library integrator."""

import numpy as np

from coolsim.studies.verify.freezing_problems import AIR
from coolsim.studies.verify.reference_cylinder import (
    BASE,
    CONDUCTIVITY,
    ENDS,
    HEIGHT,
    LIQUIDUS,
    MUSH,
    POURED,
    RADIUS,
    SENSIBLE,
    SIDE,
    SOLIDUS,
    TOP,
)


class LeanEquations:
    """The same finite volumes as one function of the enthalpies, with as little work as numpy allows.

    Rows of the section follow each other from the bottom up, so that the bandwidth is the number of cells along r,
    the smaller of the two.
    """

    def __init__(self, radial_cells, axial_cells):
        self._shape = (axial_cells, radial_cells)
        width, height = RADIUS / radial_cells, HEIGHT / axial_cells
        edges = np.linspace(0.0, RADIUS, radial_cells + 1)
        ring = np.pi * np.diff(edges**2)
        side = 2.0 * np.pi * RADIUS * height
        self._across_r = 2.0 * np.pi * edges[1:-1] * height * CONDUCTIVITY / width
        self._across_z = ring * CONDUCTIVITY / height
        self._side = side / (1.0 / SIDE + 0.5 * width / CONDUCTIVITY)
        self._top = ring / (1.0 / TOP + 0.5 * height / CONDUCTIVITY)
        self._base = ring / (1.0 / BASE + 0.5 * height / CONDUCTIVITY)
        self._per_volume = 1.0 / (ring * height)
        self.start = np.full(radial_cells * axial_cells, POURED)
        self._flow_r = np.zeros((axial_cells, radial_cells + 1))
        self._flow_z = np.zeros((axial_cells + 1, radial_cells))
        self._linear = self._bands(radial_cells, axial_cells)

    def rate(self, _, enthalpy):
        """Rate of change of the enthalpies."""
        content = enthalpy.reshape(self._shape)
        in_mush = np.minimum(np.maximum(content, SOLIDUS), LIQUIDUS)
        excess = content - in_mush
        excess /= SENSIBLE
        in_mush -= SOLIDUS
        in_mush *= MUSH
        excess += in_mush
        excess += ENDS - AIR
        flow_r, flow_z = self._flow_r, self._flow_z
        inner, between = flow_r[:, 1:-1], flow_z[1:-1]
        np.subtract(excess[:, 1:], excess[:, :-1], out=inner)
        inner *= self._across_r
        np.multiply(excess[:, -1], -self._side, out=flow_r[:, -1])
        np.subtract(excess[1:], excess[:-1], out=between)
        between *= self._across_z
        np.multiply(excess[-1], -self._top, out=flow_z[-1])
        np.multiply(excess[0], self._base, out=flow_z[0])
        change = flow_r[:, 1:] - flow_r[:, :-1]
        change += flow_z[1:]
        change -= flow_z[:-1]
        change *= self._per_volume
        return change.ravel()

    def bands(self, _, enthalpy):
        """Jacobian of the rate, diagonals in rows as the library wants them."""
        mushy = (enthalpy > SOLIDUS) & (enthalpy < LIQUIDUS)
        return self._linear * np.where(mushy, MUSH, 1.0 / SENSIBLE)

    def _bands(self, radial_cells, axial_cells):
        own = np.zeros(self._shape)
        own[:, :-1] -= self._across_r
        own[:, 1:] -= self._across_r
        own[:-1] -= self._across_z
        own[1:] -= self._across_z
        own[:, -1] -= self._side
        own[-1] -= self._top
        own[0] -= self._base
        outwards = np.zeros(self._shape)
        outwards[:, :-1] = self._across_r
        outwards = outwards.ravel()[:-1]
        up = np.tile(self._across_z, axial_cells - 1)
        per_volume = np.tile(self._per_volume, axial_cells)
        n = radial_cells
        bands = np.zeros((2 * n + 1, per_volume.size))
        bands[n] = own.ravel() * per_volume
        bands[n - 1, 1:] = outwards * per_volume[:-1]
        bands[n + 1, :-1] = outwards * per_volume[1:]
        bands[0, n:] = up * per_volume[:-n]
        bands[2 * n, :-n] = up * per_volume[n:]
        return bands
