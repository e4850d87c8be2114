"""From the values of a scenario to the pitcher in its water bath."""

from __future__ import annotations

from coolsim.model.bath import Bath
from coolsim.scenario.bath_tables import MeltingTable
from coolsim.scenario.known import Known

_CALLED = {"pitcher_diameter": "diameter", "pitcher_height": "height", "pitcher_emissivity": "emissivity"}


def bath_of(known: Known) -> Bath:
    """Put pitcher and water together.

    Parameters
    ----------
    known : Known
        The values of a scenario without faults.

    Returns
    -------
    Bath
        The bath.
    """
    return Bath(**{_CALLED.get(name, name): known(f"melting.{name}") for name in MeltingTable.model_fields})
