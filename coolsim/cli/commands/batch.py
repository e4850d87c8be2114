"""The command that says how much to weigh."""

from __future__ import annotations

from typing import Annotated

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario
from coolsim.cli.options import ScenarioFile, takes
from coolsim.cli.values import with_options


@command(
    "Say what to weigh, lay out and spend.",
    "coolsim batch jar.toml --jars 6",
    'coolsim batch jar.toml --melt "2 lb" --units us --json',
    asks=("units", "json"),
)
def batch(
    asked: Asked,
    file: ScenarioFile,
    jars: Annotated[int | None, takes("N", "How many jars; left out, batch.jars or [places] of the scenario.")] = None,
    melt: Annotated[
        str | None,
        takes(
            "MASS", 'Wax in the pitcher, such as "900 g": how many jars it fills; left out, batch.melt of the scenario.'
        ),
    ] = None,
) -> None:
    """Say how much wax and oil to weigh for a batch, in how many melts, what to lay out, and what it costs.

    The fill is that of the scenario: pour.level, pour.volume or pour.mass. Oil above the highest load of the supplier
    (batch.highest_load) or hotter than its flash point allows (batch.flash_point) is refused. A batch of which the
    pitcher takes only a part is parted among melts in turn. The table [wick] says how wicks are cut, [prices] what
    things cost.
    """
    from coolsim.report.cautions import cautions
    from coolsim.report.text.amounts import amounts_data, amounts_text
    from coolsim.report.text.page import paragraph
    from coolsim.studies.workshop.amounts import amounts
    from coolsim.studies.workshop.portions import batch_of_all

    scenario = read_scenario(file)
    if jars is None:
        scenario = batch_of_all(scenario)
    scenario = with_options(scenario, {"batch.jars": ("--jars", jars), "batch.melt": ("--melt", melt)})
    units = asked.system(scenario)
    found = amounts(scenario, units=units)
    care = cautions([], [scenario], units=units, topics=["flash points"])
    asked.tell(
        scenario,
        lambda: [amounts_text(scenario.title, found, units=units), *map(paragraph, care)],
        lambda: amounts_data(found),
    )
    asked.screen.hint("`coolsim schedule` with the same file plans the day.")
