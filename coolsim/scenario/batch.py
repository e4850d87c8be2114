"""The table `[batch]`: how much is made at once, and what the oil allows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from coolsim.model.batch import Batch
from coolsim.scenario.table import ESTIMATE, PRACTICE, Fault, Show, TomlTable, key, like
from coolsim.scenario.values import Count, Quantity
from coolsim.scenario.wax import WaxTable


class BatchTable(TomlTable):
    """How much is made at once, and what the oil allows; without this table nothing is said about amounts."""

    jars: Annotated[int, Count(1, 1000)] = like(Batch, "jars", "How many jars are filled.")
    melt: Annotated[float | None, Quantity("mass", "10 g", "200 kg", "900 g")] = key(
        "Mass of wax that is melted at once, without the oil; jars that it does not fill get melts of their own, in"
        " turn.",
        default=None,
        shown="as much as the jars need, or as the pitcher of `[melting]` takes",
    )
    left_behind: Annotated[float, Quantity("mass", "0 g", "2 kg", "10 g")] = like(
        Batch, "left_behind", "Mass of wax and oil that stays in the pitcher after each melt.", source=ESTIMATE
    )
    lowest_load: Annotated[float, Quantity("fraction", "0 %", "15 %", "4 %")] = like(
        Batch,
        "lowest_load",
        "Least fragrance load by the supplier's sheet, as mass of oil in the mass of the mix; a warning below it.",
        source=PRACTICE,
    )
    highest_load: Annotated[float, Quantity("fraction", "0 %", "15 %", "10 %")] = like(
        Batch,
        "highest_load",
        "Highest fragrance load by the supplier's sheet, as mass of oil in the mass of the mix; refused above it. A"
        " sheet that says p of oil per wax means p/(1 + p).",
        source=PRACTICE,
    )
    flash_point: Annotated[float | None, Quantity("temperature", "30 °C", "250 °C", "93 °C")] = key(
        "Flash point of the oil, from its safety data sheet.", default=None, shown="not stated"
    )
    flash_margin: Annotated[float, Quantity("temperature_difference", "0 °C", "50 °C", "10 °C")] = like(
        Batch,
        "flash_margin",
        "How far wax that meets the oil must stay below its flash point; refused if it does not.",
        source=ESTIMATE,
    )


def batch_of(batch: BatchTable, wax: WaxTable) -> Batch:
    """Build the batch."""
    return Batch(load=wax.fragrance_load, **batch.given(*BatchTable.model_fields))


def loads_are_a_range(batch: BatchTable, show: Show) -> Iterator[Fault]:
    """Find fault with a lowest load above the highest."""
    if batch.lowest_load > batch.highest_load:
        yield (
            "batch.lowest_load",
            f"found {show(batch.lowest_load, 'fraction')}, above batch.highest_load,"
            f" {show(batch.highest_load, 'fraction')}, give at most that",
        )
