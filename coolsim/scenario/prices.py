"""The table `[prices]`: what a batch is made of costs."""

from __future__ import annotations

from typing import Annotated

from coolsim.model.batch import Prices
from coolsim.scenario.table import TomlTable, key
from coolsim.scenario.values import Quantity, Text

_BY_WEIGHT = Quantity("price_by_weight", "0 per kg", "10000 per kg", "9.50 per kg")
_EACH = Quantity("price_each", "0 each", "10000 each", "1.20 each")


class PricesTable(TomlTable):
    """What a batch is made of costs; what has no price is left out of the cost, which says so."""

    currency: Annotated[str, Text(12)] = key("What the money is called, as in 'EUR'.", default="", shown="none")
    wax: Annotated[float | None, _BY_WEIGHT] = key("Of the wax.", default=None, shown="not stated")
    fragrance: Annotated[float | None, _BY_WEIGHT] = key("Of the fragrance oil.", default=None, shown="not stated")
    jar: Annotated[float | None, _EACH] = key("Of a jar.", default=None, shown="not stated")
    wick: Annotated[float | None, _EACH] = key("Of a wick with its tab.", default=None, shown="not stated")
    lid: Annotated[float | None, _EACH] = key("Of a lid.", default=None, shown="not stated")
    label: Annotated[float | None, _EACH] = key("Of a label.", default=None, shown="not stated")


def prices_of(prices: PricesTable) -> Prices:
    """Build the prices."""
    return Prices(**prices.given(*PricesTable.model_fields))
