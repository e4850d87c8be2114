"""Bars that cool through a film: the long one and the short one."""

from __future__ import annotations

import functools
from collections.abc import Iterator

import numpy as np
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros

from coolsim.model.problem import Accuracy, Boundary, Problem
from coolsim.model.section import Array, Span
from coolsim.studies.verify.case import Case, Value, value
from coolsim.studies.verify.problems import Layer, Run, cylinder, inert, on_axis, orders, run

_TERMS = 200
_START, _AIR = 121.0, 21.0
_RADIUS, _CONDUCTIVITY, _CAPACITY = 0.04, 0.2, 1.8e6

POINTS = (
    (0.5, 0.1, 0.987538, 0.819620, 0.911968),
    (0.5, 1.0, 0.459846, 0.363591, 0.410815),
    (1.0, 0.1, 0.976817, 0.684565, 0.843266),
    (1.0, 0.5, 0.548586, 0.352786, 0.447384),
    (2.0, 0.5, 0.372397, 0.169748, 0.265390),
    (5.0, 0.2, 0.671418, 0.158917, 0.396197),
)
"""Bi and Fo of the long bar, then the shares at centre and surface and in the mean."""

SHORT_POINTS = (
    (1.0, 1.0, 0.2, (0.827224, 0.542082, 0.559862, 0.366879, 0.611885)),
    (1.0, 1.0, 0.5, (0.423797, 0.272536, 0.276774, 0.177988, 0.304715)),
    (1.5, 0.5, 0.2, (0.923499, 0.738297, 0.732410, 0.585530, 0.786652)),
    (1.5, 0.5, 1.0, (0.386796, 0.305832, 0.277945, 0.219766, 0.312612)),
)
"""Slenderness L/R of the short bar with L the half height, Bi, Fo, then the shares in the order of `SHORT_NAMES`."""

SHORT_NAMES = ("centre", "side, mid-height", "top, centre", "edge", "mean")

_INDEPENDENT = "The numbers were computed independently from the series"


@functools.cache
def eigenvalues(biot: float) -> Array:
    """Roots of z J1(z) = Bi J0(z) [-], one between each zero of J1 and the next zero of J0."""
    lower = np.concatenate([[0.0], jn_zeros(1, _TERMS - 1)])
    upper = jn_zeros(0, _TERMS)
    return np.array(
        [brentq(lambda z: z * j1(z) - biot * j0(z), a, b, xtol=1e-14) for a, b in zip(lower, upper, strict=True)]
    )


def series(biot: float, fourier: float) -> Array:
    """Centre, surface and mean of the long bar [-]."""
    z = eigenvalues(biot)
    term = 2.0 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2) * np.exp(-(z**2) * fourier)
    return np.array([term.sum(), (term * j0(z)).sum(), (term * 2.0 * j1(z) / z).sum()])


def cool_bar(biot: float, fourier: float, *, cells: int = 50) -> tuple[Run, float]:
    """Run the bar of some cells [-] a little beyond Fo [-] at Bi [-], and return it with the time of Fo [s]."""
    time = fourier * _RADIUS**2 * _CAPACITY / _CONDUCTIVITY
    problem = cylinder(
        [Layer(part="bar", material=inert(_CONDUCTIVITY, _CAPACITY), length=_RADIUS, cells=cells, start=_START)],
        boundaries=[Boundary(name="side", part="bar", facing="outwards", film=biot * _CONDUCTIVITY / _RADIUS)],
        # The surface is known in the middle of steps, so the run goes on for a moment.
        horizon=1.05 * time,
        accuracy=Accuracy(tolerance=0.003, first_step=0.05),
    )
    return run(problem), time


def _share(temperature: float) -> float:
    return (temperature - _AIR) / (_START - _AIR)


def _long_bar() -> Iterator[Value]:
    for biot, fourier, *shares in POINTS:
        bar, time = cool_bar(biot, fourier)
        found = on_axis(bar.result.grid.r, bar.at(time)[0]), float(bar.surface("side", time)[0]), bar.mean(time)
        for name, temperature, share in zip(("centre", "surface", "mean"), found, shares, strict=True):
            yield value(f"Bi {biot:g}, Fo {fourier:g}: {name}", _share(temperature), share, within=5e-4, span=1.0)
        whole = np.pi * _RADIUS**2 * _CAPACITY * (_START - _AIR)
        yield value(
            f"Bi {biot:g}, Fo {fourier:g}: heat lost", bar.lost("side", time) / whole, 1.0 - shares[2], within=1e-4
        )


def _orders() -> Iterator[Value]:
    biot, fourier = 2.0, 0.5
    exact = float(series(biot, fourier)[0])
    errors = []
    for cells in (5, 10, 20):
        bar, time = cool_bar(biot, fourier, cells=cells)
        errors.append(_share(on_axis(bar.result.grid.r, bar.at(time)[0])) - exact)
    yield from orders("centre", (5, 10, 20), errors, within=0.2)


LONG_BAR = Case(
    id="C1",
    title="A long bar cools through a film",
    setup="A bar without ends, all of one temperature, is put into colder air. Shares of the excess over the air, after"
    " the Fourier number Fo = αt/R²; Bi = hR/k. Fifty cells along the radius.",
    formulas=(
        r"$\theta = \sum_n C_n\, e^{-\zeta_n^2 Fo}\, J_0(\zeta_n r/R)$",
        r"$\zeta_n J_1(\zeta_n) = Bi\, J_0(\zeta_n)$",
        r"$C_n = \frac{2}{\zeta_n}\, \frac{J_1(\zeta_n)}{J_0^2(\zeta_n) + J_1^2(\zeta_n)}$",
    ),
    equation="The series of Bessel functions.",
    source="Bergman, Lavine, Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, 2011. "
    + _INDEPENDENT
    + " with 200 terms.",
    mark="published",
    slack="5e-4: of second order on 50 cells, (1/50)² = 4e-4; steps that err by 0.003 K add less than 5e-5. Of the"
    " heat 1e-4: errors of the profile cancel in its mean. Orders within 0.2: one of first order would show 1.",
    run=_long_bar,
    orders=_orders,
    problems=(("", lambda: cool_bar(2.0, 0.5)[0].problem),),
)


def plate(biot: float, fourier: float) -> Array:
    """Middle, surface and mean of the plate [-]: z tan z = Bi [-], on the half thickness, after Fo [-]."""
    roots = [brentq(lambda x: x * np.sin(x) - biot * np.cos(x), n * np.pi, (n + 0.5) * np.pi) for n in range(60)]
    z = np.array(roots)
    term = 4.0 * np.sin(z) / (2.0 * z + np.sin(2.0 * z)) * np.exp(-(z**2) * fourier)
    return np.array([term.sum(), (term * np.cos(z)).sum(), (term * np.sin(z) / z).sum()])


def product(slenderness: float, biot: float, fourier: float) -> tuple[float, ...]:
    """Shares [-] of the short bar of a slenderness [-] at Bi [-] and Fo [-], in the order of `SHORT_NAMES`."""
    bar, flat = series(biot, fourier), plate(slenderness * biot, fourier / slenderness**2)
    return bar[0] * flat[0], bar[1] * flat[0], bar[0] * flat[1], bar[1] * flat[1], bar[2] * flat[2]


def short_bar(
    slenderness: float, biot: float, fourier: float, *, whole: bool = True, cells: int = 40
) -> tuple[Problem, float]:
    """State the whole bar, or its upper half on an insulated bottom, and return it with the time of Fo [s].

    It has a slenderness [-], Bi [-], cells to the radius [-], and is looked at after Fo [-].
    """
    time = fourier * _RADIUS**2 * _CAPACITY / _CONDUCTIVITY
    half = slenderness * _RADIUS
    upper = Span(name="upper half", length=half, cells=cells)
    lower = Span(name="lower half", length=half, cells=cells)
    law = functools.partial(Boundary, part="bar", film=biot * _CONDUCTIVITY / _RADIUS)
    side, top, bottom = (
        law(name="side", facing="outwards"),
        law(name="top", facing="up"),
        law(name="bottom", facing="down"),
    )
    problem = cylinder(
        [Layer(part="bar", material=inert(_CONDUCTIVITY, _CAPACITY), length=_RADIUS, cells=cells, start=_START)],
        axial=(lower, upper) if whole else (upper,),
        boundaries=(side, top, bottom) if whole else (side, top),
        horizon=1.05 * time,
        accuracy=Accuracy(tolerance=0.02, first_step=0.1),
    )
    return problem, time


@functools.cache
def cool_short_bar(slenderness: float, biot: float, fourier: float, *, whole: bool, cells: int = 40) -> Array:
    """Run such a bar; shares in the order of `SHORT_NAMES` [-]."""
    problem, time = short_bar(slenderness, biot, fourier, whole=whole, cells=cells)
    bar = run(problem)
    r, field = bar.result.grid.r, bar.at(time)[-cells:]
    beside, above = bar.surface("side", time)[-cells:], bar.surface("top", time)
    # The edge is half a cell beyond the last known place of the side surface.
    points = (on_axis(r, field[0]), beside[0], on_axis(r, above), 1.5 * beside[-1] - 0.5 * beside[-2], bar.mean(time))
    return (np.array(points) - _AIR) / (_START - _AIR)


def _short_bar() -> Iterator[Value]:
    for slenderness, biot, fourier, shares in SHORT_POINTS:
        found = cool_short_bar(slenderness, biot, fourier, whole=True)
        for name, computed, share in zip(SHORT_NAMES, found, shares, strict=True):
            yield value(
                f"L/R {slenderness:g}, Bi {biot:g}, Fo {fourier:g}: {name}", computed, share, within=1e-3, span=1.0
            )


def _short_orders() -> Iterator[Value]:
    cells = (5, 10, 20)
    exact = product(1.0, 1.0, 0.2)
    # By symmetry the upper half is enough.
    errors = [cool_short_bar(1.0, 1.0, 0.2, whole=False, cells=one) - exact for one in cells]
    for name in ("centre", "edge"):
        yield from orders(name, cells, [one[SHORT_NAMES.index(name)] for one in errors], within=0.4)


SHORT_BAR = Case(
    id="C2",
    title="A short bar cools on all faces",
    setup="A cylinder whose half height L is 1 or 1.5 radii R, all of one temperature, is put into colder air. Shares"
    " of the excess over the air. Forty cells along the radius and along each half.",
    formulas=(
        r"$\theta = \theta_{bar}(Bi, Fo)\; \theta_{plate}(Bi\,L/R,\; Fo\,R^2/L^2)$",
        r"plate: $\zeta_n \tan\zeta_n = Bi\,L/R$",
        r"$C_n = \frac{4 \sin\zeta_n}{2\zeta_n + \sin 2\zeta_n}$",
    ),
    equation="The product of the solutions of the long bar and of the plate.",
    source="Textbook product solution, from memory. " + _INDEPENDENT + "; an open finite-volume library agrees with"
    " them within 5e-5.",
    mark="this project",
    slack="1e-3 on 40 cells: (1/40)² = 6e-4, and the error of steps of 0.02 K is below that. Orders within 0.4: on 20"
    " cells the steps show.",
    run=_short_bar,
    orders=_short_orders,
    problems=(("", lambda: short_bar(1.0, 1.0, 0.2)[0]),),
)
