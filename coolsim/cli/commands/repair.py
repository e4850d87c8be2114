"""The command that repairs a set top with hot air."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_runs, run_each
from coolsim.cli.naming import columns_of
from coolsim.cli.options import FIGURE, takes
from coolsim.cli.values import with_options


@command(
    "Say how long hot air repairs a set top.",
    "coolsim repair jar.toml",
    'coolsim repair jar.npz --air "160 C" --no-figures',
    'coolsim repair jar.toml --air "350 F" --units us --json',
    asks=(*FIGURE, "units", "estimates", "json", "force"),
)
def repair(
    asked: Asked,
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="A scenario, or a result saved with --save.", show_default=False)
    ],
    air: Annotated[
        str | None, takes("TEMPERATURE", 'Hot air at the wax, such as "160 C"; left out, repair.air of the file.')
    ] = None,
    film: Annotated[
        str | None, takes("FILM", 'Its film on the wax, such as "60 W/m2K"; left out, repair.film of the file.')
    ] = None,
) -> None:
    """Say how long hot air must blow on a set top to level it, and to fill a cavity under it if there is one.

    The hot air comes on where the run of the jar ends, once the wax is as solid as its room makes it; a jar in a box or
    in water is taken out of it, and of several in a box the one with the worst top is repaired. The answer is the
    smallest time, with the melted depth and the temperatures of wax and glass on the way, and the top after it has set
    again. What the air does is estimated (table [repair] of the scenario).
    """
    from coolsim.report.cautions import cautions
    from coolsim.report.text.page import paragraph, parted
    from coolsim.report.text.repair import repair_blocks, repair_data
    from coolsim.report.text.runs import titled_runs
    from coolsim.studies.repair.repair import cooler_air, over_films, to_repair
    from coolsim.studies.repair.repair import repair as repair_of

    asked.folder()
    runs = read_runs([file])
    if len(runs) > 1:
        raise typer.BadParameter(f"found {len(runs)} runs in '{file}'; give a result of one run.", param_hint="'FILE'")
    ((scenario, known),) = runs
    figure = asked.figure([scenario], "repair")
    asked.claim(*figure, inputs=[file])
    scenario = with_options(scenario, {"repair.air": ("--air", air), "repair.film": ("--film", film)})
    columns = columns_of([scenario], run_each([(scenario, known)], asked.screen))
    # Of a box the jar with the worst top.
    worst = columns[to_repair([one.result for one in columns])]
    title = scenario.title if worst.kind is None else f"{scenario.title}: {worst.kind.called}, the worst top"
    result = worst.result
    with asked.screen.progress(scenario.title) as on_step:
        found = repair_of(scenario, known=result, on_step=on_step)
    cooler = cooler_air(found, result) if found.needed is None and found.too_hot is not None else None
    films = over_films(found, result)
    units = asked.system(scenario)
    run = titled_runs([(title, result)], jars=[scenario.jar])
    care = cautions(run, [scenario], units=units, topics=("hot air", "flash points", "still"))
    answers, rests = parted(repair_blocks(found, title=title, units=units, cooler=cooler, films=films))
    asked.tell(
        found.scenario,
        lambda: [answers],
        lambda: {"title": title, **repair_data(found, cooler=cooler, films=films)},
        rests=lambda: [rests, paragraph(" ".join(care))],
    )
    if figure:
        from coolsim.report.figures.repair import draw_repair

        asked.draw(figure, draw_repair(found, title=title, units=units, films=films))
    asked.screen.hint(f"`coolsim pour {shlex.quote(scenario.where)}` looks for a pour that needs no repair.")
