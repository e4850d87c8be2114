"""From the values of a scenario to what is done before the pour."""

from __future__ import annotations

import dataclasses

from coolsim.model.batch import Batch
from coolsim.scenario.build import Known


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
    return Batch(**{field.name: known(f"batch.{field.name}") for field in dataclasses.fields(Batch)})
