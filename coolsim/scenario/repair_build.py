"""From the values of a scenario to the hot air on its top, and whether that can melt its wax."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from coolsim.model.freezing import on_heating
from coolsim.model.hot_air import HotAir
from coolsim.scenario.build import wax_of
from coolsim.scenario.known import Known
from coolsim.scenario.repair_tables import RepairTable

Fault = tuple[str, str]
"""Dotted key and message."""


def hot_air_of(known: Known) -> HotAir:
    """Put the hot air together.

    Parameters
    ----------
    known : Known
        The values of a scenario.

    Returns
    -------
    HotAir
        What is blown on the top.
    """
    return HotAir(**{name: known(f"repair.{name}") for name in RepairTable.model_fields})


def _air_melts_the_wax(known: Known) -> Iterator[Fault]:
    air, clear = known("repair.air"), on_heating(wax_of(known)).freezing_starts
    if air <= clear:
        yield (
            "repair.air",
            f"found {known.show(air, 'temperature')}, which never melts a wax that is clear at"
            f" {known.show(clear, 'temperature')}, give hotter air",
        )


REPAIR_CHECKS: tuple[Callable[[Known], Iterator[Fault]], ...] = (_air_melts_the_wax,)
"""All of them, as `coolsim.scenario.checks` asks them."""
