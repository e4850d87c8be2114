"""From the values of a scenario to what is done before the pour."""

from __future__ import annotations

from coolsim.model.batch import Batch
from coolsim.scenario.batch_tables import BatchTable
from coolsim.scenario.known import Known


def batch_of(known: Known) -> Batch | None:
    """Put the batch together.

    Parameters
    ----------
    known : Known
        The values of a scenario.

    Returns
    -------
    Batch or None
        None if the scenario has no such table.
    """
    if not known.has("batch.jars"):
        return None
    return Batch(
        load=known("wax.fragrance_load"),
        fill_mass=known("pour.mass"),
        **{name: known(f"batch.{name}") for name in BatchTable.model_fields},
    )
