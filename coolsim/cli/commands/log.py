"""The command that keeps a log of the batches of a jar, and shows them beside what is computed."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario
from coolsim.cli.options import FIGURE, ScenarioFile, takes
from coolsim.cli.values import blaming, with_options

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.studies.fit.parameters import Seen


@command(
    "Keep a log of what you saw, batch by batch.",
    'coolsim log jar.toml --rim 1.2mm --dish 2mm --room 18C --top "small hole"',
    'coolsim log jar.toml --seen "top closed=2:10" --pour 62C --date 2026-03-14',
    "coolsim log jar.toml",
    asks=(*FIGURE, "units", "json", "force"),
)
def log(
    asked: Asked,
    file: ScenarioFile,
    rim: Annotated[str | None, takes("LENGTH", "Wax at the glass, below the pour mark.")] = None,
    dish: Annotated[str | None, takes("LENGTH", "Wax half-way in, below the wax at the glass.")] = None,
    middle: Annotated[
        str | None, takes("LENGTH", "Wax in the middle (mean within 5 mm), below the wax at the glass.")
    ] = None,
    cavity: Annotated[
        str | None, takes("VOLUME", "Water that the hidden cavity takes once it is opened, by syringe.")
    ] = None,
    seen: Annotated[
        list[str] | None,
        takes(
            "WHAT=TIME",
            'When something was seen, since the pour ("top closed=2:10"): rim set, wick free until, top closed, fully'
            " set, top final, solid, cool. May be given several times.",
        ),
    ] = None,
    top: Annotated[str | None, takes("TEXT", 'The top in your own words ("small hole").')] = None,
    room: Annotated[str | None, takes("TEMPERATURE", "The room of the batch; left out, that of the scenario.")] = None,
    pour: Annotated[str | None, takes("TEMPERATURE", "The pour of the batch; left out, that of the scenario.")] = None,
    date: Annotated[str | None, takes("DATE", "The day of the batch, as in 2026-03-14; left out, today.")] = None,
) -> None:
    """Add a batch to the log of a jar; with no more than the scenario, show all of them beside what is computed.

    The log is a CSV beside the scenario, jar-log.csv for jar.toml, which a spreadsheet may open; columns of your own
    are kept. Each batch is computed at its own room and pour. From six batches on it says whether what you see drifts
    from what is computed, and by which rule; and it offers the `coolsim fit` that takes the log. A ruler may be wrong
    by 0.5 mm, a syringe by 1 mL, a time by 10 min.
    """
    from coolsim.studies.fit.batches import log_path
    from coolsim.studies.fit.probe_curves import RULER

    scenario = read_scenario(file)
    if scenario.jar.places is not None:
        raise typer.BadParameter(
            f"found a box of {scenario.jar.places.jars} jars in {file}. A log is of one jar: give the scenario of that"
            " jar in its box, without [places]."
        )
    ruled = dict(zip(RULER, (rim, dish, middle, cavity), strict=True))
    sights = [_sight(f"--{what}", f"{what}={text}") for what, text in ruled.items() if text is not None]
    sights += [_sight("--seen", text) for text in seen or ()]
    path = log_path(file)
    if sights or top:
        _add(asked, scenario, path, sights, top=top or "", given=(room, pour, date))
        return
    for option, value in (("--room", room), ("--pour", pour), ("--date", date)):
        if value is not None:
            raise typer.BadParameter(
                "nothing was seen of that batch; add it, as in --dish 2mm or --top 'small hole'.",
                param_hint=f"'{option}'",
            )
    _compare(asked, scenario, file, path)


def _sight(option: str, text: str) -> Seen:
    from coolsim.studies.fit.seen import seen_in_log

    with blaming({"seen": option}, rest=option):
        return seen_in_log(text)


def _add(
    asked: Asked,
    scenario: Scenario,
    path: Path,
    sights: list[Seen],
    *,
    top: str,
    given: tuple[str | None, str | None, str | None],
) -> None:
    from coolsim.report.text.batches import batch_data, line_text
    from coolsim.report.whole_file import append_bytes
    from coolsim.studies.fit.batches import Logged, line_for
    from coolsim.units import parse_quantity

    room, pour, date = given
    double = next((one.what for one in sights if [other.what for other in sights].count(one.what) > 1), None)
    if double is not None:
        raise typer.BadParameter(f"found '{double}' twice. Give each once.", param_hint="'--seen'")
    try:
        day = datetime.date.today() if date is None else datetime.date.fromisoformat(date)
    except ValueError:
        raise typer.BadParameter(
            f"found '{date}'; give year, month and day, as in 2026-03-14.", param_hint="'--date'"
        ) from None
    asked_for = {"room.temperature": ("--room", room), "pour.temperature": ("--pour", pour)}
    at = with_options(scenario, asked_for)
    # A room that changes through the day is no number: it stays that of the scenario.
    stays = None if callable(at.jar.room.temperature) else at.jar.room.temperature
    batch = Logged(
        day=day.isoformat(),
        room=stays if room is None else parse_quantity(room, "temperature"),
        pour=at.jar.pour,
        top=" ".join(top.split()),
        seen=tuple(sights),
    )
    line = line_for(path, batch, scenario.units)
    append_bytes(path, line)
    units = asked.system(scenario)
    data = {"log": path.name, **batch_data(batch, at)}
    asked.tell([], lambda: [line_text(batch, at, units)], lambda: data, caution=False)
    asked.screen.wrote(path)


def _compare(asked: Asked, scenario: Scenario, file: Path, path: Path) -> None:
    from coolsim.report.text.batches import batches_data, batches_text
    from coolsim.studies.fit.batches import read_batches
    from coolsim.studies.fit.drift import compared, drifts

    figure = asked.figure([scenario], "log")
    asked.claim(*figure, inputs=[file, path])
    if not path.exists():
        raise typer.BadParameter(f"found no log {path}. Begin it with what you saw, as in --dish 2mm --top 'a hole'.")
    batches = compared(scenario, read_batches(path), str(path))
    found = drifts(batches)
    units = asked.system(scenario)
    asked.tell(
        scenario,
        lambda: [batches_text(scenario, batches, found, file, path, units=units)],
        lambda: batches_data(scenario, batches, found, file, path),
    )
    if figure and found:
        from coolsim.report.figures.batches import draw_batches

        asked.draw(figure, draw_batches(batches, found, title=scenario.title, units=units))
