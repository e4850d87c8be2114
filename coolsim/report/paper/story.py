"""What happens in the jar, in plain sentences made from the answers of two runs."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from coolsim.answers.verdict import depth_band, verdict_text
from coolsim.report.figures.panels import vessels
from coolsim.report.text.runs import TitledRun, pour_step
from coolsim.report.wording import difference_text, hours_minutes, length_text, temperature_text, volume_text
from coolsim.solve.curves import PATHS
from coolsim.units import System

_SOON = 3600.0


def story(runs: Sequence[TitledRun], tags: Sequence[str], *, units: System) -> tuple[tuple[str, str], ...]:
    """Tell what happens in the jar: words on what it is about, each with its sentences."""

    def each(tell: Callable[[TitledRun], str]) -> str:
        """Say once what holds for all, else one after the other."""
        told = [tell(run) for run in runs]
        return told[0] if len(set(told)) == 1 else ", ".join(map(" ".join, zip(told, tags, strict=True)))

    def apart(tell: Callable[[TitledRun], str]) -> str:
        """Do so with clauses that have commas of their own."""
        told = [tell(run) for run in runs]
        return told[0] if len(set(told)) == 1 else "; ".join(map(": ".join, zip(tags, told, strict=True)))

    closed = each(lambda run: _time(run, run.events.top_closed))
    wick = each(lambda run: _time(run, run.events.wick_free_until))
    until = "Until then" if wick == closed else f"Until the wax at the wick sets, {wick},"

    vessel = vessels(run.result for run in runs) or "wall"
    return (
        ("Pour", _pour(runs, units)),
        ("First skin", _skin(runs, each, units)),
        (
            "Melt",
            "Wax that cools at the wall sinks along it, and the hottest stays on top. So the surface stays liquid long,"
            f" while the wax sets from the {vessel} inwards. The rim of the top has set after"
            f" {each(lambda run: _time(run, run.events.rim_set))}.",
        ),
        ("Heat", f"It leaves through three sides. {_capital(apart(_heat))}."),
        ("Top", f"The top closes after {closed}. {until} a leaning wick can be straightened."),
        (
            "Shrinking",
            "Wax takes less room when it is cold and solid. While it is soft, its top is drawn down, most"
            " where it stays soft longest. What stiff wax still loses stays inside as pores."
            f" {_capital(apart(lambda run: _cavity(run, units)))}.",
        ),
        (
            "Last liquid",
            f"All has set after {each(lambda run: _time(run, run.events.fully_set))}, last of all"
            f" {each(lambda run: length_text(run.events.last_liquid[1], units))} above the bottom of the wax. Do not"
            " move the jar before.",
        ),
        (
            "In the end",
            f"{_capital(apart(lambda run: _shape(run, units)))}. Cold enough for lid and label after"
            f" {each(lambda run: _time(run, run.events.cool))}.",
        ),
    )


def _time(run: TitledRun, time: float | None) -> str:
    return f"more than {hours_minutes(run.result.time[-1])} h" if time is None else f"{hours_minutes(time)} h"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _pour(runs: Sequence[TitledRun], units: System) -> str:
    told = []
    for run in runs:
        if run.jar is None:
            continue
        start = run.jar.vessel_start
        told.append(
            f"Wax of {temperature_text(run.jar.pour, units)} meets a jar of {temperature_text(start, units)}"
            f" in a room of {temperature_text(run.jar.room.at(0.0), units)}{_shock(run, units)}."
        )
    return " ".join(dict.fromkeys(told))


def _shock(run: TitledRun, units: System) -> str:
    step = pour_step(run)
    limit = None if run.jar is None else run.jar.vessel.shock_limit
    if limit is None or step is None or step <= limit:
        return ""
    return f": {difference_text(step, units)} apart, MORE than the shock limit of {difference_text(limit, units)}"


def _skin(runs: Sequence[TitledRun], each: Callable[[Callable[[TitledRun], str]], str], units: System) -> str:
    if all(run.skin is None for run in runs):
        return "The wall warms up so quickly that no first skin forms on it."

    def tell(run: TitledRun) -> str:
        if run.skin is None:
            return "none forms"
        if run.skin.melted_again is None:
            return "it stays and shows as rings"
        minutes = run.skin.melted_again / 60.0
        return f"it melts again after {minutes:.0f} min" if run.skin.melted_again < _SOON else "it melts again late"

    return (
        f"Where the hot wax meets the cold wall a first skin freezes at once: {each(tell)}. A skin that melts again"
        " leaves no mark."
    )


def _heat(run: TitledRun) -> str:
    shares = dict(run.result.ledger.by_path)
    return ", ".join(f"{100 * shares[path]:.0f} % by the {path}" for path in PATHS)


def _cavity(run: TitledRun, units: System) -> str:
    top = run.set_top
    if top is None:
        return "not known, as it has not set"
    if top.cavity_roof is None or top.cavity_volume < run.result.answers.cavity_from:
        return "no hollow to speak of"
    return f"a hollow of {volume_text(top.cavity_volume, units)}, {length_text(top.cavity_roof, units)} under the top"


def _shape(run: TitledRun, units: System) -> str:
    top = run.set_top
    if top is None:
        return "the wax has not set within the run"
    word = verdict_text(top.dish, top.hole, run.result.answers)
    if top.depth < 0.0:
        return f"the top is {word}, its middle {length_text(-top.depth, units)} above its rim"
    depths = (top.dish, top.depth, *(depth_band(run.result) or (top.depth, top.depth)))
    dish, middle, low, high = (length_text(depth, units) for depth in depths)
    band = f"{low.partition(' ')[0]} to {high.partition(' ')[0]}"
    return f"the top is {word}, {dish} below its rim half-way in, {middle} ({band}) in the middle"
