"""The command that runs a jar under each model of the convection in the melt."""

from __future__ import annotations

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenarios
from coolsim.cli.naming import titles
from coolsim.cli.options import FIGURE, FilesOrPair

_MOST_FILES = 4


@command(
    "Show what depends on the model of the melt.",
    "coolsim convection",
    "coolsim convection jar.toml --no-figures",
    "coolsim convection jar.toml --figures slides --units us",
    asks=(*FIGURE, "units", "estimates", "json", "force"),
)
def convection(asked: Asked, files: FilesOrPair = None) -> None:
    """Show which answers depend on how the melt's convection is modelled.

    FILE.toml is a scenario; up to four are drawn below each other. Without a file, coolsim takes the pair that comes
    with it. The models are a melt that settles into layers, which agrees with computations of the flow itself; a melt
    that only conducts better (melt.conductivity_factor); and pure conduction.
    """
    from coolsim.scenario import one_jar

    if files and len(files) > _MOST_FILES:
        raise typer.BadParameter(f"found {len(files)} files; give {_MOST_FILES} at most.", param_hint="'FILE.toml'")
    why = "The melt stirs itself in each jar alike, so one of them tells which answers depend on how that is modelled."
    scenarios = [one_jar(scenario, reason=why) for scenario in read_scenarios(files)]
    figure = asked.figure(scenarios, "convection")
    asked.claim(*figure, inputs=files or [])
    from coolsim.report.text.melt_models import melt_models_data, melt_models_text
    from coolsim.studies.checks.melt_models import melt_models

    units = asked.system(scenarios[0])
    found = []
    for scenario, title in zip(scenarios, titles(scenarios), strict=True):
        with asked.screen.progress(title) as on_step:
            found.append((title, melt_models(scenario, on_step=on_step)))
    asked.tell(
        scenarios,
        lambda: [melt_models_text(one, title=title, units=units) for title, one in found],
        lambda: {
            "jars": [
                {"title": title, "file": one.scenario.where, "invented": one.scenario.invented, **melt_models_data(one)}
                for title, one in found
            ]
        },
        estimates_of=scenarios,
    )
    if figure:
        from coolsim.report.figures.melt_models import draw_melt_models

        asked.draw(figure, draw_melt_models(found, units=units))
    asked.screen.hint("`coolsim run FILE.toml --melt-range` shows how far the top depends on how stiff mush is.")
