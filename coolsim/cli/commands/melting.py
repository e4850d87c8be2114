"""The command that says how long the wax takes until the pour."""

from __future__ import annotations

import shlex
from typing import Annotated

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario
from coolsim.cli.options import FIGURE, ScenarioFile, takes
from coolsim.cli.values import blaming, with_options


@command(
    "Say how long the wax takes until the pour.",
    "coolsim melting six.toml",
    'coolsim melting jar.toml --melt "900 g" --water 80C',
    "coolsim melting jar.toml --melt 2lb --units us --no-figures",
    asks=(*FIGURE, "units", "json", "force"),
)
def melting(
    asked: Asked,
    file: ScenarioFile,
    melt: Annotated[
        str | None, takes("MASS", 'Wax in the pitcher, such as "900 g"; left out, batch.melt, or what all jars need.')
    ] = None,
    water: Annotated[
        str | None, takes("TEMPERATURE", "Water round the pitcher; left out, melting.water of the scenario.")
    ] = None,
) -> None:
    """Say how long wax takes in a water bath: until all has melted, until the oil, and down to the pour.

    Of a batch that takes more than one melt it tells all, one after the other; with --melt, that one alone.
    Flakes stand in a metal pitcher in the water (table [melting]); after the oil the pitcher cools in the room. Water
    that never melts the wax, a pitcher that is too small and oil that cools the wax below the pour are refused.
    """
    from coolsim.report.cautions import cautions
    from coolsim.report.text.melting import melting_data, melting_text
    from coolsim.report.text.melts import melts_data, melts_text
    from coolsim.report.text.page import paragraph
    from coolsim.studies.workshop.melting import melt_batch
    from coolsim.studies.workshop.melts import melts_in_turn
    from coolsim.studies.workshop.portions import batch_of_all

    asked.folder()
    scenario = read_scenario(file)
    figure = asked.figure([scenario], "melting")
    asked.claim(*figure, inputs=[file])
    if melt is None:
        scenario = batch_of_all(scenario)
    scenario = with_options(scenario, {"batch.melt": ("--melt", melt), "melting.water": ("--water", water)})
    units = asked.system(scenario)
    with blaming({} if water is None else {"melting.water": "--water"}, where=scenario.where):
        melts = melts_in_turn(scenario, units=units) if melt is None and scenario.batch is not None else ()
        found = melts[0].melting if melts else melt_batch(scenario, units=units)
    care = cautions([], [scenario], units=units, topics=["alone", "bath", "fire", "flash points"])
    asked.tell(
        scenario,
        lambda: [
            melting_text(found, units=units, of=f", melt 1 of {len(melts)}" if len(melts) > 1 else ""),
            *([melts_text(melts, units=units)] if len(melts) > 1 else []),
            paragraph(" ".join(care)),
        ],
        lambda: {**melting_data(found), "melts": melts_data(melts)},
    )
    if figure:
        from coolsim.report.figures.melting import draw_melting

        asked.draw(figure, draw_melting(found, units=units))
    asked.screen.hint(
        f"`coolsim schedule {shlex.quote(str(file))}` plans the day; with a table [melting] it takes these times."
    )
