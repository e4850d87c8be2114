"""What a batch takes, as text and as data."""

from __future__ import annotations

from typing import Any

from coolsim.report.text.page import paragraph
from coolsim.studies.workshop.amounts import Amounts, Filled
from coolsim.units import System, format_quantity

_LABELS = 34
_WIDTH = 62

NOTE = (
    "A load is stated in two ways: as oil in the mix of wax and oil, which is what coolsim takes, and as oil per wax,"
    " which many makers weigh by. The allowed range is common practice without a source unless you state that of the"
    " supplier's sheet (batch.lowest_load, batch.highest_load). The level after setting is a mean, with no cavity under"
    " the top; `coolsim run` tells how the loss splits into dip and cavity. It rests on wax.total_shrinkage, what stays"
    " in the pitcher on batch.left_behind, and all masses or levels on the density of the liquid: estimates unless you"
    " state your own."
)
"""What a reader of the table must know."""


def mass_text(kilograms: float, units: System) -> str:
    """Write a mass as a kitchen scale shows it.

    Parameters
    ----------
    kilograms : float
        The mass [kg].
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        Number and unit, to 1 g or a hundredth of an ounce; below 10 g to a tenth of a gram.
    """
    digits = 2 if units == "us" else 1 if 0.0 < kilograms < 10e-3 else 0
    return format_quantity(kilograms, "mass", system=units, digits=digits)


def amounts_text(title: str, found: Amounts, *, units: System) -> str:
    """Write what a batch takes.

    Parameters
    ----------
    title : str
        Title of the scenario.
    found : Amounts
        The amounts.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    str
        A table and its notes, at most 80 columns wide.

    Examples
    --------
    >>> from coolsim import amounts, built_in_pair, with_overrides
    >>> print(amounts_text("Tea", amounts(with_overrides(built_in_pair()[0], {"batch.jars": 6})), units="metric"))
    Amounts: Tea
    <BLANKLINE>
    To weigh for 6 jars
      Wax                                                   1151 g
    ...
    """

    def mass(kilograms: float) -> str:
        return mass_text(kilograms, units)

    def length(metres: float) -> str:
        return format_quantity(metres, "length", system=units)

    def volume(cubic_metres: float) -> str:
        return format_quantity(cubic_metres, "volume", system=units)

    def share(fraction: float) -> str:
        return format_quantity(fraction, "fraction", digits=1)

    groups = [
        (
            f"To weigh for {_jars(found.jars)}",
            [
                ("Wax", mass(found.wax)),
                ("Fragrance oil", mass(found.oil)),
                ("Together", mass(found.mix)),
                ("of it, stays in the pitcher", mass(found.left_behind)),
            ],
        ),
        (
            "Oil",
            [
                ("In the mix (wax.fragrance_load)", share(found.load)),
                ("Allowed in the mix", " to ".join(share(one) for one in found.allowed)),
                ("Per wax", share(found.load_of_wax)),
            ],
        ),
        (
            "In each jar",
            [
                ("Net weight", mass(found.net_weight)),
                ("Wax", mass(found.wax_each)),
                ("Fragrance oil", mass(found.oil_each)),
                ("Volume of the hot wax", volume(found.fill_volume)),
                ("Share of the brimful jar", share(found.fill_volume / found.brim_volume)),
                ("Level at the pour", length(found.level_at_pour)),
                ("Level after setting, mean", length(found.level_set)),
                ("Rim", length(found.rim)),
            ],
        ),
    ]
    if found.filled is not None:
        groups.append(_group_of(found.filled, units))
    lines = []
    for heading, rows in groups:
        lines += [heading, *(f"  {label:<{_LABELS}}{value:>{_WIDTH - _LABELS - 2}}".rstrip() for label, value in rows)]
    parts = [f"Amounts: {title}", "\n".join(lines)]
    parts += [paragraph(f"Warning: {warning}") for warning in found.warnings]
    return "\n\n".join([*parts, paragraph(NOTE)])


def _jars(count: int) -> str:
    return "1 jar" if count == 1 else f"{count} jars"


def _group_of(filled: Filled, units: System) -> tuple[str, list[tuple[str, str]]]:
    return (
        f"A melt of {mass_text(filled.wax, units)} of wax",
        [
            ("Takes oil", mass_text(filled.oil, units)),
            ("Fills", _jars(filled.jars)),
            ("Is left over", mass_text(filled.left, units)),
        ],
    )


def amounts_data(found: Amounts) -> dict[str, Any]:
    """Give what a batch takes as plain data.

    Parameters
    ----------
    found : Amounts
        The amounts.

    Returns
    -------
    dict
        SI values, each with its unit in the name.
    """
    units = {
        "jars": "jars",
        "load": "oil_in_mix",
        "load_of_wax": "oil_per_wax",
        "allowed": "oil_in_mix_allowed",
        "net_weight": "net_weight_kg",
        "wax_each": "wax_each_kg",
        "oil_each": "oil_each_kg",
        "wax": "wax_kg",
        "oil": "oil_kg",
        "mix": "mix_kg",
        "left_behind": "left_behind_kg",
        "density": "density_kg_m3",
        "fill_volume": "fill_volume_m3",
        "brim_volume": "brim_volume_m3",
        "level_at_pour": "level_at_pour_m",
        "rim": "rim_m",
        "level_set": "level_set_m",
    }
    data: dict[str, Any] = {name: getattr(found, field) for field, name in units.items()}
    filled = found.filled
    data["melt"] = (
        None
        if filled is None
        else {"wax_kg": filled.wax, "oil_kg": filled.oil, "jars": filled.jars, "left_kg": filled.left}
    )
    return {**data, "warnings": list(found.warnings)}
