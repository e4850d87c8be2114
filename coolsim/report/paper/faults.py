"""Fault, cause and cure of a jar: what its own runs say, in words for a class."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from coolsim.answers.answer import Value, number_of
from coolsim.answers.catalogue import BY_KEY, beyond_shock, skin_stays
from coolsim.report.text.changes import change_text
from coolsim.report.text.runs import TitledRun
from coolsim.report.wording import called, capital, difference_text, hours_minutes, length_text, top_text, volume_text
from coolsim.studies.workshop.advice import Advice, TriedChange
from coolsim.units import System

SEEN_FROM = 3e-4
"""From this difference of depths on a change counts as a cure of the top, an estimate: nobody sees less [m]."""

_MOST = 3
_CRACKED = "Cracked jar"
_RIM_FIRST = "The rim sets and stiffens first; the middle stays soft, and sinks as the wax contracts."


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """What one may see, why it comes, how it is with this very jar, and what cures it."""

    seen: str
    cause: str
    here: str
    cure: str


def faults_of(run: TitledRun, advice: Advice, *, moved: str, straight: str, units: System) -> tuple[Fault, ...]:
    """List faults of a jar with their cures, those that this jar has first.

    `moved` and `straight` are the times of the plan until which the jar stays where it is, and until which its wick can
    be straightened, as the plan tells them.
    """
    wall = called(run.result, "glass")
    faults = (
        Fault(
            seen="Pit or dish in the top",
            cause=_RIM_FIRST,
            here=f"{capital(top_text(run.result, units))}.",
            cure=_helps(advice, "depth_m", SEEN_FROM, length_text, units)
            or "Nothing that was tried makes a difference that one sees.",
        ),
        Fault(
            seen="Hollow under the top",
            cause="A stiff top bears while the wax under it still shrinks.",
            here=_hollow(run, units),
            cure=_helps(advice, "cavity_volume_m3", run.result.answers.cavity_from, volume_text, units)
            or "Open it with hot air, so that it fills.",
        ),
        Fault(
            seen=f"Rings at the {wall}",
            cause=f"Hot wax froze on the cold {wall} at once, and did not melt again.",
            here=_skin(advice),
            cure=_turns(advice, skin_stays, units),
        ),
        Fault(
            seen=_CRACKED,
            cause="Wax much hotter than the glass.",
            here=_shock(advice, units),
            cure=_turns(advice, beyond_shock, units),
        ),
        Fault(
            seen="Leaning wick",
            cause="It moved before the wax held it.",
            here=f"It can be straightened until {straight}.",
            cure="Straighten it in time, or melt the top again with hot air.",
        ),
        Fault(
            seen="Torn or slopped top",
            cause="The jar was moved while the wax inside was soft.",
            here=f"Do not move it until {moved}.",
            cure="Leave it; then hot air on the top.",
        ),
        Fault(
            seen=f"Pale patches at the {wall}",
            cause=f"The wax has let go of the {wall} there.",
            here=f"Not computed: coolsim does not know how wax sticks to {wall}.",
            cure="Common practice, no source: clean, warm jars and slow cooling.",
        ),
    )
    # Metal does not crack.
    return tuple(one for one in faults if one.seen != _CRACKED or run.jar is None or run.jar.vessel.shock_limit)


def _skin(advice: Advice) -> str:
    if skin_stays(advice.usual):
        return "They stay."
    return "None forms." if advice.usual["skin_formed_s"] is None else "The first skin melts again."


def _hollow(run: TitledRun, units: System) -> str:
    top = run.set_top
    if top is None or top.cavity_volume < run.result.answers.cavity_from:
        return "None to speak of."
    return f"{volume_text(top.cavity_volume, units)} of it."


def _shock(advice: Advice, units: System) -> str:
    pour, jar, limit = (number_of(advice.usual[name]) for name in ("pour_C", "jar_C", "shock_limit_K"))
    if pour is None or jar is None or limit is None:
        return "No limit is known."
    told = f"{difference_text(pour - jar, units)} between wax and jar"
    return (
        f"{told}, MORE than the limit of {difference_text(limit, units)}."
        if pour - jar > limit
        else (f"{told}, within the limit of {difference_text(limit, units)}.")
    )


def _helps(advice: Advice, key: str, least: float, told: Callable[[float, System], str], units: System) -> str:
    """Name the changes that make an answer smaller by something that counts, those that help most first."""
    usual = number_of(advice.usual[key])
    found: list[tuple[float, TriedChange]] = []
    for trial in advice.trials:
        value = None if trial.answers is None else number_of(trial.answers[key])
        if usual is not None and value is not None and usual - value >= least:
            found.append((value, trial))
    found.sort(key=lambda one: one[0])
    return "; ".join(
        f"{capital(change_text(trial.change, trial.value, units))}: {told(value, units)}{_besides(advice, trial)}"
        for value, trial in found[:_MOST]
    )


def _besides(advice: Advice, trial: TriedChange) -> str:
    """Say what else a change brings: a fault of its own, and how much later the jar is set."""
    answers = trial.answers
    if answers is None:
        return ""
    told = []
    if skin_stays(answers) and not skin_stays(advice.usual):
        told.append("but rings at the wall")
    if beyond_shock(answers) and not beyond_shock(advice.usual):
        told.append("but too hot for the jar")
    after, before = (number_of(one[BY_KEY["fully_set_s"].key]) for one in (answers, advice.usual))
    if after is not None and before is not None and after > before + 600.0:
        told.append(f"set {hours_minutes(after - before)} h later")
    return f" ({', '.join(told)})" if told else ""


def _turns(advice: Advice, holds: Callable[[Mapping[str, Value]], bool], units: System) -> str:
    """Name the changes that end a fault that this jar has, or bring one that it has not."""
    now = holds(advice.usual)
    changes = [
        change_text(trial.change, trial.value, units)
        for trial in advice.trials
        if trial.answers is not None and holds(trial.answers) != now
    ]
    if not changes:
        return "Nothing that was tried ends it." if now else "Nothing that was tried brings it on."
    return f"{'Ends' if now else 'Would come'} with: {'; '.join(changes)}."
