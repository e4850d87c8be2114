"""Commands about scenario files: check them, start one."""

from __future__ import annotations

import shlex
from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from coolsim.cli.edge import INVALID
from coolsim.cli.options import ForceOption, JsonOption, QuietOption, Units, UnitsOption
from coolsim.cli.screen import Screen, complain, example, say, say_json
from coolsim.cli.targets import claim, to_file
from coolsim.cli.values import blaming
from coolsim.errors import ScenarioError


class Flaps(StrEnum):
    """Flaps of the box."""

    CLOSED = "closed"
    OPEN = "open"


class Flute(StrEnum):
    """Letter of the corrugated board."""

    E = "E"
    B = "B"
    C = "C"


# Which key of the file an option of `coolsim new` states.
_STATED = {
    "title": "--title",
    "vessel.diameter": "--diameter",
    "vessel.height": "--height",
    "vessel.wall": "--wall",
    "vessel.base": "--base",
    "vessel.material": "--material",
    "wax.kind": "--wax",
    "wax.fragrance_load": "--fragrance-load",
    "pour.temperature": "--pour",
    "pour.level": "--level",
    "pour.volume": "--volume",
    "pour.mass": "--mass",
    "support.material": "--support",
    "support.thickness": "--thickness",
    "box.rows": "--rows",
    "box.columns": "--columns",
    "box.spacing": "--spacing",
    "box.to_wall": "--gap",
    "surround.gap": "--gap",
    "surround.headroom": "--headroom",
    "room.temperature": "--room",
}


def add_to(app: typer.Typer) -> None:
    """Add the commands of this module."""
    app.command(
        short_help="Check scenarios without running them.",
        epilog=example("coolsim check jar.toml", "coolsim check *.toml --json"),
    )(check)
    app.command(
        short_help="Write a scenario to start from.",
        epilog=example(
            "coolsim new jar.toml",
            "coolsim new six.toml --rows 2 --columns 3",
            'coolsim new "my jar.toml" --box --diameter "3 in" --height "3 1/2 in" --volume "8 fl oz" --units us',
        ),
    )(new)


def check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE.toml", hidden=True)],
    units: UnitsOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Check scenarios without running them; all faults of a file are named at once."""
    from coolsim.report.text.scenario import scenario_summary
    from coolsim.scenario import load_scenario

    found: list[dict[str, Any]] = []
    boxes = False
    for file in files:
        try:
            scenario = load_scenario(file)
        except ScenarioError as error:
            found.append({"file": str(file), "fine": False, "faults": list(error.faults)})
        else:
            summary = scenario_summary(scenario, units=units.value if units else None)
            boxes = boxes or scenario.jar.box is not None
            found.append({"file": str(file), "fine": True, "faults": [], "summary": list(summary)})
    if json:
        say_json({"files": found})
    else:
        _tell(found)
    if not all(one["fine"] for one in found):
        raise typer.Exit(INVALID)
    command = "box" if boxes else "run" if len(files) == 1 else "compare"
    Screen(quiet=quiet).hint(f"`coolsim {command} {shlex.join(map(str, files))}`")


def _tell(found: list[dict[str, Any]]) -> None:
    from coolsim.report.text.page import paragraph

    for one in found:
        if one["fine"]:
            say("\n".join([f"{one['file']}: fine", *(paragraph(line) for line in one["summary"])]))
        else:
            complain("\n".join(one["faults"]))


def new(
    file: Annotated[Path, typer.Argument(metavar="NAME.toml", help="The file to write.", show_default=False)],
    title: Annotated[str | None, typer.Option(metavar="TEXT", help="What the report calls it.")] = None,
    diameter: Annotated[
        str | None, typer.Option(metavar="LENGTH", help='Outside diameter of the jar, as in "78 mm" or "3 in".')
    ] = None,
    height: Annotated[str | None, typer.Option(metavar="LENGTH", help="Its outside height.")] = None,
    wall: Annotated[str | None, typer.Option(metavar="LENGTH", help="Thickness of its wall.")] = None,
    base: Annotated[str | None, typer.Option(metavar="LENGTH", help="Thickness of its base.")] = None,
    material: Annotated[
        str | None, typer.Option(metavar="NAME", help="What it is made of: a name of the catalogue.")
    ] = None,
    wax: Annotated[str | None, typer.Option(metavar="NAME", help="Wax of the catalogue.")] = None,
    fragrance_load: Annotated[
        str | None, typer.Option(metavar="SHARE", help='Mass of oil in the mass of the mix, as in "8 %".')
    ] = None,
    pour: Annotated[
        str | None, typer.Option(metavar="TEMPERATURE", help='Pour temperature, as in "65 C" or "150 F".')
    ] = None,
    level: Annotated[str | None, typer.Option(metavar="LENGTH", help="Depth of the hot wax.")] = None,
    volume: Annotated[
        str | None, typer.Option(metavar="VOLUME", help="Volume of the hot wax; give one of level, volume, mass.")
    ] = None,
    mass: Annotated[str | None, typer.Option(metavar="MASS", help="Mass of wax and oil.")] = None,
    support: Annotated[
        str | None, typer.Option(metavar="NAME", help="Material of the bench: a name of the catalogue.")
    ] = None,
    thickness: Annotated[str | None, typer.Option(metavar="LENGTH", help="Thickness of the bench.")] = None,
    box: Annotated[bool, typer.Option("--box/--bare", help="With a cardboard box, or with one in comments.")] = False,
    rows: Annotated[
        int | None, typer.Option(metavar="N", help="Rows of many jars in one box.", show_default=False)
    ] = None,
    columns: Annotated[int | None, typer.Option(metavar="N", help="Jars in each row.", show_default=False)] = None,
    spacing: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Smallest distance between many jars in one box.")
    ] = None,
    gap: Annotated[str | None, typer.Option(metavar="LENGTH", help="Air gap between jar and board.")] = None,
    headroom: Annotated[str | None, typer.Option(metavar="LENGTH", help="Air between the rim and the flaps.")] = None,
    flute: Annotated[Flute | None, typer.Option(help="Letter of the corrugated board.")] = None,
    flaps: Annotated[Flaps | None, typer.Option(help="Whether the box is closed.")] = None,
    room: Annotated[str | None, typer.Option(metavar="TEMPERATURE", help="Room temperature.")] = None,
    units: Annotated[Units | None, typer.Option(help="Units of the report.")] = None,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write a commented scenario to start from.

    Every option is a value of the file and can be changed there. Values state their units.
    """
    from coolsim.report.whole_file import write_text
    from coolsim.scenario import starter_text

    claim(to_file("NAME.toml", file, ".toml"), force=force)
    fills = {name: amount for name, amount in (("level", level), ("volume", volume), ("mass", mass)) if amount}
    if len(fills) > 1:
        raise typer.BadParameter("give one of --level, --volume and --mass.", param_hint=f"'--{list(fills)[1]}'")
    if spacing is not None and rows is None and columns is None:
        raise typer.BadParameter("give --rows and --columns as well.", param_hint="'--spacing'")
    given: dict[str, Any] = {
        "title": title,
        "diameter": diameter,
        "height": height,
        "wall": wall,
        "base": base,
        "material": material,
        "wax": wax,
        "fragrance_load": fragrance_load,
        "pour": pour,
        "support": support,
        "thickness": thickness,
        "rows": rows,
        "columns": columns,
        "spacing": spacing,
        "gap": gap,
        "headroom": headroom,
        "flute": flute and flute.value,
        "flaps": flaps and flaps.value,
        "room": room,
        "units": units and units.value,
    }
    for name, amount in fills.items():
        given |= {"fill": name, "amount": amount}
    given = {name: value for name, value in given.items() if value is not None}
    with blaming(_STATED, where="starter", rest=_named(given, fills)):
        text = starter_text(boxed=box, **given)
    screen = Screen(quiet=quiet)
    screen.wrote(write_text(file, text))
    screen.hint(f"edit it, then `{shlex.join(['coolsim', 'check', str(file)])}`.")


def _named(given: Iterable[str], fills: Iterable[str]) -> str | None:
    """Name the options that were given, for a fault that is that of none of them alone."""
    names = [*(name for name in given if name not in ("fill", "amount")), *fills]
    return " and ".join(f"--{name.replace('_', '-')}" for name in names) or None
