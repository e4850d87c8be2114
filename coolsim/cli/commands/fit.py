"""The command that fits scenarios to logs of thermometers, to events that were seen, and to what a ruler measured."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenarios
from coolsim.cli.options import FIGURE, takes
from coolsim.cli.targets import in_folder, make_folder, to_file
from coolsim.cli.values import blaming, quantity_of
from coolsim.errors import LogError

if TYPE_CHECKING:
    from coolsim.model.places import Place
    from coolsim.scenario import Scenario
    from coolsim.studies.fit.fit import Fit
    from coolsim.studies.fit.log import Log
    from coolsim.studies.fit.parameters import Measured
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
    "Fit scenarios to what was measured.",
    'coolsim fit jar.toml log.csv --probe "axis=0 mm,35 mm" --out fitted.toml',
    'coolsim fit jar.toml log.csv --fields films.side_factor,wax.latent_heat --seen "top closed=2:10±0:10"',
    'coolsim fit jar.toml log.csv --keep "spring batch"',
    'coolsim fit jar.toml --seen "dish=2 mm±0.5 mm" --seen "cavity=3 mL±1 mL"',
    "coolsim fit jar.toml jar-log.csv --out jar-fitted.toml",
    'coolsim fit bare.toml boxed.toml --seen "bare: middle=4 mm±0.5 mm" --seen "boxed: middle=2.5 mm±0.5 mm"',
    asks=(*FIGURE, "workers", "units", "json", "force"),
)
def fit(
    asked: Asked,
    files: Annotated[list[Path], typer.Argument(metavar="FILE.toml [LOG.csv]", hidden=True)],
    fields: Annotated[
        str | None,
        takes(
            "KEY,KEY",
            "Keys of the scenario to adjust; left out, films, latent heat and freezing range, and for a ruler"
            " mush.stiffness, mush.suction and wax.total_shrinkage.",
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
            ' ("axis=0 mm,35 mm"), or "mean" where it is stirred; left out, the probes of the scenario. Of one log'
            ' among several: "boxed: axis=0 mm,35 mm"; of one jar in a box: "row 1 column 2: axis=0 mm,35 mm".',
        ),
    ] = None,
    seen: Annotated[
        list[str] | None,
        takes(
            "WHAT=VALUE±ERROR",
            'What was seen, and its error (one standard deviation; or +-). Timed since the pour ("top'
            ' closed=2:10±0:10"): rim set, wick free until, top closed, fully set, top final, solid, cool. On the set'
            ' candle by ruler ("dish=2 mm±0.5 mm"): rim, wax at the glass below the pour mark; dish, wax half-way in'
            " below that at the glass; middle, wax in the middle (mean within 5 mm) below that at the glass. By"
            ' syringe: cavity, water that the hidden cavity takes once it is opened ("cavity=3 mL±1 mL"). With several'
            ' scenarios the name of the file comes first ("boxed: dish=2 mm±0.5 mm"), in a box of jars the place'
            ' ("row 1 column 2: dish=2 mm±0.5 mm").',
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
        str | None, takes("DIFFERENCE", 'How far a probe may read wrong; left out, "0.5 °C".')
    ] = None,
    clock_error: Annotated[str | None, takes("DURATION", 'How well the pour was timed; left out, "30 s".')] = None,
    out: Annotated[
        list[Path] | None,
        typer.Option(
            "--out",
            "-o",
            metavar="FILE.toml",
            help="Write the scenario with the fitted values; with several, once for each, in their order.",
            show_default=False,
        ),
    ] = None,
    keep: Annotated[
        str | None,
        takes(
            "NAME",
            'Keep the fitted wax under a name of yours ("spring batch"), in the folder coolsim-waxes beside the'
            " scenario or above it, with a card of one page; scenarios there and below get it by wax.kind.",
        ),
    ] = None,
) -> None:
    """Fit scenarios to what a thermometer logged, an eye saw and a ruler measured.

    The log of a jar stands behind its scenario: FILE.toml [LOG.csv]; so does the one that `coolsim log` keeps, of whose
    batches those of one room and pour count together. Several scenarios, such as a bare and a boxed jar
    of one wax, are fitted together. The chosen keys are adjusted, within what is plausible, until the runs show what
    was measured. Each value comes with the ends between which the true one lies with 95 % certainty, and what the data
    cannot settle is named. The errors of the thermometer (place, reading, time of the pour) are fitted as well. With
    --out each scenario is written again, with the fitted values and where they came from; with --keep the wax is kept
    for any scenario, and `coolsim materials` lists it.
    """
    asked.begin_workers()
    from coolsim.report.text.fit import fit_data, fit_text
    from coolsim.report.text.kept import kept_data, kept_note, kept_text
    from coolsim.report.text.page import paragraph
    from coolsim.scenario.kept import kept_file
    from coolsim.scenario.keys import key_of
    from coolsim.studies.fit.fit import fit_measured, usual_fields
    from coolsim.studies.fit.own_wax import is_of_wax, kept_tables, own_wax
    from coolsim.studies.fit.parameters import Thermometer

    given = _given(files)
    scenarios = read_scenarios([file for file, _ in given])
    figure = asked.figure(scenarios, "fit")
    if out and len(out) != len(given):
        raise typer.BadParameter(
            f"found {len(out)} for {len(given)} scenarios. Give it once for each, in their order.", param_hint="'--out'"
        )
    targets = [target for path in out or () for target in to_file("--out", path, ".toml")]
    with blaming(rest="--keep"):
        kept = None if keep is None else kept_file(keep, scenarios[0].where)
    wax = [] if kept is None else in_folder("--keep", kept.parent, kept.name)
    card = [] if kept is None else in_folder("--figures", asked.folder(), f"{kept.stem}.pdf")
    asked.claim(*targets, *figure, *wax, *card, inputs=[path for pair in given for path in pair])
    usual = Thermometer()
    trust = Thermometer(
        place=_or(place_error, "length", "--place-error", usual.place),
        reading=_or(reading_error, "temperature_difference", "--reading-error", usual.reading),
        clock=_or(clock_error, "duration", "--clock-error", usual.clock),
        lag=_or(lag, "duration", "--lag", usual.lag),
    )
    window = (_or(first, "duration", "--from", 0.0), None if last is None else quantity_of(last, "duration", "--until"))
    measured = _measured(
        scenarios, [log for _, log in given], probe or [], seen or [], window, (log_time, log_temperature, pour_at)
    )
    for one in measured:
        if one.log is not None and trust.lag >= one.log.end:
            raise LogError(
                f"{one.log.where}: the log ends {one.log.end / 60:.0f} min after the pour, and the probes are said to"
                f" lag by {trust.lag / 60:.0f} min. Give a shorter --lag: a thick sheath has half a minute."
            )
    keys = None if fields is None else [key.strip() for key in fields.split(",")]
    with blaming(rest="--range"):
        between = _ranges(ranges or [])
    with blaming(rest="--fields"):
        for key in keys or []:
            key_of(key)
    if kept is not None and not any(is_of_wax(key) for key in keys or usual_fields(measured)):
        raise typer.BadParameter(
            "no value of the wax is fitted. Fit one with --fields, such as wax.latent_heat.", param_hint="'--keep'"
        )
    with blaming({"range": "--range", "fields": "--fields"}), asked.screen.count("fit: run") as on_run:
        found = fit_measured(
            measured, fields=keys, ranges=between, thermometer=trust, workers=asked.workers, on_run=on_run
        )
    units, today = asked.system(scenarios[0]), datetime.date.today()
    written = [_written(found, one, file) for one, (file, _) in zip(scenarios, given, strict=True)] if out else []
    about = scenarios[0] if len(scenarios) == 1 else scenarios
    asked.tell(
        about,
        lambda: [fit_text(found, units=units), *([paragraph(kept_note(found, kept))] if kept else [])],
        lambda: fit_data(found) | ({"kept": kept_data(kept, kept_tables(found))} if kept else {}),
    )
    for path, text in zip(out or [], written, strict=True):
        asked.write(path, text)
    if kept is not None:
        make_folder(kept.parent)
        asked.write(kept, kept_text(found, kept.stem, day=today))
    if figure:
        from coolsim.report.figures.fit import draw_fit

        asked.draw(figure, draw_fit(found, units=units))
    if kept is not None and card:
        from coolsim.report.paper.wax_card import draw_wax_card

        asked.draw(card, draw_wax_card(own_wax(found), kept.stem, day=today, units=units))


def _given(files: list[Path]) -> list[tuple[Path, Path | None]]:
    """Part the files: each scenario with the log that stands behind it."""
    given: list[tuple[Path, Path | None]] = []
    for file in files:
        if not given or file.suffix.lower() == ".toml":
            given.append((file, None))
        elif given[-1][1] is not None:
            raise typer.BadParameter(
                f"found two logs behind {given[-1][0]}, {given[-1][1]} and {file}. Give one, with a column for each"
                " probe."
            )
        else:
            given[-1] = (given[-1][0], file)
    stems = [file.stem for file, _ in given]
    double = next((stem for stem in stems if stems.count(stem) > 1), None)
    if double is not None:
        raise typer.BadParameter(f"found two scenarios called '{double}'. Give one of the files another name.")
    return given


def _measured(
    scenarios: Sequence[Scenario],
    logs: Sequence[Path | None],
    probes: list[str],
    seen: list[str],
    window: tuple[float, float | None],
    ways: tuple[TimeUnit | None, Degrees | None, str | None],
) -> list[Measured]:
    """Read what was measured on each jar; of a box of several, on those that are named."""
    from coolsim.studies.fit.batches import is_batch_log, measured_of, read_batches
    from coolsim.studies.fit.parameters import Measured, jar_name
    from coolsim.studies.fit.seen import jar_told, seen_on

    boxes = {Path(scenario.where).stem: scenario.jar.places is not None for scenario in scenarios}
    told = []
    for option, given in (("--probe", probes), ("--seen", seen)):
        with blaming(rest=option):
            told += [(option, *jar_told(text, boxes)) for text in given]
    stand: dict[str, list[Place | None]] = {
        name: list(dict.fromkeys(jar[1] for _, jar, _ in told if jar and jar[0] == name and jar[1])) or [None]
        for name in boxes
    }
    names = [jar_name(name, place) for name, places in stand.items() for place in places]

    def called(jar: tuple[str, Place | None] | None) -> str | None:
        """Name the jar of a text; a box of which one jar is named is that jar."""
        if jar is None:
            return None
        name, place = jar
        return jar_name(name, place or (stand[name][0] if len(stand.get(name, ())) == 1 else None))

    with blaming({"seen": "--seen"}):
        texts = [rest if jar is None else f"{called(jar)}: {rest}" for option, jar, rest in told if option == "--seen"]
        sights = dict(zip(names, seen_on(texts, names), strict=True))
    own = [(called(jar), rest) for option, jar, rest in told if option == "--probe"]
    for jar, _ in own:
        if jar is not None and jar not in names:
            raise typer.BadParameter(
                f"found the jar '{jar}', but the scenarios are called {' and '.join(names)}.", param_hint="'--probe'"
            )
    found = []
    for (name, places), scenario, log in zip(stand.items(), scenarios, logs, strict=True):
        jars = [jar_name(name, place) for place in places]
        if log is not None and is_batch_log(log):
            found += measured_of(scenario, read_batches(log), str(log))
            if not any(sights[jar] for jar in jars):
                continue
            log = None
        if log is None and not any(sights[jar] for jar in jars):
            where = f"{jars[0]}: " if len(names) > 1 else ""
            raise typer.BadParameter(
                f"nothing was measured on {scenario.where}; give a log, or what was seen, as in --seen '{where}top"
                f" closed=2:10±0:10' or --seen '{where}dish=2 mm±0.5 mm'."
            )
        placed = {text: jar for jar, text in own if jar is None or jar in jars}
        readings = None if log is None else _readings(scenario, log, list(placed), window, ways)
        parts = {jars[0]: readings} if readings is None or len(jars) == 1 else _parted(readings, placed, jars)
        found += [
            Measured(scenario=scenario, log=parts.get(jar), seen=sights[jar], stands=place)
            for jar, place in zip(jars, places, strict=True)
        ]
    return found


def _parted(log: Log, placed: Mapping[str, str | None], jars: Sequence[str]) -> dict[str, Log]:
    """Part the log of a box: each jar gets the probes that name it."""
    jar_of = {text.partition("=")[0].strip().lower(): jar for text, jar in placed.items()}
    stray = next((probe.name for probe in log.probes if jar_of.get(probe.name.lower()) is None), None)
    if stray is not None:
        raise typer.BadParameter(
            f"found the probe '{stray}' and several jars of a box. Name its jar, as in '{jars[0]}: {stray}=0 mm,35"
            " mm'.",
            param_hint="'--probe'",
        )
    parts = {jar: tuple(probe for probe in log.probes if jar_of[probe.name.lower()] == jar) for jar in jars}
    return {jar: replace(log, probes=probes) for jar, probes in parts.items() if probes}


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


def _written(found: Fit, scenario: Scenario, file: Path) -> str:
    from coolsim.report.text.fit import remarks
    from coolsim.scenario.edit import edited_text

    # The line ends and the mark of the file are kept, which reading as text would lose.
    text = file.read_bytes().decode("utf-8")
    mark = text[: text.startswith("\ufeff")]
    return mark + edited_text(text.removeprefix("\ufeff"), scenario, remarks(found))
