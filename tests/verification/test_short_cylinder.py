"""A short bar that cools on all faces: the product of the solutions of the long bar and of the plate.

The tabulated numbers were computed independently from the two series; an open finite-volume library agrees with them
within 5e-5. Excess temperature over the air as a share of that at the start; Fo = alpha t/R^2, Bi = h R/k.
"""

import functools

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros

from coolsim.model.problem import Accuracy, Boundary
from coolsim.model.section import Span
from coolsim.studies.verify.problems import Layer, cylinder, inert, on_axis, run

TERMS = 60
TABULATED = 1e-6  # the numbers have six decimals
START, AIR = 121.0, 21.0
RADIUS, CONDUCTIVITY, CAPACITY = 0.04, 0.2, 1.8e6
CELLS = 40
NAMES = ("centre", "side mid", "top centre", "edge", "mean")

# Slenderness L/R with L the half height, Bi, Fo, then the shares in the order of NAMES.
CASES = [
    (1.0, 1.0, 0.2, (0.827224, 0.542082, 0.559862, 0.366879, 0.611885)),
    (1.0, 1.0, 0.5, (0.423797, 0.272536, 0.276774, 0.177988, 0.304715)),
    (1.5, 0.5, 0.2, (0.923499, 0.738297, 0.732410, 0.585530, 0.786652)),
    (1.5, 0.5, 1.0, (0.386796, 0.305832, 0.277945, 0.219766, 0.312612)),
]


def long_bar(biot, fourier):
    """Centre, surface and mean of the endless bar."""
    lower, upper = np.concatenate([[0.0], jn_zeros(1, TERMS - 1)]), jn_zeros(0, TERMS)
    z = np.array([brentq(lambda x: x * j1(x) - biot * j0(x), a, b) for a, b in zip(lower, upper, strict=True)])
    term = 2.0 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2) * np.exp(-(z**2) * fourier)
    return np.array([term.sum(), (term * j0(z)).sum(), (term * 2.0 * j1(z) / z).sum()])


def plate(biot, fourier):
    """Middle, surface and mean of the plate: z tan z = Bi, on the half thickness."""
    roots = [brentq(lambda x: x * np.sin(x) - biot * np.cos(x), n * np.pi, (n + 0.5) * np.pi) for n in range(TERMS)]
    z = np.array(roots)
    term = 4.0 * np.sin(z) / (2.0 * z + np.sin(2.0 * z)) * np.exp(-(z**2) * fourier)
    return np.array([term.sum(), (term * np.cos(z)).sum(), (term * np.sin(z) / z).sum()])


def product(slenderness, biot, fourier):
    """Shares in the order of NAMES."""
    bar, flat = long_bar(biot, fourier), plate(slenderness * biot, fourier / slenderness**2)
    return bar[0] * flat[0], bar[1] * flat[0], bar[0] * flat[1], bar[1] * flat[1], bar[2] * flat[2]


@functools.cache
def cool_short_bar(slenderness, biot, fourier, *, whole):
    """Run the whole bar, or its upper half on an insulated bottom; return the shares in the order of NAMES."""
    time = fourier * RADIUS**2 * CAPACITY / CONDUCTIVITY
    half = slenderness * RADIUS
    film = biot * CONDUCTIVITY / RADIUS
    upper = Span(name="upper half", length=half, cells=CELLS)
    lower = Span(name="lower half", length=half, cells=CELLS)
    law = functools.partial(Boundary, part="bar", film=film)
    side, top, bottom = (
        law(name="side", facing="outwards"),
        law(name="top", facing="up"),
        law(name="bottom", facing="down"),
    )
    bar = run(
        cylinder(
            [Layer(part="bar", material=inert(CONDUCTIVITY, CAPACITY), length=RADIUS, cells=CELLS, start=START)],
            axial=(lower, upper) if whole else (upper,),
            boundaries=(side, top, bottom) if whole else (side, top),
            horizon=1.05 * time,
            accuracy=Accuracy(tolerance=0.02, first_step=0.1),
        )
    )
    r, field = bar.result.grid.r, bar.at(time)[-CELLS:]
    beside, above = bar.surface("side", time)[-CELLS:], bar.surface("top", time)
    # The edge is half a cell beyond the last known place of the side surface.
    points = (on_axis(r, field[0]), beside[0], on_axis(r, above), 1.5 * beside[-1] - 0.5 * beside[-2], bar.mean(time))
    return (np.array(points) - AIR) / (START - AIR)


@pytest.mark.parametrize(("slenderness", "biot", "fourier", "shares"), CASES)
def test_product_solution_gives_the_tabulated_numbers(slenderness, biot, fourier, shares):
    assert product(slenderness, biot, fourier) == pytest.approx(shares, abs=TABULATED)


@pytest.mark.parametrize(("slenderness", "biot", "fourier", "shares"), CASES)
def test_short_bar_follows_the_product_solution(slenderness, biot, fourier, shares):
    # 1e-3: stated for 40 cells; (1/40)^2 = 6e-4 and the error of steps of 0.02 K below that.
    found = cool_short_bar(slenderness, biot, fourier, whole=True)
    assert dict(zip(NAMES, found, strict=True)) == pytest.approx(dict(zip(NAMES, shares, strict=True)), abs=1e-3)


@pytest.mark.parametrize(("slenderness", "biot", "fourier", "shares"), CASES)
def test_half_a_bar_on_an_insulated_bottom_is_half_of_the_whole_bar(slenderness, biot, fourier, shares):
    half = cool_short_bar(slenderness, biot, fourier, whole=False)
    assert dict(zip(NAMES, half, strict=True)) == pytest.approx(dict(zip(NAMES, shares, strict=True)), abs=1e-3)
    # 1e-9: the plane of symmetry carries no heat; the two grids are the same, only round-off differs.
    assert half == pytest.approx(cool_short_bar(slenderness, biot, fourier, whole=True), abs=1e-9)
