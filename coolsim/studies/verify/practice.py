"""What every workshop and every school knows."""

from __future__ import annotations

import functools
from collections.abc import Iterator

import numpy as np

from coolsim.model.films import film_on_face_up, film_on_upright_wall
from coolsim.model.materials import Inert, catalogue_inert
from coolsim.model.problem import Boundary, Contact, Problem
from coolsim.model.section import Block, Section, Span
from coolsim.scenario import built_in_pair, with_overrides
from coolsim.studies.verify.case import Case, Value, value
from coolsim.studies.verify.freezing_problems import AIR, CONDUCTION, falls_below
from coolsim.studies.verify.problems import solved
from coolsim.studies.workshop.amounts import amounts

_OUNCE = 29.5735e-6  # m3


def _fills() -> Iterator[Value]:
    brim = 8 * _OUNCE
    for share, jars in ((0.77, 6), (0.80, 5), (0.85, 5), (0.90, 5), (0.93, 5), (0.95, 4)):
        melt = {
            "batch.melt": "908 g",
            "pour.volume": f"{1e6 * share * brim:.2f} mL",
            "wax.fragrance_load": "8 %",
            "batch.left_behind": "10 g",
            "pour.temperature": "65 °C",
        }
        filled = amounts(with_overrides(built_in_pair()[0], melt)).filled
        found = np.nan if filled is None else filled.jars
        yield value(f"jars filled to {100 * share:.0f} % of the brim", found, jars, within=0.5)


POUNDS_OF_WAX = Case(
    id="P1",
    title="Two pounds of wax fill five jars",
    setup="908 g of wax with 8 % of oil in the mix, 10 g left in the pitcher, in straight jars that hold 8 fl oz to the"
    " brim. The usual fill is 85 to 90 %.",
    formulas=(r"$n = \lfloor\, (m/0.92 - 10\,\mathrm{g})/(\rho_{hot}\, V_{fill})\, \rfloor$",),
    equation="By hand: 977 g at 880 kg/m³ are 1110 mL; 222 mL in each of five are 94 % of the brim.",
    source="Common practice: five jars of eight ounces.",
    mark="no source",
    slack="A count: half a jar.",
    run=_fills,
)

_DIAMETER, _HEIGHT = 0.031, 0.050
# Water that is stirred by its own convection: a conductivity at which it has one temperature within 0.1 K.
_WATER = Inert(name="water", conductivity=600.0, density=983.0, heat_capacity=4185.0)  # handbook, 60 °C, from memory


def canister() -> Problem:
    """State the canister on its table."""
    side = functools.partial(film_on_upright_wall, height=_HEIGHT, diameter=_DIAMETER)
    top = functools.partial(film_on_face_up, diameter=_DIAMETER)
    return Problem(
        section=Section(
            radial=(Span(name="r", length=_DIAMETER / 2, cells=4), Span(name="beyond", length=0.06, cells=12)),
            axial=(Span(name="table", length=0.02, cells=6), Span(name="z", length=_HEIGHT, cells=6)),
            blocks=(
                Block(
                    part="table", material=catalogue_inert("oak"), radial=("r", "beyond"), axial=("table",), start=AIR
                ),
                Block(part="water", material=_WATER, radial=("r",), axial=("z",), start=70.0),
            ),
        ),
        boundaries=(
            Boundary(name="side", part="water", facing="outwards", film=side, emissivity=0.9),
            Boundary(name="lid", part="water", facing="up", film=top, emissivity=0.9),
            Boundary(name="table", part="table", facing="up", film=5.0, emissivity=0.9),
            Boundary(name="under", part="table", facing="down", film=5.0, emissivity=0.9),
        ),
        contacts=(Contact(parts=("table", "water"), conductance=25.0),),
        room=AIR,
        melt=CONDUCTION,
        horizon=3600.0,
        stop_when_cool=False,
    )


@functools.cache
def total_loss() -> float:
    """Loss per surface and kelvin as one reads it off a thermometer between 65 and 55 °C [W/m2/K]."""
    result = solved(canister())
    water = np.flatnonzero(np.array(result.parts)[result.block] == "water")
    temperature = result.temperatures(water).mean(axis=1)
    warm, cool = (falls_below(result.time, temperature, level) for level in (65.0, 55.0))
    surface = np.pi * _DIAMETER * (_HEIGHT + _DIAMETER / 2)
    heat = _WATER.density * _WATER.heat_capacity * np.pi * _DIAMETER**2 / 4 * _HEIGHT
    return float(heat * np.log((65.0 - AIR) / (55.0 - AIR)) / (surface * (cool - warm)))


def _hot_water() -> Iterator[Value]:
    yield value("loss, against the usual one", total_loss(), 12.0, within=3.0, unit="W/m²K")
    yield value("loss, against the range of all", total_loss(), 14.0, within=4.0, unit="W/m²K")


HOT_WATER = Case(
    id="P2",
    title="A canister of hot water cools on a table",
    setup="31 mm wide and 50 mm high, with a lid, on a table of oak, in a room of 21 °C: the loss that one reads off a"
    " thermometer between 65 and 55 °C.",
    formulas=(r"$h = \frac{m c}{A\, \Delta t}\, \ln\frac{65 - T_a}{55 - T_a}$",),
    equation="Newton's cooling of a stirred body.",
    source="As schools measure it: 10 to 18 W/m²/K, most often about 12; textbooks say 10 to 13; one run differs from"
    " the next by 1.5.",
    mark="from memory",
    slack="Twice the scatter of one run; and the range of all measurements.",
    run=_hot_water,
    problems=(("", canister),),
)
