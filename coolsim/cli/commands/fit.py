"""The command that fits a scenario to a thermometer's log and to events that were seen."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario
from coolsim.cli.options import FIGURE, ScenarioFile, takes
from coolsim.cli.targets import to_file
from coolsim.cli.values import blaming, quantity_of
from coolsim.errors import LogError

if TYPE_CHECKING:
    from coolsim.scenario import Scenario
    from coolsim.studies.fit.fit import Fit
    from coolsim.studies.fit.log import Log
    from coolsim.units import Kind

_WARMER, _COLDER = 15.0, 15.0  # K beyond the pour and the room that a reading may lie


class TimeUnit(StrEnum):
    """Unit of the times of a log."""

    SECONDS = "s"
    MINUTES = "min"
    HOURS = "h"


class Degrees(StrEnum):
    """Unit of the temperatures of a log."""

    CELSIUS = "C"
    FAHRENHEIT = "F"


@command(
    "Fit a scenario to a thermometer.",
    'coolsim fit jar.toml log.csv --probe "axis=0 mm,35 mm" --out fitted.toml',
    'coolsim fit jar.toml log.csv --fields films.side_factor,wax.latent_heat --seen "top closed=2:10±0:10"',
    'coolsim fit jar.toml --seen "rim set=0:25±0:05" --seen "top closed=2:10±0:10"',
    asks=(*FIGURE, "workers", "units", "json", "force"),
)
def fit(
    asked: Asked,
    file: ScenarioFile,
    log: Annotated[
        Path | None,
        typer.Argument(
            metavar="[LOG.csv]", help="A log: a time and the temperatures of one or more probes.", show_default=False
        ),
    ] = None,
    fields: Annotated[
        str | None,
        takes(
            "KEY,KEY",
            "Keys of the scenario to adjust; left out, films, latent heat and freezing range.",
        ),
    ] = None,
    ranges: Annotated[
        list[str] | None,
        typer.Option(
            "--range",
            metavar="KEY=LOW:HIGH",
            help='Plausible range of a key, instead of the built-in one ("wax.latent_heat=110 kJ/kg:150 kJ/kg").',
        ),
    ] = None,
    probe: Annotated[
        list[str] | None,
        takes(
            "NAME=R,Z",
            "Place of the probe in column NAME: from the axis, above the bottom of the wax"
            ' ("axis=0 mm,35 mm"), or "mean" where it is stirred; left out, the probes of the scenario.',
        ),
    ] = None,
    seen: Annotated[
        list[str] | None,
        takes(
            "EVENT=TIME±TIME",
            'An event timed by eye, since the pour ("top closed=2:10±0:10", or +-): rim set, wick free until, top'
            " closed, fully set, solid throughout, cool.",
        ),
    ] = None,
    pour_at: Annotated[
        str | None,
        takes("TIME", "When the wax was poured, on the clock of the log; left out, at its first row, or at zero."),
    ] = None,
    log_time: Annotated[TimeUnit | None, typer.Option(help="Unit of the log's times, if its heading has none.")] = None,
    log_temperature: Annotated[
        Degrees | None, typer.Option(help="Unit of the log's temperatures, if its headings have none.")
    ] = None,
    first: Annotated[
        str | None, typer.Option("--from", metavar="DURATION", help="Leave out what was logged before, since the pour.")
    ] = None,
    last: Annotated[
        str | None, typer.Option("--until", metavar="DURATION", help="Leave out what was logged after, since the pour.")
    ] = None,
    lag: Annotated[str | None, takes("DURATION", 'Time by which the probes lag ("25 s" for a thick sheath).')] = None,
    place_error: Annotated[
        str | None, takes("LENGTH", 'How far a probe may be off its place; left out, "1 mm".')
    ] = None,
    reading_error: Annotated[
        str | None, takes("DIFFERENCE", 'How far a probe may read wrong; left out, "0.5 K".')
    ] = None,
    clock_error: Annotated[str | None, takes("DURATION", 'How well the pour was timed; left out, "30 s".')] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="FILE.toml", help="Write the scenario with the fitted values."),
    ] = None,
) -> None:
    """Fit a scenario to what a thermometer logged, and to events that were seen.

    The chosen keys are adjusted, within what is plausible, until the run shows the log. Each value comes with its
    uncertainty, and what the data cannot settle is named. The errors of the thermometer (place, reading, time of the
    pour) are fitted as well. With --out the scenario is written again, with the fitted values and where they came from.
    """
    from coolsim.report.text.fit import fit_data, fit_text
    from coolsim.scenario import one_jar
    from coolsim.scenario.keys import key_of
    from coolsim.studies.fit.fit import fit_log, seen_event
    from coolsim.studies.fit.parameters import Thermometer

    asked.check_workers()
    if log is None and not seen:
        raise typer.BadParameter("give a log, or what was seen, as in --seen 'top closed=2:10±0:10'.")
    scenario = one_jar(read_scenario(file))
    figure = asked.figure([scenario], "fit", drawn=log is not None)
    asked.claim(*to_file("--out", out, ".toml"), *figure, inputs=[file, log])
    usual = Thermometer()
    trust = Thermometer(
        place=_or(place_error, "length", "--place-error", usual.place),
        reading=_or(reading_error, "temperature_difference", "--reading-error", usual.reading),
        clock=_or(clock_error, "duration", "--clock-error", usual.clock),
        lag=_or(lag, "duration", "--lag", usual.lag),
    )
    window = (
        _or(first, "duration", "--from", 0.0),
        None if last is None else quantity_of(last, "duration", "--until"),
    )
    readings = None
    if log is not None:
        readings = _readings(scenario, log, probe or [], window, (log_time, log_temperature, pour_at))
        if trust.lag >= readings.end:
            raise LogError(
                f"{log}: the log ends {readings.end / 60:.0f} min after the pour, and the probes are said to lag by"
                f" {trust.lag / 60:.0f} min. Give a shorter --lag: a thick sheath has half a minute."
            )
    keys = None if fields is None else [key.strip() for key in fields.split(",")]
    with blaming({"seen": "--seen"}):
        events = [seen_event(text) for text in seen or []]
    with blaming(rest="--range"):
        between = _ranges(ranges or [])
    with blaming(rest="--fields"):
        for key in keys or []:
            key_of(key)
    with blaming({"range": "--range", "fields": "--fields"}), asked.screen.count("fit: run") as on_run:
        found = fit_log(
            scenario,
            readings,
            seen=events,
            fields=keys,
            ranges=between,
            thermometer=trust,
            workers=asked.workers,
            on_run=on_run,
        )
    units = asked.system(scenario)
    written = _written(found, file) if out is not None else ""
    asked.tell(scenario, lambda: [fit_text(found, units=units)], lambda: fit_data(found))
    if out is not None:
        asked.write(out, written)
    if figure:
        from coolsim.report.figures.fit import draw_fit

        asked.draw(figure, draw_fit(found, units=units))


def _readings(
    scenario: Scenario,
    path: Path,
    probes: list[str],
    window: tuple[float, float | None],
    ways: tuple[TimeUnit | None, Degrees | None, str | None],
) -> Log:
    from coolsim.scenario import with_overrides
    from coolsim.studies.fit.log import ProbePlace, check_begin, read_log
    from coolsim.studies.fit.probe_curves import usual_places

    stated = dict(_place(text) for text in probes)
    points = {name: list(place) for name, place in stated.items() if place != "mean"}
    placed = dict(scenario.probes)
    if points:
        # The scenario's own check of its probes holds for these.
        placed |= with_overrides(scenario, {"report.probes": points}).probes
    places: dict[str, ProbePlace] = {**usual_places(scenario.jar), **placed}
    places |= {name: "mean" for name, place in stated.items() if place == "mean"}
    jar = scenario.jar
    time_unit, degrees, pour_at = ways
    read = read_log(
        path,
        places,
        between=(min(jar.room.at(0.0), jar.pour) - _COLDER, jar.pour + _WARMER),
        time_unit=None if time_unit is None else time_unit.value,
        temperature_unit=None if degrees is None else degrees.value,
        required=tuple(stated),
        pour_at=pour_at,
        first=window[0],
        last=window[1],
        horizon=jar.horizon,
    )
    if pour_at is None:
        check_begin(read, jar)
    return read


def _place(text: str) -> tuple[str, str | tuple[str, ...]]:
    """Name and place of a probe, as a scenario would state them."""
    name, _, place = (part.strip() for part in text.partition("="))
    parts = tuple(part.strip() for part in place.split(","))
    if name and place.lower() == "mean":
        return name, "mean"
    if not name or len(parts) != 2:
        raise typer.BadParameter(
            f"found '{text}'; give name, distance from the axis and height above the bottom of the wax, as in"
            " 'axis=0 mm,35 mm'.",
            param_hint="'--probe'",
        )
    return name, parts


def _ranges(texts: list[str]) -> dict[str, tuple[float, float]]:
    from coolsim.scenario.ranges import stated_range

    found = {}
    for text in texts:
        key, _, ends = (part.strip() for part in text.partition("="))
        found[key] = stated_range(key, ends, called=f"--range {key}")
    return found


def _or(text: str | None, kind: Kind, option: str, default: float) -> float:
    return default if text is None else quantity_of(text, kind, option, zero=True)


def _written(found: Fit, file: Path) -> str:
    from coolsim.report.text.fit import remarks
    from coolsim.scenario.edit import edited_text

    # The line ends and the mark of the file are kept, which reading as text would lose.
    text = file.read_bytes().decode("utf-8")
    mark = text[: text.startswith("\ufeff")]
    return mark + edited_text(text.removeprefix("\ufeff"), found.scenario, remarks(found))
