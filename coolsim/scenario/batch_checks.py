"""Whether what is done before the pour fits the rest of a scenario."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from coolsim.scenario.known import Known

Fault = tuple[str, str]
"""Dotted key and message."""


def _loads_are_a_range(known: Known) -> Iterator[Fault]:
    low, high = known("batch.lowest_load"), known("batch.highest_load")
    if low > high:
        yield (
            "batch.lowest_load",
            f"found {known.show(low, 'fraction')}, above batch.highest_load, {known.show(high, 'fraction')}, give at"
            " most that",
        )


def _load_is_allowed(known: Known) -> Iterator[Fault]:
    load, high = known("wax.fragrance_load"), known("batch.highest_load")
    if load > high:
        yield (
            "wax.fragrance_load",
            f"found {known.show(load, 'fraction')} of oil in the mix, above the highest load,"
            f" {known.show(high, 'fraction')} (batch.highest_load), take less oil, or state the limit of the"
            " supplier's sheet",
        )


def _oil_stays_below_flash_point(known: Known) -> Iterator[Fault]:
    if known("wax.fragrance_load") == 0.0 or known("batch.flash_point") is None:
        return
    flash, margin = known("batch.flash_point"), known("batch.flash_margin")
    highest = flash - margin
    pour = known("pour.temperature")
    # At what temperature the oil is added, the study of the melting looks at.
    if pour > highest:
        yield (
            "pour.temperature",
            f"found {known.show(pour, 'temperature')}, but wax with oil must stay"
            f" {known.show(margin, 'temperature_difference')} (batch.flash_margin) below the flash point of the oil,"
            f" {known.show(flash, 'temperature')}, give at most {known.show(highest, 'temperature')}",
        )


BATCH_CHECKS: tuple[Callable[[Known], Iterator[Fault]], ...] = (
    _loads_are_a_range,
    _load_is_allowed,
    _oil_stays_below_flash_point,
)
"""All of them, as `coolsim.scenario.checks` asks them."""
