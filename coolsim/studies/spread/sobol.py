"""Scrambled Sobol sequences, without the rest of scipy.stats.

``import scipy.stats`` takes 0.45 s, as long as three jars, and here is the first thing that a spread or a plan needs.
What it has of Sobol sequences are some lines and the direction numbers of Joe and Kuo, in a file of arrays; that file
is read from where scipy lies. It is no public name: where it is not there the sequence comes from scipy.stats.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coolsim.model.section import Array

_BITS = 30
_POWERS = 2 ** np.arange(_BITS, dtype=np.uint32)
_FILE = "stats/_sobol_direction_numbers.npz"


def sobol(columns: int, count: int, seed: int) -> Array:
    """Draw rows of a scrambled Sobol sequence.

    The same seed begins with the same rows whatever their number, and draws what `scipy.stats.qmc` does.

    - `columns`: How many numbers a row has [-].
    - `count`: How many rows [-], a power of two.
    - `seed`: Of the scrambling [-].
    - Returns numbers from 0 up to 1, shape (count, columns) [-].

    References
    ----------
    Sobol', I. M. (1967). On the distribution of points in a cube and the approximate evaluation of integrals. USSR
    Computational Mathematics and Mathematical Physics 7(4), 86-112.
    Joe, S. and Kuo, F. Y. (2008). Constructing Sobol sequences with better two-dimensional projections. SIAM J. Sci.
    Comput. 30, 2635-2654 (from memory).
    Matousek, J. (1998). On the L2-discrepancy for anchored boxes. J. Complexity 14, 527-556: the scrambling, a random
    lower triangular matrix for the digits of each column and a random shift (from memory).
    """
    rng = np.random.default_rng(seed)
    found = find_spec("scipy")
    folder = Path(found.origin).parent if found is not None and found.origin is not None else Path()
    if not (folder / _FILE).is_file():
        from scipy.stats import qmc

        drawn: Array = qmc.Sobol(columns, scramble=True, seed=rng).random_base2(count.bit_length() - 1)
        return drawn
    with np.load(folder / _FILE) as numbers:
        directions = _directions(numbers["poly"][:columns].tolist(), numbers["vinit"][:columns].tolist())
    (own,) = rng.spawn(1)
    shift = own.integers(2, size=(columns, _BITS), dtype=np.uint32) @ _POWERS
    mixing = np.tril(own.integers(2, size=(columns, _BITS, _BITS), dtype=np.uint32))
    mixing[:, np.arange(_BITS), np.arange(_BITS)] = 1
    # The leading digit first, as the rows of the matrix have it.
    digits = directions[:, :, None] // _POWERS[::-1] % 2
    mixed = np.einsum("cpk,cjk->cjp", mixing, digits) % 2 @ _POWERS[::-1]
    return _rows(mixed, shift, count)


def _directions(polynomials: list[int], first: list[list[int]]) -> NDArray[np.uint32]:
    """Work out the direction numbers of each column from its primitive polynomial and its first numbers."""
    found = np.ones((len(polynomials), _BITS), dtype=np.uint32)
    for row, polynomial, known in zip(found[1:], polynomials[1:], first[1:], strict=True):
        degree = polynomial.bit_length() - 1
        numbers = known[:degree]
        for at in range(degree, _BITS):
            new = numbers[at - degree]
            for back in range(1, degree + 1):
                if polynomial >> (degree - back) & 1:
                    new ^= numbers[at - back] << back
            numbers.append(new)
        row[:] = numbers
    return found * _POWERS[::-1]


def _rows(directions: NDArray[np.uint32], shift: NDArray[np.uint32], count: int) -> Array:
    """Combine direction numbers to the rows of a sequence, in the order of the Gray code."""
    number = np.arange(count, dtype=np.uint32)
    found = np.tile(shift, (count, 1))
    for place in range(count.bit_length() - 1):
        found[(number ^ number >> 1) >> place & 1 == 1] ^= directions[:, place]
    return found / float(1 << _BITS)
