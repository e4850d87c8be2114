"""The table `[repair]`: hot air on a top that has set."""

from __future__ import annotations

from typing import Annotated

from coolsim.model.hot_air import FILMS, HotAir
from coolsim.scenario.table import ESTIMATE, TomlTable, like
from coolsim.scenario.values import Number, Quantity


class RepairTable(TomlTable):
    """Hot air on a top that has set."""

    air: Annotated[float, Quantity("temperature", "30 °C", "400 °C", "200 °C")] = like(
        HotAir,
        "air",
        "Of the hot air where it meets the wax, a hand's breadth from the nozzle; at the nozzle it is hotter.",
        source="estimate: common practice, no source",
        behind="The repair",
    )
    film: Annotated[float, Quantity("film_coefficient", "5 W/m2K", "500 W/m2K", "80 W/m2K")] = like(
        HotAir,
        "film",
        "Film coefficient of the hot air on the wax.",
        source=f"estimate: laws of jets on plates give {FILMS[0]:g} to {FILMS[1]:g} W/m2K, 30 mm nozzle, from memory",
        behind="The repair",
    )
    on_glass: Annotated[float, Number(0.0, 1.0)] = like(
        HotAir,
        "on_glass",
        "How much of that film the brim, and the glass above the wax, get.",
        source=ESTIMATE,
        behind="The repair",
    )
    stirring: Annotated[float, Number(1.0, 20.0)] = like(
        HotAir,
        "stirring",
        "How much better the melt conducts under the jet, which drags it along, than at rest.",
        source=ESTIMATE,
        behind="The repair",
    )
    runs_from: Annotated[float, Quantity("length", "0 mm", "10 mm", "1 mm")] = like(
        HotAir,
        "runs_from",
        "Least depth of melt that runs level by itself; a thinner one sets before it has run.",
        source="estimate: gravity levels a film in a time proportional to one over the cube of its depth",
        behind="The repair",
    )
    longest: Annotated[float, Quantity("duration", "10 s", "30 min", "5 min")] = like(
        HotAir, "longest", "Longest time that the hot air is blown.", source=ESTIMATE
    )
    hot_to_touch: Annotated[float, Quantity("temperature", "35 °C", "90 °C", "51 °C")] = like(
        HotAir,
        "hot_to_touch",
        "Glass from here on burns a hand that holds it.",
        source="burn threshold for a contact of one minute in ISO 13732-1, from memory",
    )


def hot_air_of(repair: RepairTable) -> HotAir:
    """Build what is blown on the top."""
    return HotAir(**repair.given(*RepairTable.model_fields))
