"""The page for the phone as one text of HTML: complete without its script, which only moves it."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Sequence
from html import escape
from importlib.resources import files as package_files
from string import Template

from coolsim._version import __version__
from coolsim.report.cautions import cautions
from coolsim.report.estimates import estimates_note
from coolsim.report.page.data import (
    SEEN,
    PagedJar,
    advice_of,
    breaks_text,
    events_of,
    levels_of,
    nearest,
    notes_of,
    page_data,
    shown_at,
    times_of,
    top_of,
)
from coolsim.report.page.stage import Stage
from coolsim.report.page.words import as_html, as_json
from coolsim.report.text.day_plan import closed_notes, plan_cells, plan_names, plan_notes, plan_reason
from coolsim.report.text.limits import breach_notes
from coolsim.report.text.runs import titled_runs
from coolsim.report.text.scenario import noteworthy, scenario_summary
from coolsim.report.wording import caution_for, hours_minutes, in_units
from coolsim.scenario.wording import INVENTED
from coolsim.studies.pour.choose import degrees_text
from coolsim.studies.workshop.day_plan import step_label
from coolsim.units import System


def page_html(jars: Sequence[PagedJar], *, units: System) -> str:
    """Write the page of one jar or two, poured alike in the same room."""
    times, levels = times_of(jars), levels_of(jars, units)
    shown = [shown_at(one, times, levels, units) for one in jars]
    data = as_json(page_data(jars, times, shown, units))
    style, script = _kept("page.css"), _kept("page.js")
    stage = Stage(jars, levels, units)
    title = " · ".join(one.scenario.title for one in jars)
    return Template(_kept("page.html")).substitute(
        policy=f"default-src 'none'; img-src data:; style-src {_digest(style)}; script-src {_digest(script)};"
        " base-uri 'none'; form-action 'none'",
        version=__version__,
        title=escape(title),
        style=style,
        script=script,
        data=data,
        caution=as_html(caution_for([one.scenario for one in jars], short=True)),
        about=_paragraphs(_about(jars, units)),
        heading=" ".join(
            f'<span class="name">{f"{as_html(one.short)}: " if len(jars) > 1 else ""}'
            f"<bdi>{escape(one.scenario.title)}</bdi></span>"
            for one in jars
        ),
        room=as_html(degrees_text(jars[0].chart.rooms[jars[0].chart.own[0]], units)),
        pour=as_html(degrees_text(jars[0].chart.pours[jars[0].chart.own[1]], units)),
        fixed="" if len(jars[0].chart.rooms) > 1 else " hidden",
        most_room=len(jars[0].chart.rooms) - 1,
        most_pour=len(jars[0].chart.pours) - 1,
        own_room=jars[0].chart.own[0],
        own_pour=jars[0].chart.own[1],
        answers="".join(_answers(one, number, units) for number, one in enumerate(jars)),
        plan=_plan(jars, units),
        plan_notes=_paragraphs(closed_notes([one.plan for one in jars])),
        jars="".join(stage.live(number) for number in range(len(jars))),
        most_time=len(times) - 1,
        events=_events(jars, times),
        seen=_seen(jars),
        stills="".join(stage.stills(number, times, shown[number]) for number in range(len(jars))),
        key=stage.key(shown),
        rooms="".join(_rooms(one, units) for one in jars),
        care=_points(cautions(titled_runs(
            [(one.scenario.title, one.result) for one in jars], jars=[one.scenario.jar for one in jars]
        ), [one.scenario for one in jars], units=units)),
        sure=_paragraphs(_sure(jars, units)),
    )  # fmt: skip


def _kept(name: str) -> str:
    return (package_files("coolsim.report.page") / name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _paragraphs(texts: Iterable[str]) -> str:
    return "".join(f"<p>{as_html(text)}</p>" for text in texts)


def _points(texts: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{as_html(text)}</li>' for text in texts)}</ul>"


def _about(jars: Sequence[PagedJar], units: System) -> list[str]:
    told: dict[str, None] = {}
    for scenario in (one.scenario for one in jars):
        told[" ".join(scenario_summary(scenario, units=units)[:2])] = None
        # What the pour breaks is told beside the sliders.
        breaches = breach_notes(scenario.jar, stated=scenario.pour_limits, units=units)
        told |= dict.fromkeys(note for note in noteworthy(scenario, units) if note not in breaches)
    return [*told, *([INVENTED] if any(one.scenario.invented for one in jars) else [])]


def _answers(jar: PagedJar, number: int, units: System) -> str:
    """Write what the sliders move beside the plan: the advice, the limits, the top."""
    room, pour = jar.chart.own
    own = jar.candidate(room, pour)
    breaks, notes = breaks_text(own), notes_of(jar, room, pour, units)
    flag = f"Breaks a limit: {breaks}" if breaks else "Keeps all limits"
    radius = 1e4 * float(jar.result.required_wax().r_edges[-1])
    return (
        f'<article class="answer" data-jar="{number}" aria-label="{as_html(jar.short)}"><h3>{as_html(jar.short)}</h3>'
        f'<p class="flag{" bad" if breaks else ""}" data-flag>{as_html(flag)}</p>'
        f"<ul data-notes>{''.join(f'<li>{as_html(note)}</li>' for note in notes)}</ul>"
        f"<dl><dt>In this room pour at</dt><dd data-advice>{as_html(advice_of(jar.chart.choices[room], units))}</dd>"
        f"<dt>The top will be</dt><dd data-top>{as_html(top_of(jar, own.answers or {}, units))}</dd></dl>"
        f'<svg class="sketch" viewBox="{-radius - 30:.0f} -30 {2 * radius + 60:.0f} 190" role="img"'
        f' aria-label="The top, cut through the wick, to scale"><rect class="sketch-glass" x="{-radius - 20:.0f}"'
        f' y="-30" width="{2 * radius + 40:.0f}" height="190"/><rect class="sketch-air" x="{-radius:.0f}" y="-30"'
        f' width="{2 * radius:.0f}" height="190"/><path class="sketch-wax" data-sketch d=""/>'
        f'<path class="poured" d="M{-radius:.0f} 0H{radius:.0f}"/></svg></article>'
    )


def _plan(jars: Sequence[PagedJar], units: System) -> str:
    plans = [one.plan for one in jars]
    scenarios = [one.scenario for one in jars]
    rows = []
    for name in plan_names(plans):
        why = plan_reason(name, plans, scenarios, units)
        cells = []
        for number, plan in enumerate(plans):
            (told,) = plan_cells(name, [plan])
            step = plan.step(name)
            main = plan.told(step) if step is not None else told
            cells.append(
                f'<td data-cell="{number}"><b>{as_html(main)}</b> <span class="when" data-when></span>'
                f" <small>{as_html(told.removeprefix(main).strip())}</small></td>"
            )
        rows.append(
            f'<tr data-step="{name}"><th scope="row">{as_html(step_label(name))} <small data-why>{as_html(why)}</small>'
            f"</th>{''.join(cells)}</tr>"
        )
    return _table("plan", ("What", *(one.short for one in jars)), rows)


def _events(jars: Sequence[PagedJar], times: Sequence[float]) -> str:
    """Set what happens to the jars in a table whose times are buttons."""
    each = [{label: (time, told) for time, label, told in events_of(one)} for one in jars]
    # What no jar tells apart to the minute stands in one line.
    rows: dict[tuple[str, ...], list[str]] = {}
    for label in sorted({*each[0], *each[-1]}, key=lambda label: min(one[label][0] for one in each if label in one)):
        buttons = tuple(
            f'<button type="button" data-time="{nearest(times, one[label][0])}">{as_html(one[label][1])}</button>'
            if label in one
            else "–"
            for one in each
        )
        rows.setdefault(buttons, []).append(label)
    lines = [
        f'<tr><th scope="row">{as_html(" · ".join(labels))}</th>{"".join(f"<td>{one}</td>" for one in buttons)}</tr>'
        for buttons, labels in rows.items()
    ]
    return _table("events", ("What happens", *(one.short for one in jars)), lines)


def _table(name: str, heads: Sequence[str], rows: Sequence[str], *, caption: str = "") -> str:
    told = "".join(f'<th scope="col">{as_html(head)}</th>' for head in heads)
    above = f"<caption>{as_html(caption)}</caption>" if caption else ""
    return f'<table class="{name}">{above}<thead><tr>{told}</tr></thead><tbody>{"".join(rows)}</tbody></table>'


def _rooms(jar: PagedJar, units: System) -> str:
    """Set rooms, the pours that are advised there, and what they give in a table."""
    rows = []
    for number in jar.chart.studied:
        choice = jar.chart.choices[number]
        best = choice.recommended
        room, advice = as_html(degrees_text(choice.room, units)), as_html(advice_of(choice, units))
        if best is None:
            rows.append(f'<tr><th scope="row">{room}</th><td colspan="4">{advice}</td></tr>')
            continue
        times = [best.number(key) for key in ("fully_set_s", "cool_s")]
        cells = ["–" if time is None else f"{hours_minutes(time)} h" for time in times]
        cells.append(top_of(jar, best.answers or {}, units))
        told = "".join(f"<td>{as_html(cell)}</td>" for cell in cells)
        rows.append(f'<tr><th scope="row">{room}</th><td>{advice}</td>{told}</tr>')
    return _table("rooms", ("Room", "Pour at", "Fully set", "May be lidded", "Top"), rows, caption=jar.short)


def _seen(jars: Sequence[PagedJar]) -> str:
    """Leave a place for what a thermometer and a ruler would show in each jar, which the script fills."""
    rows = [
        f'<tr><th scope="row">{name}</th>{"".join(f"<td data-seen={number}></td>" for number in range(len(jars)))}</tr>'
        for name in SEEN
    ]
    return _table("seen", ("At that time", *(one.short for one in jars)), rows)


def _sure(jars: Sequence[PagedJar], units: System) -> list[str]:
    scenarios = [one.scenario for one in jars]
    runs, tried = (sum(getattr(one.chart, name) for one in jars) for name in ("runs", "tried"))
    time, depth = (max(getattr(one.chart, name) for one in jars) for name in ("off_time", "off_depth"))
    # Finer than a ruler, and so than a length is written elsewhere.
    factor, _, unit = in_units("length", units)
    deep = f"{factor * depth:.{2 if units == 'metric' else 3}f} {unit}"
    told = [caution_for(scenarios), *plan_notes([one.plan for one in jars])]
    told.append(
        "The sliders move through rooms and pours whose answers were run, or worked out from runs beside them, and go"
        f" no further. {runs} runs are behind them. By {tried} more, made to see how far off they are, a time may be"
        f" off by {100.0 * time:.1f} % and a depth of the top by {deep} (three times what was found)."
        " Where the sliders start the numbers are those of the run itself. A first skin may melt one degree sooner or"
        " later than they say."
    )
    told.append(
        "How far times and tops may be off was worked out for the room and the pour where the sliders start. Elsewhere"
        " the page takes it to be as wide in proportion: an estimate, within an eighth where it was tried."
    )
    told += dict.fromkeys(f"Warning: {warning}" for one in jars for warning in one.result.warnings)
    return [*told, estimates_note(scenarios)]
