"""The command that checks scenarios."""

from __future__ import annotations

import shlex
from typing import Any

import typer

from coolsim.cli.command import Asked, command
from coolsim.cli.edge import INVALID
from coolsim.cli.given import read_scenario
from coolsim.cli.options import ScenarioFiles
from coolsim.cli.screen import complain, say, say_json
from coolsim.errors import ScenarioError


@command(
    "Check scenarios without running them.",
    "coolsim check jar.toml",
    "coolsim check *.toml --json",
    asks=("units", "json"),
)
def check(asked: Asked, files: ScenarioFiles) -> None:
    """Check scenarios without running them; all faults of a file are named at once."""
    from coolsim.report.text.page import text_of
    from coolsim.report.text.scenario import scenario_summary, softness_data, softness_table

    found: list[dict[str, Any]] = []
    boxes, tables = False, dict[str, str]()
    for file in files:
        try:
            scenario = read_scenario(file)
        except ScenarioError as error:
            found.append({"file": str(file), "fine": False, "faults": list(error.faults)})
        else:
            units = asked.system(scenario)
            summary = list(scenario_summary(scenario, units=units))
            boxes = boxes or scenario.jar.places is not None
            found.append({"file": str(file), "fine": True, "faults": [], "summary": summary})
            found[-1]["softness"] = softness_data(scenario)
            tables[str(file)] = text_of([softness_table(scenario, units=units)])
    if asked.json:
        say_json({"files": found})
    else:
        _tell(found, tables)
    if not all(one["fine"] for one in found):
        raise typer.Exit(INVALID)
    command = "box" if boxes else "run" if len(files) == 1 else "compare"
    asked.screen.hint(f"`coolsim {command} {shlex.join(map(str, files))}`")


def _tell(found: list[dict[str, Any]], tables: dict[str, str]) -> None:
    from coolsim.report.text.page import paragraph

    for one in found:
        if one["fine"]:
            told = "\n".join([f"{one['file']}: fine", *(paragraph(line) for line in one["summary"])])
            say(f"{told}\n\n{tables[one['file']]}\n")
        else:
            complain("\n".join(one["faults"]))
