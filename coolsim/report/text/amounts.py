"""What a batch takes, as text and as data."""

from __future__ import annotations

from typing import Any

from coolsim.report.blocks import Block, Column, Note, Row, Table
from coolsim.report.text.page import as_text
from coolsim.report.wording import keyed, length_text, listed
from coolsim.studies.workshop.amounts import Amounts, Cost
from coolsim.studies.workshop.portions import Portion, jars_text
from coolsim.units import System, format_quantity, parse_quantity

NOTE = (
    "A load is stated in two ways: as oil in the mix of wax and oil, which is what coolsim takes, and as oil per wax,"
    " which many makers weigh by. The allowed range is common practice without a source unless you state that of the"
    " supplier's sheet (batch.lowest_load, batch.highest_load). The level after setting is a mean: the wax is drawn"
    " down while it is soft, and what it loses after that stays in it as void (`coolsim run` tells both). It depends on"
    " wax.total_shrinkage and [mush], what stays in the pitcher on batch.left_behind, and all masses or levels on the"
    " density of the liquid: estimates unless you state your own. A wick is cut to reach from the base to the holder on"
    " the rim (wick.holder), or wick.trim out of the wax: common practice without a source."
)
"""What a reader of the table must know."""

_POUND, _FEW_GRAMS = parse_quantity("1 lb", "mass"), 10e-3


def mass_text(kilograms: float, units: System) -> str:
    """Write a mass [kg] as a kitchen scale shows it: to 1 g or 0.01 oz, below 10 g and from 1 lb on to a tenth."""
    fine, usual = (2, None) if units == "us" else (1, 0)
    small = kilograms < _POUND if units == "us" else 0.0 < kilograms < _FEW_GRAMS
    return format_quantity(kilograms, "mass", system=units, digits=fine if small else usual)


def amounts_blocks(title: str, found: Amounts, *, units: System) -> list[Block]:
    """Write what a batch takes under the title of its scenario.

    Examples
    --------
    >>> from coolsim import amounts, built_in_pair, with_overrides
    >>> print(amounts_text("Tea", amounts(with_overrides(built_in_pair()[0], {"batch.jars": 6})), units="metric"))
    Amounts: Tea
    <BLANKLINE>
    To weigh for 6 jars
      Wax                                                   1155 g
    ...
    """

    def mass(kilograms: float) -> str:
        return mass_text(kilograms, units)

    def share(fraction: float) -> str:
        return format_quantity(fraction, "fraction", digits=1)

    rows: list[Row] = [
        f"To weigh for {_jars(found.jars)}",
        ("  Wax", mass(found.wax)),
        ("  Fragrance oil", mass(found.oil)),
        ("  Together", mass(found.mix)),
        ("  of it, stays in the pitcher", mass(found.left_behind)),
        "Oil",
        ("  In the mix (wax.fragrance_load)", share(found.load)),
        ("  Allowed in the mix", " to ".join(share(one) for one in found.allowed)),
        ("  Per wax", share(found.load_of_wax)),
        "In each jar",
        ("  Net weight", mass(found.net_weight)),
        ("  Wax", mass(found.wax_each)),
        ("  Fragrance oil", mass(found.oil_each)),
        ("  Volume of the hot wax", format_quantity(found.fill_volume, "volume", system=units)),
        ("  Share of the brimful jar", share(found.fill_volume / found.brim_volume)),
        ("  Level at the pour", length_text(found.level_at_pour, units)),
        ("  Level after setting, mean", length_text(found.level_set, units)),
        ("  Brim", length_text(found.rim, units)),
    ]
    if len(found.portions) > 1:
        rows.append(f"In {len(found.portions)} melts, each with what stays in the pitcher")
        rows += [(f"  Melt {one.number}, {jars_text(one)}", weighed_text(one, units)) for one in found.portions]
    rows += [
        "To lay out",
        ("  Jars, lids, labels: of each", str(found.jars)),
        ("  Wicks with tabs, and holders", str(found.wicks)),
        ("  Length of a wick to cut", length_text(found.wick, units)),
    ]
    if found.cost is not None:
        rows += _cost_rows(found.cost)
    if (filled := found.filled) is not None:
        rows += [
            f"A melt of {mass(filled.wax)} of wax",
            ("  Takes oil", mass(filled.oil)),
            ("  Fills", _jars(filled.jars)),
            ("  Is left over", mass(filled.left)),
        ]
    table = Table(columns=(Column(width=36), Column(width=26, right=True)), rows=tuple(rows), gap=0)
    warnings = (Note(f"Warning: {warning}") for warning in found.warnings)
    return [Note(f"Amounts: {title}"), table, *warnings, Note(NOTE, rests=True)]


amounts_text = as_text(amounts_blocks)


def weighed_text(portion: Portion, units: System) -> str:
    """Write what is weighed for one melt."""
    oil = f" + {mass_text(portion.oil, units)} oil" if portion.oil else ""
    return f"{mass_text(portion.wax, units)} wax{oil}"


def _cost_rows(cost: Cost) -> list[Row]:
    rows: list[Row] = [
        "Cost, with what stays in the pitcher",
        ("  Of a jar", money_text(cost.jar, cost)),
        ("  Of the batch", money_text(cost.batch, cost)),
    ]
    if cost.left_out:
        rows.append(f"  Without {listed(cost.left_out)}, which have no price, and without work and heat.")
    else:
        rows.append("  Without work and heat.")
    return rows


def money_text(amount: float, cost: Cost) -> str:
    """Write an amount of the money that a cost is in [-]."""
    return f"{amount:.2f} {cost.currency}".rstrip()


def _jars(count: int) -> str:
    return "1 jar" if count == 1 else f"{count} jars"


def amounts_data(found: Amounts) -> dict[str, Any]:
    """Give what a batch takes as plain data: SI values, each with its unit in the name."""
    masses = "net_weight_kg wax_each_kg oil_each_kg wax_kg oil_kg mix_kg left_behind_kg density_kg_m3"
    lengths = "fill_volume_m3 brim_volume_m3 level_at_pour_m rim_m level_set_m"
    return {
        "jars": found.jars,
        "oil_in_mix": found.load,
        "oil_per_wax": found.load_of_wax,
        "oil_in_mix_allowed": found.allowed,
        **keyed(found, f"{masses} {lengths}"),
        "wicks": found.wicks,
        "wick_m": found.wick,
        "melts": [keyed(one, "number first last wax_kg oil_kg") for one in found.portions],
        "cost": None if found.cost is None else keyed(found.cost, "currency jar batch left_out"),
        "melt": None if found.filled is None else keyed(found.filled, "wax_kg oil_kg jars left_kg"),
        "warnings": list(found.warnings),
    }
