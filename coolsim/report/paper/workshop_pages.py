"""Pages of the handout for the one who teaches: what to weigh, how to mend a top with hot air, a log to fill in."""

from __future__ import annotations

import math

from matplotlib.figure import Figure

from coolsim.report.cautions import cautions
from coolsim.report.figures.style import LARGE, PAGE_WIDTH, SMALL
from coolsim.report.paper.page import Frame
from coolsim.report.paper.typeset import Writer
from coolsim.report.text.amounts import mass_text, weighed_text
from coolsim.report.text.repair import at, blown_text, verdict_text, vessel_word
from coolsim.report.text.runs import TitledRun
from coolsim.report.wording import capital, length_text, temperature_text, volume_units
from coolsim.scenario import Scenario
from coolsim.studies.fit.probe_curves import RULER
from coolsim.studies.repair.repair import Repair
from coolsim.studies.workshop.amounts import Amounts
from coolsim.studies.workshop.portions import jars_text
from coolsim.units import System, format_quantity

_BETWEEN = 0.35
_HALF = 0.5 * (PAGE_WIDTH - _BETWEEN)
_EMPTY = "______________"
_LOG = ("Clock", "Since the pour", "Thermometer 1 at", "Thermometer 2 at", "Outside of the jar", "Room", "What we saw")
_LOG_WIDTHS = (0.9, 1.2, 1.45, 1.45, 1.45, 0.9, PAGE_WIDTH - 7.35)
_LOG_TIMES = ("0:00", "0:05", "0:10", "0:20", "0:30", "0:45", "1:00", "1:30", "2:00", "3:00", "4:00", "next day")
_SEEN = ("Rim set", "Top closed", "Fully set")
_ROW = 0.115


def weigh_and_mend(
    frame: Frame, found: Amounts, run: TitledRun, scenario: Scenario, mended: Repair | str, *, units: System
) -> list[Figure]:
    """Draw what to weigh out for the batch on the left, and how hot air mends a top on the right."""
    heading = "Weigh out, and mend a top"
    pages = [frame.page(heading)]
    left = frame.writer(pages, heading, width=_HALF)
    right = frame.writer([pages[0]], heading, left=_HALF + _BETWEEN, width=_HALF)
    _weigh(left, found, units)
    left.gap(0.1)
    left.notes(0.33, size=LARGE)
    _mend(right, mended, units)
    for caution in cautions([run], [scenario], units=units, topics=("hot air", "flash points", "bath", "alone")):
        right.point(caution)
    return pages


def _weigh(column: Writer, found: Amounts, units: System) -> None:
    def mass(kilograms: float) -> str:
        return mass_text(kilograms, units)

    jars = "one jar" if found.jars == 1 else f"{found.jars} jars"
    column.text(f"To weigh out for {jars}", size=LARGE, weight="bold")
    columns = (2.4, 1.1, _HALF - 3.5)
    column.row(("", "Planned", "Weighed"), columns, size=SMALL + 1.0, bold=range(3), right=(1,), after=0.08, line=1.0)
    oil = [("Fragrance oil", mass(found.oil)), ("Together", mass(found.mix))] if found.oil else []
    each = [
        ("In each jar: wax with oil", mass(found.net_weight)),
        ("Hot wax stands", length_text(found.level_at_pour, units)),
        ("Wick, cut to" if found.wicks == 1 else f"{found.wicks} wicks, cut to", length_text(found.wick, units)),
    ]
    for what, planned in (
        ("Wax", mass(found.wax)),
        *oil,
        ("Of it stays in the pitcher", mass(found.left_behind)),
        *each,
    ):
        column.row((what, planned, ""), columns, size=LARGE, right=(1,), bold=(1,), after=0.1, line=0.4)
    if len(found.portions) > 1:
        melts = (f"{jars_text(one)}: {weighed_text(one, units)}" for one in found.portions)
        column.text(f"In {len(found.portions)} melts. {capital('; '.join(melts))}.")
    if found.oil:
        share = format_quantity(found.load, "fraction", digits=1)
        per_wax = format_quantity(found.load_of_wax, "fraction", digits=1)
        column.text(f"Oil is {share} of the mix, which is {per_wax} of the wax. Keep to the supplier's sheet.")


def _mend(column: Writer, mended: Repair | str, units: System) -> None:
    column.text("Hot air on a set top (estimates)", size=LARGE, weight="bold")
    if isinstance(mended, str):
        column.text(mended)
        return
    column.text(verdict_text(mended, units))
    vessel = vessel_word(mended)
    columns = (1.15, 1.2, 1.2, _HALF - 3.55)
    heads = ("Hot air for", "Melted in the middle", "Wax surface, hottest", f"Rim of the {vessel}")
    column.row(heads, columns, size=SMALL + 0.5, bold=range(4), after=0.06, line=1.0)
    last = mended.reaches if mended.reaches is not None else mended.hot_air.longest
    for share in (0.25, 0.5, 0.75, 1.0):
        seconds = float(math.ceil(share * last))
        cells = (
            blown_text(seconds),
            length_text(at(mended, mended.depth_in_middle, seconds), units),
            temperature_text(at(mended, mended.surface, seconds), units),
            temperature_text(at(mended, mended.rim, seconds), units),
        )
        column.row(cells, columns, size=SMALL + 1.0, bold=(0,), after=0.06, line=0.3)
    column.text(
        f"Air of {temperature_text(mended.hot_air.air, units)} at the wax, on the cold candle, the day after. Keep the"
        f" jet moving, over the middle more than at the {vessel}. Then leave the jar until it is cold again.",
        after=0.12,
    )


def log_page(frame: Frame, *, units: System) -> list[Figure]:
    """Draw a log to fill in, with the columns and the measures that a fit takes."""
    heading = "A log to fill in"
    pages = [frame.page(heading)]
    column = frame.writer(pages, heading)
    degree = "°C" if units == "metric" else "°F"
    head = (f"Jar {_EMPTY}", f"Poured at {_EMPTY}", f"Wax [{degree}] ________", f"Jar [{degree}] ________")
    column.row(head, (2.7, 2.5, 2.4, 2.4), size=LARGE, after=0.1)
    heads = [name if name in ("Clock", "Since the pour", "What we saw") else f"{name} [{degree}]" for name in _LOG]
    column.row(heads, _LOG_WIDTHS, size=SMALL + 0.5, bold=range(7), after=0.07, line=1.0)
    for time in _LOG_TIMES:
        column.row(("", time, "", "", "", "", ""), _LOG_WIDTHS, size=SMALL + 1.0, after=_ROW, line=0.4)
    column.gap(0.08)
    half = 0.5 * PAGE_WIDTH
    column.row(
        ("By the clock, when you first see it", "The next day, by ruler and syringe"),
        (half - 0.8, half + 0.8), size=LARGE, bold=range(2), after=0.06,
    )  # fmt: skip
    length = "mm" if units == "metric" else "in"
    measures = [
        f"{name.capitalize()} [{length if sight.kind == 'length' else volume_units(units)[1]}] ________  {sight.means}"
        for name, sight in RULER.items()
    ]
    timed = [f"{name} ________ (give or take ______)" for name in _SEEN]
    for number, measure in enumerate(measures):
        cells = (timed[number] if number < len(timed) else "", measure)
        column.row(cells, (half - 0.8, half + 0.8), size=SMALL + 1.0, after=0.07)
    column.text(
        "Write down how deep and how far from the middle each thermometer stands. Typed into a table with these columns"
        " and saved as CSV, the readings are what `coolsim fit` takes; what the eye, the ruler and the syringe found go"
        " behind --seen.",
        size=SMALL + 0.5,
    )
    return pages
