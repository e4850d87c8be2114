"""The text of the label: what is in the jar, how to burn it, what to beware of."""

from __future__ import annotations

import math
from typing import Any

from coolsim.overview import Lines
from coolsim.report.text.page import wrapped
from coolsim.scenario import Scenario
from coolsim.studies.workshop.amounts import Amounts
from coolsim.studies.workshop.moments import day_text

STANDARDS: tuple[tuple[str, str], ...] = (
    ("ASTM F2058", "cautionary labelling of candles"),
    ("ASTM F2417", "fire safety of candles"),
    ("EN 15494", "safety labels of candles"),
    ("EN 15493", "fire safety of candles"),
)
"""What governs label and candle in the United States and in Europe, to be consulted (numbers from memory)."""

BURNING: tuple[str, ...] = (
    "Stand it upright on something level that heat does not harm, out of draughts.",
    "Trim the wick to 6 mm (1/4 in) each time before you light it, and take the cuttings out.",
    "Let it burn for 4 h at most, then let it cool until the wax has set.",
    "Stop when about 1 cm (3/8 in) of wax is left.",
)
"""How to burn it: common practice, no source."""

CAUTIONS: tuple[str, ...] = (
    "Keep a burning candle in sight.",
    "Keep it away from children and pets.",
    "Keep it away from things that burn.",
    "Never move it while it burns or its wax is liquid.",
    "Do not put it out with water: cover it.",
)
"""What to beware of: common practice, no source; for glass and metal see `label_cautions`."""

_GLASS = "The glass gets hot. Do not use it if it is cracked or chipped."
_METAL = "The metal gets hot. Do not touch it until it has cooled."
_WIDTH = 46
_GRAM, _TENTH_OF_AN_OUNCE = 1e-3, 0.028349523125 / 10.0
# A weight on a mark but for round-off stays there.
_ROUND_OFF = 1e-9


def label_cautions(scenario: Scenario) -> tuple[str, ...]:
    """List what the label warns of, with a sentence about glass or metal."""
    metal = scenario.jar.vessel.material.is_metal
    return (*CAUTIONS, _METAL if metal else _GLASS)


def net_weight_text(kilograms: float) -> str:
    """Write the mass of wax and oil in a jar [kg] as it may stand on a label.

    Rounded down in grams and in ounces, so that the jar never holds less than the label says.

    Examples
    --------
    >>> net_weight_text(0.2069)
    '206 g (7.2 oz)'
    """
    grams = math.floor(kilograms / _GRAM + _ROUND_OFF)
    ounces = math.floor(kilograms / _TENTH_OF_AN_OUNCE + _ROUND_OFF) / 10.0
    return f"{grams} g ({ounces:.1f} oz)"


def label_text(scenario: Scenario, found: Amounts) -> str:
    """Write the text of the label.

    Parameters
    ----------
    scenario : Scenario
        The jar; its fragrance, number and day stand on the label if it states them.
    found : Amounts
        What is in it.

    Returns
    -------
    str
        Lines of at most 46 letters, without what is no part of a label; see `label_notes`.

    Examples
    --------
    >>> from coolsim import amounts, built_in_pair, label_text, with_overrides
    >>> jar = with_overrides(built_in_pair()[0], {"batch.jars": 6, "wax.fragrance": "Fig and cedar"})
    >>> print(label_text(jar, amounts(jar)))
    FIG AND CEDAR
    Scented candle
    Net weight 207 g (7.3 oz)
    <BLANKLINE>
    HOW TO BURN IT
    - Stand it upright on something level that
      heat does not harm, out of draughts.
    ...
    """
    lines = [line for told in _head(scenario, found) for line in wrapped(told, _WIDTH)]
    for heading, sentences in (("HOW TO BURN IT", BURNING), ("CAUTION", label_cautions(scenario))):
        lines += ["", heading]
        for sentence in sentences:
            first, *others = wrapped(sentence, _WIDTH - 3)
            lines += [f"- {first}", *(f"  {line}" for line in others)]
    return Lines("\n".join(lines))


def _head(scenario: Scenario, found: Amounts) -> list[str]:
    plan = scenario.plan
    kind = "Scented candle" if plan.load else "Candle"
    poured = "" if scenario.date is None else day_text(scenario.date)
    batch = " · ".join(part for part in (plan.number and f"Batch {plan.number}", poured) if part)
    title = plan.fragrance.upper() if plan.load else ""
    maker = scenario.author and f"Made by {scenario.author}"
    return [one for one in (title, kind, f"Net weight {net_weight_text(found.net_weight)}", batch, maker) if one]


def label_notes(scenario: Scenario) -> tuple[str, ...]:
    """Say to the maker what the label rests on, and what it lacks."""
    named = [f"{number} ({subject})" for number, subject in STANDARDS]
    plan = scenario.plan
    unnamed = " State wax.fragrance, and the label names it." if plan.load and not plan.fragrance else ""
    oil = (
        " The data sheet of the fragrance oil may ask for hazard signs, hazard sentences or names of allergens: they"
        " are missing here."
        if plan.load
        else ""
    )
    return (
        "The net weight is computed and rounded down; weigh filled jars before you print it. Burning times, the trim"
        " of the wick and the rest of wax are common practice without a source; your own test burns come"
        f" first.{unnamed}",
        f"Consult the standards before you sell: {', '.join(named[:2])} in the United States, {', '.join(named[2:])}"
        " in Europe. This text was written without them and claims no compliance. Rules on weights, makers' names and"
        f" dangerous substances apply as well.{oil}",
    )


def label_data(scenario: Scenario, found: Amounts) -> dict[str, Any]:
    """Give the label as plain data: the net weight as computed and as it stands there, and what was left to others."""
    return {
        "net_weight_kg": found.net_weight,
        "net_weight": net_weight_text(found.net_weight),
        "fragrance": scenario.plan.fragrance or None,
        "batch": scenario.plan.number or None,
        "date": None if scenario.date is None else scenario.date.isoformat(),
        "maker": scenario.author or None,
        "burning": list(BURNING),
        "cautions": list(label_cautions(scenario)),
        "standards": [{"number": number, "subject": subject} for number, subject in STANDARDS],
        "text": label_text(scenario, found),
        "notes": list(label_notes(scenario)),
    }
