"""Freezing from a cold wall into a deep melt, against similarity solutions."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.special import erf, erfc

from coolsim.model.materials import Wax
from coolsim.model.problem import Accuracy, Boundary
from coolsim.model.section import Array, Span
from coolsim.studies.verify.case import Case, Value, value
from coolsim.studies.verify.problems import FIXED, Layer, Run, column, cylinder, orders, reference_wax, run, wax

_ROOT_PI = np.sqrt(np.pi)
SHARP = 0.1
"""Width of the range that stands for a freezing point [K]."""

_CONTRAST = 30.0  # freezing point less wall in the runs without units [K]
FREEZES = 55.0


HOUR = 3600.0


def one_region(stefan: float) -> float:
    """Root of sqrt(pi) lam exp(lam^2) erf(lam) = Ste [-]."""
    return float(brentq(lambda x: _ROOT_PI * x * np.exp(x * x) * erf(x) - stefan, 1e-9, 5.0, xtol=1e-14))


def two_regions(stefan_solid: float, stefan_liquid: float, ratio: float) -> float:
    """Root lam of the balance at the front [-], of Stefan numbers [-]; `ratio` is alpha_s/alpha_l [-]."""

    def balance(x: float) -> float:
        solid = stefan_solid * np.exp(-x * x) / erf(x)
        liquid = stefan_liquid * np.exp(-ratio * x * x) / (np.sqrt(ratio) * erfc(x * np.sqrt(ratio)))
        return float((solid - liquid) / _ROOT_PI - x)

    return float(brentq(balance, 1e-9, 3.0, xtol=1e-14))


def freeze(
    material: Wax,
    *,
    start: float,
    wall: float,
    depth: float,
    horizon: float,
    cells: int,
    stretch: float = 30.0,
    radial: bool = False,
) -> Run:
    """Run a melt that lies on a wall, or round a pipe of 100 m radius, where a layer does not feel the curvature.

    Melt and wall start at temperatures [°C]; it is some depth [m] of cells [-] that stretch [-], up to a horizon [s].
    """
    layer = Layer(part="wax", material=material, length=depth, cells=cells, start=start, finer="start", stretch=stretch)
    accuracy = Accuracy(tolerance=0.05, first_step=1e-3)
    if radial:
        radius = 100.0
        law = Boundary(name="wall", part="wax", facing="inwards", film=FIXED, air=wall)
        ring = Span(name="height", length=1.0 / (2 * np.pi * radius), cells=1)  # 1 m2 at the wall
        problem = cylinder(
            [layer], boundaries=[law], horizon=horizon, inner_radius=radius, axial=(ring,), accuracy=accuracy
        )
    else:
        law = Boundary(name="wall", part="wax", facing="down", film=FIXED, air=wall)
        problem = column([layer], boundaries=[law], horizon=horizon, accuracy=accuracy)
    return run(problem)


def sharp(point: float, width: float = SHARP) -> tuple[float, float]:
    """Return the range of a width [K] about a freezing point [°C]."""
    return (point - 0.5 * width, point + 0.5 * width)


# --- one and two regions ------------------------------------------------------------------------------

TWO_REGIONS = (
    (0.1, 0.0, 0.220016),
    (0.1, 0.1, 0.193280),
    (0.1, 0.2, 0.171275),
    (0.1, 0.3, 0.153014),
    (0.3, 0.0, 0.369880),
    (0.3, 0.1, 0.339409),
    (0.3, 0.2, 0.313147),
    (0.3, 0.3, 0.290309),
    (0.5, 0.0, 0.464786),
    (0.5, 0.1, 0.432619),
    (0.5, 0.2, 0.404485),
    (0.5, 0.3, 0.379660),
)
"""Stefan numbers of solid and liquid, and lam for alpha_s/alpha_l = 1.5; computed independently."""


def deep_melt(stefan_solid: float, stefan_liquid: float, root: float, *, finer: float = 1.0) -> tuple[Run, float]:
    """Run a melt of Stefan numbers [-] for an hour, and return it with its front by the root lam [-], [m].

    On cells so many times as fine [-].
    """
    latent = 180e3
    capacity = stefan_solid * latent / _CONTRAST
    material = wax(
        conductivity=(0.24, 0.16),  # alpha_s/alpha_l = 1.5 with one heat capacity
        heat_capacity=(capacity, capacity),
        density=850.0,
        latent_heat=latent,
        freezing=sharp(FREEZES),
    )
    alpha = 0.24 / (850.0 * capacity)
    front = 2 * root * np.sqrt(alpha * HOUR)
    # Without superheat the melt at the upper end of the range is at rest and need not be deep.
    return freeze(
        material,
        start=sharp(FREEZES)[1] + _CONTRAST * stefan_liquid / stefan_solid,
        wall=FREEZES - _CONTRAST,
        depth=1.5 * front if stefan_liquid == 0 else front + 6.5 * np.sqrt(alpha * HOUR / 1.5),
        horizon=HOUR,
        cells=round(finer * (50 if stefan_liquid == 0 else 90)),
        stretch=5.0 if stefan_liquid == 0 else 60.0,
    ), front


def _every_stefan_number() -> Iterator[Value]:
    for stefan_solid, stefan_liquid, root in (*TWO_REGIONS, (0.2, 0.0, 0.30642391), (1.0, 0.0, 0.62006263)):
        cooling, front = deep_melt(stefan_solid, stefan_liquid, root)
        found = 1e3 * cooling.frozen_depth(HOUR)
        name = f"Ste {stefan_solid:g} solid, {stefan_liquid:g} liquid: front"
        yield value(name, found, 1e3 * front, share=5e-3, unit="mm")


EVERY_STEFAN_NUMBER = Case(
    id="C5",
    title="A front at a freezing point, one and two regions",
    setup="A deep melt lies on a wall 30 °C below its freezing point for an hour; αs/αl = 1.5. The point is a range of"
    " 0.1 °C. Ste is the sensible heat of each side over the latent heat; 0 in the liquid: no superheat.",
    formulas=(
        r"$X = 2 \lambda \sqrt{\alpha_s t}$",
        r"$\frac{Ste_s\, e^{-\lambda^2}}{\mathrm{erf}\,\lambda} - \frac{Ste_l\, e^{-\nu \lambda^2}}"
        r"{\sqrt{\nu}\,\mathrm{erfc}(\lambda\sqrt{\nu})} = \sqrt{\pi}\,\lambda$",
        r"$\nu = \alpha_s/\alpha_l$",
    ),
    equation="The similarity solutions of Stefan (one region) and Neumann (two).",
    source="Textbook solutions, from memory; the roots to six digits and more were computed independently.",
    mark="this project",
    slack="0.5 % of the front: it crosses 35 to 40 cells, each of which holds it up until it is frozen. So its error"
    " goes to and fro from grid to grid; the order is that of the heat, in C6.",
    run=_every_stefan_number,
    problems=(("", lambda: deep_melt(*TWO_REGIONS[5])[0].problem),),
)

REFERENCE = (
    (600.0, 6.2685e-3, 1354.778),
    (1800.0, 10.8574e-3, 782.182),
    (3600.0, 15.3547e-3, 553.086),
    (7200.0, 21.7149e-3, 391.091),
)
"""The reference wax from 75 °C against a wall at 21 °C: time [s], front [m] and flux into the wall [W/m2]."""


@functools.cache
def reference_run(direction: str = "axial", width: float = SHARP, cells: int = 160) -> Run:
    """Run the reference wax in a direction, its freezing range of a width [K], on cells [-]."""
    return freeze(
        reference_wax(sharp(FREEZES, width)),
        start=75.0,
        wall=21.0,
        depth=0.16,  # 6.6 sqrt(alpha t) of the melt after two hours: nothing is felt at its far end
        horizon=7600.0,
        cells=cells,
        radial=direction == "radial",
    )


def _reference() -> Iterator[Value]:
    for direction, called in (("axial", "on a floor"), ("radial", "round a pipe")):
        cooling = reference_run(direction)
        for time, front, flux in REFERENCE:
            where = f"{called}, {time:.0f} s"
            # The flux must be a mean because a cell that freezes holds it up.
            mean = (cooling.lost("wall", 1.05 * time) - cooling.lost("wall", 0.95 * time)) / (0.1 * time)
            yield value(f"{where}: front", 1e3 * cooling.frozen_depth(time), 1e3 * front, share=5e-3, unit="mm")
            lost = 1e-6 * cooling.lost("wall", time)
            yield value(f"{where}: heat", lost, 2e-6 * flux * time, share=3e-3, unit="MJ/m²")
            yield value(f"{where}: flux", mean, flux, share=3e-3, unit="W/m²")


def _reference_orders() -> Iterator[Value]:
    time, _, flux = REFERENCE[2]
    cells = (40, 80)
    errors = [reference_run(cells=one).lost("wall", time) / (2 * flux * time) - 1 for one in cells]
    yield from orders("heat", cells, errors)


REFERENCE_WAX = Case(
    id="C6",
    title="Wax freezes on a cold wall",
    setup="Wax of round numbers at 75 °C, k 0.24 solid and 0.16 liquid, 180 kJ/kg at 55 °C, against a wall at 21 °C:"
    " on a floor, and round a pipe so wide that it is flat. 160 cells.",
    formulas=(
        r"$X = 2 \lambda \sqrt{\alpha_s t}$",
        r"$q = \frac{k_s\,(T_f - T_w)}{\mathrm{erf}\,\lambda\, \sqrt{\pi \alpha_s t}}, \quad Q = 2 q t$",
    ),
    equation="Neumann's solution, λ = 0.348959.",
    source="Textbook solution, from memory; the numbers were computed independently.",
    mark="this project",
    slack="0.5 % of the front: a cell is 1 to 2 % of it. 0.3 % of heat and flux; the flux is that of a tenth of the"
    " time, whose curvature makes 0.03 %.",
    run=_reference,
    orders=_reference_orders,
    problems=(("", lambda: reference_run().problem),),
)

# --- three zones ----------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Zones:
    """Frozen wax, mush and melt: k [W/m/K] and rho c [J/m3/K] of each, and the heat of freezing [J/m3].

    Wall, solidus, liquidus and start are temperatures [°C].
    """

    wall: float
    solidus: float
    liquidus: float
    start: float
    conductivity: tuple[float, float, float]
    capacity: tuple[float, float, float]
    latent: float
    mush_follows_fraction: bool

    def mush_conductivity(self, temperature: float) -> float:
        """Give k of the mush [W/m/K] at a temperature [°C]: one value, or straight from frozen to liquid."""
        frozen, mush, liquid = self.conductivity
        if not self.mush_follows_fraction:
            return mush
        return frozen + (liquid - frozen) * (temperature - self.solidus) / (self.liquidus - self.solidus)

    @functools.cached_property
    def fronts(self) -> tuple[float, float, Any]:
        """Solidus and liquidus as x/sqrt(t) [m/s^0.5], and the mush between as a function of that."""
        at = float(brentq(lambda x: self._shot(x)[0], *self._bracket(), xtol=1e-16))
        _, liquidus, mush = self._shot(at)
        return at, liquidus, mush

    def _bracket(self) -> tuple[float, float]:
        # Near the wall the flux is too large, far from it too small.
        places = np.geomspace(0.02, 2.0, 40) * np.sqrt(self.conductivity[0] / self.capacity[0])
        return next((float(near), float(far)) for near, far in pairwise(places) if self._shot(far)[0] < 0.0)

    def _shot(self, at: float) -> tuple[float, float, Any]:
        """Imbalance of the flux at the liquidus, the liquidus and the mush if the solidus is `at`."""
        alpha = self.conductivity[0] / self.capacity[0]
        flux = self.conductivity[0] * (self.solidus - self.wall) * _gauss(at, alpha) / erf(at / (2 * np.sqrt(alpha)))
        capacity = self.capacity[1] + self.latent / (self.liquidus - self.solidus)

        def slopes(x: float, state: Array) -> list[float]:
            gradient = state[1] / self.mush_conductivity(state[0])
            return [gradient, -0.5 * x * capacity * gradient]

        def reached(_: float, state: Array) -> float:
            return float(state[0] - self.liquidus)

        reached.terminal = True  # type: ignore[attr-defined]
        # A flux of this kind has died away, as exp(-x^2), ten of its own lengths farther.
        end = at + 20.0 * np.sqrt(max(self.conductivity) / capacity)
        mush = solve_ivp(
            slopes, (at, end), [self.solidus, flux], events=reached, rtol=1e-10, atol=1e-12, dense_output=True
        )
        if not len(mush.t_events[0]):
            return -flux, np.inf, mush.sol  # the heat is used up in the mush: too little flux
        liquidus, flux = mush.t_events[0][0], mush.y_events[0][0][1]
        alpha = self.conductivity[2] / self.capacity[2]
        needed = self.conductivity[2] * (self.start - self.liquidus) * _gauss(liquidus, alpha)
        return flux - needed / erfc(liquidus / (2 * np.sqrt(alpha))), liquidus, mush.sol

    def roots(self) -> tuple[float, float]:
        """Front positions as gamma and psi of the published solution: gamma by the mush, psi by the frozen zone [-]."""
        solidus, liquidus, _ = self.fronts
        capacity = self.capacity[1] + self.latent / (self.liquidus - self.solidus)
        gamma = liquidus / (2 * np.sqrt(self.conductivity[1] / capacity))
        return gamma, solidus / (2 * np.sqrt(self.conductivity[0] / self.capacity[0]))

    def wall_flux(self, time: float) -> float:
        """Heat flow into the wall [W/m2] at a time [s]."""
        alpha = self.conductivity[0] / self.capacity[0]
        gradient = (self.solidus - self.wall) / erf(self.roots()[1]) / np.sqrt(np.pi * alpha * time)
        return float(self.conductivity[0] * gradient)

    def temperature(self, x: Array, time: float) -> Array:
        """Temperature at depths [m] after a time [s]."""
        solidus, liquidus, mush = self.fronts
        place = x / np.sqrt(time)
        frozen, melt = (2 * np.sqrt(self.conductivity[n] / self.capacity[n]) for n in (0, 2))
        in_frozen = self.wall + (self.solidus - self.wall) * erf(place / frozen) / erf(solidus / frozen)
        in_melt = self.start - (self.start - self.liquidus) * erfc(place / melt) / erfc(liquidus / melt)
        in_mush = mush(np.clip(place, solidus, liquidus))[0]
        field: Array = np.where(place < solidus, in_frozen, np.where(place < liquidus, in_mush, in_melt))
        return field


def _gauss(place: float, alpha: float) -> float:
    return float(np.exp(-(place**2) / (4 * alpha)) / np.sqrt(np.pi * alpha))


SOIL = functools.partial(
    Zones,
    wall=-6.0,
    liquidus=0.0,
    start=4.0,
    conductivity=(3.462696, 2.939946, 2.417196),
    capacity=(690030.0, 690030.0, 690030.0),
    latent=1680 * 334560 * (0.2 - 0.0782),
)
"""Parameters as published with an open soil-freezing code, for its comparison with Lunardini's solution."""

SOIL_FRONTS = ((-1.0, 2.060039, 0.137387, 0.249712, 0.180928), (-4.0, 1.397316, 0.061727, 0.333797, 0.081290))
"""Solidus [°C]; gamma, psi [-]; liquidus and solidus after 24 h [m]."""

WAX_ZONES = functools.partial(
    Zones,
    wall=21.0,
    solidus=50.0,
    liquidus=57.0,
    start=75.0,
    conductivity=(0.24, 0.20, 0.16),
    capacity=(850 * 2100.0, 850 * 2200.0, 850 * 2300.0),
    latent=850 * 180e3,
)
DAY = 86400.0


def frozen_soil(solidus: float, *, alike: bool, cells: int = 200) -> tuple[Run, Zones]:
    """Run the soil down to a solidus [°C] on cells [-], with one conductivity or not, and return it with its zones."""
    if alike:
        zones = SOIL(solidus=solidus, conductivity=(2.939946,) * 3, mush_follows_fraction=False)
    else:
        zones = SOIL(solidus=solidus, mush_follows_fraction=True)
    material = wax(
        conductivity=(zones.conductivity[0], zones.conductivity[2]),
        heat_capacity=(690.03, 690.03),
        density=1000.0,
        latent_heat=zones.latent / 1000.0,
        freezing=(solidus, 0.0),
    )
    # The depth is 6.4 sqrt(alpha t) after a day.
    return freeze(material, start=4.0, wall=-6.0, depth=3.5, horizon=DAY, cells=cells), zones


def _soil() -> Iterator[Value]:
    for solidus, alike in ((-1.0, True), (-1.0, False), (-4.0, True), (-4.0, False)):
        soil, zones = frozen_soil(solidus, alike=alike)
        z, found = soil.result.grid.z, soil.at(DAY)[:, 0]
        solid, liquid = (1e3 * float(np.interp(level, found, z)) for level in (solidus, 0.0))
        where = f"to −{-solidus:g} °C, {'one k' if alike else 'k by liquid share'}"
        yield value(f"{where}: solidus at", solid, 1e3 * zones.fronts[0] * np.sqrt(DAY), within=1.0, unit="mm")
        yield value(f"{where}: liquidus at", liquid, 1e3 * zones.fronts[1] * np.sqrt(DAY), within=1.0, unit="mm")
        off = np.abs(found - zones.temperature(z, DAY)).max()
        yield value(f"{where}: largest error of cells", off, 0.0, within=0.03, unit="°C", span=10.0)
        if solidus == -1.0 and not alike:
            # A narrow mush is little changed by the law of its conductivity: the published field and solidus hold, too.
            published = SOIL(solidus=solidus, mush_follows_fraction=False)
            off = np.abs(found - published.temperature(z, DAY)).max()
            yield value("published field: largest error", off, 0.0, within=0.03, unit="°C", span=10.0)
            yield value("published solidus at", solid, 1e3 * SOIL_FRONTS[0][4], within=1.0, unit="mm")


def _soil_orders() -> Iterator[Value]:
    cells, errors = (25, 50), []
    for one in cells:
        soil, zones = frozen_soil(-4.0, alike=False, cells=one)
        errors.append(soil.lost("wall", DAY) / (2 * zones.wall_flux(DAY) * DAY) - 1)
    yield from orders("heat, to −4 °C", cells, errors)


FROZEN_SOIL = Case(
    id="T3",
    title="Soil freezes over a range",
    setup="Wet soil at 4 °C against a wall at −6 °C for a day; it freezes from 0 to −1 or to −4 °C. The published"
    " solution has one conductivity in the mush; here it goes with the liquid share, so the same equation is solved"
    " for both. 200 cells.",
    formulas=(
        r"$x_s = 2 \psi \sqrt{\alpha_1 t}, \quad x_l = 2 \gamma \sqrt{\alpha_4 t}$",
        r"$\alpha_4 = \frac{k_2}{C_2 + L/(T_l - T_s)}$",
    ),
    equation="Frozen, mush and melt, each a similarity solution: Lunardini's three zones.",
    source="Parameters as published with an open soil-freezing code (first case of the InterFrost benchmark); roots and"
    " fronts recomputed independently to six digits.",
    mark="published",
    slack="0.03 °C and 1 mm: the fronts lie in cells of 2 to 8 mm and are read between their middles.",
    run=_soil,
    orders=_soil_orders,
    problems=(("", lambda: frozen_soil(-1.0, alike=False)[0].problem),),
)


def frozen_wax(cells: int = 200) -> Run:
    """Run the wax that freezes over a range on cells [-]."""
    return freeze(reference_wax((50.0, 57.0)), start=75.0, wall=21.0, depth=0.11, horizon=3900.0, cells=cells)


def _wax_zones() -> Iterator[Value]:
    zones = WAX_ZONES(mush_follows_fraction=True)
    cooling = frozen_wax()
    z, found = cooling.result.grid.z, cooling.at(3600.0)[:, 0]
    solid, liquid = (1e3 * float(np.interp(level, found, z)) for level in (50.0, 57.0))
    flux = cooling.lost("wall", 3600.0) / 7200.0
    yield value("solidus after 1 h", solid, 6e4 * zones.fronts[0], share=5e-3, unit="mm")
    yield value("liquidus after 1 h", liquid, 6e4 * zones.fronts[1], share=5e-3, unit="mm")
    yield value("flux into the wall", flux, zones.wall_flux(3600.0), share=3e-3, unit="W/m²")
    off = np.abs(found - zones.temperature(z, 3600.0)).max()
    yield value("largest error of all cells", off, 0.0, within=0.2, unit="°C", span=54.0)
    # With one conductivity of 0.20 W/m/K in the mush, the mean of the two, the frozen side is the same within 0.5 %.
    yield value("solidus, tabulated with one k", solid, 13.0938, share=5e-3, unit="mm")
    yield value("flux, tabulated with one k", flux, 547.2846, share=3e-3, unit="W/m²")


def _wax_orders() -> Iterator[Value]:
    cells, heat = (25, 50, 100), 2 * HOUR * WAX_ZONES(mush_follows_fraction=True).wall_flux(HOUR)
    yield from orders("heat", cells, [frozen_wax(one).lost("wall", HOUR) / heat - 1 for one in cells])


FROZEN_WAX = Case(
    id="C7",
    title="Wax freezes over a range",
    setup="The wax of round numbers at 75 °C, freezing from 57 to 50 °C, against a wall at 21 °C for an hour. 200"
    " cells.",
    formulas=FROZEN_SOIL.formulas,
    equation="The three zones, with a conductivity that goes with the liquid share.",
    source="The similarity equation, solved here by scipy; with one conductivity in the mush the numbers were computed"
    " independently, to eight digits.",
    mark="this project",
    slack="0.5 % of the fronts, 0.3 % of the flux and 0.2 °C, as for a sharp front.",
    run=_wax_zones,
    orders=_wax_orders,
    problems=(("", lambda: frozen_wax().problem),),
)
