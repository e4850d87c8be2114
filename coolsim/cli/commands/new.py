"""The command that writes a scenario to start from."""

from __future__ import annotations

import shlex
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.given import read_scenario
from coolsim.cli.options import Units, takes
from coolsim.cli.targets import to_file
from coolsim.cli.values import blaming


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
    "places.rows": "--rows",
    "places.columns": "--columns",
    "places.spacing": "--spacing",
    "places.to_wall": "--gap",
    "surround.gap": "--gap",
    "surround.headroom": "--headroom",
    "room.temperature": "--room",
}


@command(
    "Write a scenario to start from.",
    "coolsim new jar.toml",
    "coolsim new six.toml --rows 2 --columns 3",
    'coolsim new "my jar.toml" --box --diameter "3 in" --height "3 1/2 in" --volume "8 fl oz" --units us',
    asks=("force",),
)
def new(
    asked: Asked,
    file: Annotated[Path, typer.Argument(metavar="NAME.toml", help="The file to write.", show_default=False)],
    title: Annotated[str | None, takes("TEXT", "What the report calls it.")] = None,
    diameter: Annotated[str | None, takes("LENGTH", 'Outside diameter of the jar, as in "78 mm" or "3 in".')] = None,
    height: Annotated[str | None, takes("LENGTH", "Its outside height.")] = None,
    wall: Annotated[str | None, takes("LENGTH", "Thickness of its wall.")] = None,
    base: Annotated[str | None, takes("LENGTH", "Thickness of its base.")] = None,
    material: Annotated[str | None, takes("NAME", 'What it is made of: a name of the catalogue, or "tin".')] = None,
    wax: Annotated[str | None, takes("NAME", 'Wax of the catalogue, or "soy".')] = None,
    fragrance_load: Annotated[str | None, takes("SHARE", 'Mass of oil in the mass of the mix, as in "8 %".')] = None,
    pour: Annotated[str | None, takes("TEMPERATURE", 'Pour temperature, as in "60 C" or "140 F".')] = None,
    level: Annotated[str | None, takes("LENGTH", "Depth of the hot wax.")] = None,
    volume: Annotated[str | None, takes("VOLUME", "Volume of the hot wax; give one of level, volume, mass.")] = None,
    mass: Annotated[str | None, takes("MASS", "Mass of wax and oil.")] = None,
    support: Annotated[str | None, takes("NAME", "Material of the bench: a name of the catalogue.")] = None,
    thickness: Annotated[str | None, takes("LENGTH", "Thickness of the bench.")] = None,
    box: Annotated[bool, typer.Option("--box/--bare", help="With a cardboard box, or with one in comments.")] = False,
    rows: Annotated[int | None, takes("N", "Rows of many jars in one box.")] = None,
    columns: Annotated[int | None, takes("N", "Jars in each row.")] = None,
    spacing: Annotated[str | None, takes("LENGTH", "Smallest distance between many jars in one box.")] = None,
    gap: Annotated[str | None, takes("LENGTH", "Air gap between jar and board.")] = None,
    headroom: Annotated[str | None, takes("LENGTH", "Air between the brim and the flaps.")] = None,
    flute: Annotated[Flute | None, typer.Option(help="Letter of the corrugated board.")] = None,
    flaps: Annotated[Flaps | None, typer.Option(help="Whether the box is closed.")] = None,
    room: Annotated[str | None, takes("TEMPERATURE", "Room temperature.")] = None,
    units: Annotated[Units | None, typer.Option(help="Units of the report.")] = None,
) -> None:
    """Write a commented scenario to start from.

    Every option is a value of the file and can be changed there. Values state their units.
    """
    given: dict[str, Any] = {
        name: value for name, value in locals().items() if value is not None and name not in ("asked", "file")
    }
    from coolsim.report.text.page import paragraph
    from coolsim.report.text.scenario import scenario_summary
    from coolsim.scenario import starter_text

    asked.claim(*to_file("NAME.toml", file, ".toml"), inputs=[])
    boxed = given.pop("box")
    fills = {name: given.pop(name) for name in ("level", "volume", "mass") if name in given}
    if len(fills) > 1:
        raise typer.BadParameter("give one of --level, --volume and --mass.", param_hint=f"'--{list(fills)[1]}'")
    if spacing is not None and rows is None and columns is None:
        raise typer.BadParameter("give --rows and --columns as well.", param_hint="'--spacing'")
    # The options that were given, for a fault that is that of none of them alone.
    named = " and ".join(f"--{name.replace('_', '-')}" for name in (*given, *fills)) or None
    for name, amount in fills.items():
        given |= {"fill": name, "amount": amount}
    with blaming(_STATED, where="starter", rest=named):
        text = starter_text(boxed=boxed, **given)
    asked.write(file, text)
    scenario = read_scenario(file)
    fill, _, *notes = scenario_summary(scenario)
    asked.screen.tell("\n".join(map(paragraph, (fill, *notes))))
    asked.screen.hint(f"edit it, then `{shlex.join(['coolsim', 'check', str(file)])}`.")
