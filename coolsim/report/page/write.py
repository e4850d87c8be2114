"""The page for the phone as one text of HTML: complete without its script, which only moves it."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Iterable, Sequence
from html import escape
from importlib.resources import files as package_files
from string import Template

from coolsim._version import __version__
from coolsim.answers.catalogue import BY_KEY
from coolsim.report.cautions import cautions
from coolsim.report.estimates import estimates_note
from coolsim.report.figures.cut import GLASS, WAX
from coolsim.report.figures.style import colours
from coolsim.report.page.data import (
    SEEN,
    PagedJar,
    Shown,
    advice_of,
    breaks_text,
    degrees_of,
    events_of,
    hard,
    levels_of,
    nearest,
    notes_of,
    page_data,
    shown_at,
    times_of,
    top_of,
)
from coolsim.report.page.outlines import Picture, named, parts_of
from coolsim.report.text.day_plan import closed_notes, plan_cells, plan_names, plan_notes, plan_reason
from coolsim.report.text.limits import breach_notes
from coolsim.report.text.runs import titled_runs
from coolsim.report.text.scenario import noteworthy, scenario_summary
from coolsim.report.wording import caution_for, hours_minutes
from coolsim.scenario.wording import INVENTED
from coolsim.studies.pour.choose import degrees_text
from coolsim.studies.workshop.day_plan import step_label
from coolsim.units import System

_COLOURS = {
    "glass": GLASS, "bench": "#d9d6d0", "board": "#d2bd97", "pad": "#d2bd97", "flaps": "#d2bd97", "wax": WAX,
}  # fmt: skip
_OTHER = "#dcdcdc"
_TYPED = re.compile("`([^`]*)`")
_SOFT = "#d99a2b"
_WICK, _OVER, _MARGIN, _ABOVE = 12, 80, 20, 60  # tenths of a millimetre
_KEY_EVENTS = [BY_KEY[key].label for key in ("rim_set_s", "top_closed_s", "fully_set_s", "top_final_s")]


def page_html(jars: Sequence[PagedJar], *, units: System) -> str:
    """Write the page of one jar or two, poured alike in the same room."""
    times, levels = times_of(jars), levels_of(jars, units)
    shown = [shown_at(one, times, levels, units) for one in jars]
    data = _inline(page_data(jars, times, shown, units))
    style, script = _kept("page.css"), _kept("page.js")
    stage = _Stage(jars, levels, units)
    title = " · ".join(one.scenario.title for one in jars)
    return Template(_kept("page.html")).substitute(
        policy=f"default-src 'none'; img-src data:; style-src {_digest(style)}; script-src {_digest(script)};"
        " base-uri 'none'; form-action 'none'",
        version=__version__,
        title=escape(title),
        style=style,
        script=script,
        data=data,
        caution=_text(caution_for([one.scenario for one in jars], short=True)),
        about=_paragraphs(_about(jars, units)),
        heading="".join(f'<span class="name"><bdi>{escape(one.scenario.title)}</bdi></span>' for one in jars),
        room=_text(degrees_text(jars[0].chart.rooms[jars[0].chart.own[0]], units)),
        pour=_text(degrees_text(jars[0].chart.pours[jars[0].chart.own[1]], units)),
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
        key=stage.key(hollow=any(picture.cavity for one in shown for picture in one.pictures)),
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


def _inline(data: object) -> str:
    """Write data so that no text in it can end the element that holds it, or begin another one."""
    told = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for letter in "<>&\u2028\u2029":
        told = told.replace(letter, f"\\u{ord(letter):04x}")
    return told


def _text(text: str) -> str:
    """Escape a text; numbers stay with their units, and what is typed looks like it."""
    return _TYPED.sub(r"<code>\1</code>", escape(hard(text)))


def _paragraphs(texts: Iterable[str]) -> str:
    return "".join(f"<p>{_text(text)}</p>" for text in texts)


def _points(texts: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{_text(text)}</li>' for text in texts)}</ul>"


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
        f'<article class="answer" data-jar="{number}" aria-label="{_text(jar.short)}"><h3>{_text(jar.short)}</h3>'
        f'<p class="flag{" bad" if breaks else ""}" data-flag>{_text(flag)}</p>'
        f"<ul data-notes>{''.join(f'<li>{_text(note)}</li>' for note in notes)}</ul>"
        f"<dl><dt>In this room pour at</dt><dd data-advice>{_text(advice_of(jar.chart.choices[room], units))}</dd>"
        f"<dt>The top will be</dt><dd data-top>{_text(top_of(jar, own.answers or {}, units))}</dd></dl>"
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
                f'<td data-cell="{number}"><b>{_text(main)}</b> <small>{_text(told.removeprefix(main).strip())}'
                "</small></td>"
            )
        rows.append(
            f'<tr data-step="{name}"><th scope="row">{_text(step_label(name))} <small data-why>{_text(why)}</small>'
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
            f'<button type="button" data-time="{nearest(times, one[label][0])}">{_text(one[label][1])}</button>'
            if label in one
            else "–"
            for one in each
        )
        rows.setdefault(buttons, []).append(label)
    lines = [
        f'<tr><th scope="row">{_text(" · ".join(labels))}</th>{"".join(f"<td>{one}</td>" for one in buttons)}</tr>'
        for buttons, labels in rows.items()
    ]
    return _table("events", ("What happens", *(one.short for one in jars)), lines)


def _table(name: str, heads: Sequence[str], rows: Sequence[str], *, caption: str = "") -> str:
    told = "".join(f'<th scope="col">{_text(head)}</th>' for head in heads)
    above = f"<caption>{_text(caption)}</caption>" if caption else ""
    return f'<table class="{name}">{above}<thead><tr>{told}</tr></thead><tbody>{"".join(rows)}</tbody></table>'


def _rooms(jar: PagedJar, units: System) -> str:
    """Set rooms, the pours that are advised there, and what they give in a table."""
    rows = []
    for number in jar.chart.studied:
        choice = jar.chart.choices[number]
        best = choice.recommended
        room, advice = _text(degrees_text(choice.room, units)), _text(advice_of(choice, units))
        if best is None:
            rows.append(f'<tr><th scope="row">{room}</th><td colspan="4">{advice}</td></tr>')
            continue
        times = [best.number(key) for key in ("fully_set_s", "cool_s")]
        cells = ["–" if time is None else f"{hours_minutes(time)} h" for time in times]
        cells.append(top_of(jar, best.answers or {}, units))
        told = "".join(f"<td>{_text(cell)}</td>" for cell in cells)
        rows.append(f'<tr><th scope="row">{room}</th><td>{advice}</td>{told}</tr>')
    return _table("rooms", ("Room", "Pour at", "Fully set", "May be lidded", "Top"), rows, caption=jar.short)


def _seen(jars: Sequence[PagedJar]) -> str:
    """Leave a place for what a thermometer and a ruler would show in each jar, which the script fills."""
    rows = [
        f'<tr><th scope="row">{name}</th>{"".join(f"<td data-seen={number}></td>" for number in range(len(jars)))}</tr>'
        for name in SEEN
    ]
    return _table("seen", ("What you would measure", *(one.short for one in jars)), rows)


def _sure(jars: Sequence[PagedJar], units: System) -> list[str]:
    scenarios = [one.scenario for one in jars]
    runs, tried = (sum(getattr(one.chart, name) for one in jars) for name in ("runs", "tried"))
    time, depth = (max(getattr(one.chart, name) for one in jars) for name in ("off_time", "off_depth"))
    told = [caution_for(scenarios), *plan_notes([one.plan for one in jars])]
    told.append(
        "The sliders move through rooms and pours whose answers were run, or worked out from runs beside them, and go"
        f" no further. {runs} runs are behind them. By {tried} more, made to see how far off they are, a time may be"
        f" off by {100.0 * time:.1f} % and a depth of the top by {1e3 * depth:.2f} mm (three times what was found)."
        " Where the sliders start the numbers are those of the run itself."
    )
    told.append(
        "How far times and tops may be off was worked out for the room and the pour where the sliders start. Elsewhere"
        " the page takes it to be as wide in proportion (estimate)."
    )
    told += dict.fromkeys(f"Warning: {warning}" for one in jars for warning in one.result.warnings)
    return [*told, estimates_note(scenarios)]


class _Stage:
    """The cut jars, all to one scale."""

    def __init__(self, jars: Sequence[PagedJar], levels: Sequence[float], units: System) -> None:
        self.jars, self.levels, self.units = jars, levels, units
        self.parts = [parts_of(one.result) for one in jars]
        boxes = [part.box for parts in self.parts for part in parts]
        left, right = min(box[0] for box in boxes), max(box[2] for box in boxes)
        wicks = [round(-1e4 * one.result.required_wax().z_edges[-1]) - _OVER for one in jars]
        top, low = min(*wicks, *(box[1] for box in boxes)) - _MARGIN, max(box[3] for box in boxes)
        self.view = (left, top, right - left, low - top)
        bands = len(levels) - 1
        self.inks = [_hex(colours()((number + 0.5) / bands)) for number in range(bands)]

    def live(self, number: int) -> str:
        """Draw a jar that the script fills."""
        jar = self.jars[number]
        return (
            f'<figure class="jar" data-live="{number}"><figcaption>{_text(jar.short)}</figcaption>'
            f"{self._svg(number, None, f'live{number}')}</figure>"
        )

    def stills(self, number: int, times: Sequence[float], shown: Shown) -> str:
        """Draw a jar at its key times."""
        jar = self.jars[number]
        found = []
        for at, (time, label, told) in enumerate(events_of(jar)):
            if label not in _KEY_EVENTS:
                continue
            frame = nearest(times, time)
            told_seen = "; ".join(
                f"{name.lower()} {value}" for name, value in zip(SEEN, shown.seen[frame], strict=True)
            )
            found.append(
                f'<figure class="jar">{self._svg(number, shown.pictures[frame], f"still{number}-{at}")}'
                f"<figcaption><b>{_text(label)}, {_text(told)}</b>: {_text(told_seen)}</figcaption></figure>"
            )
        return f'<h3>{_text(jar.short)}</h3><div class="row">{"".join(found)}</div>'

    def key(self, *, hollow: bool) -> str:
        """Say what the colours, lines and patterns are."""
        share = 100.0 * self.jars[0].result.sets_at
        lines = [
            (f'<rect class="soft" width="30" height="16" fill="{_SOFT}"/>', "left half: liquid or soft"),
            (f'<rect width="30" height="16" fill="{WAX}"/>', "left half: set"),
            ('<path class="front" d="M0 8H30"/>', f"solid front: {share:.0f} % liquid left, the wax has set"),
            ('<path class="stiff" d="M0 8H30"/>', "stiff front: outside of it the wax is no longer drawn down"),
            ('<path class="poured" d="M0 8H30"/>', "poured to here"),
            ('<rect class="wick" width="30" height="16"/>', "wick (not computed)"),
        ]
        if hollow:
            lines.append(('<rect class="cavity" width="30" height="16"/>', "hidden cavity"))
        told = [
            f'<li><svg viewBox="0 0 30 16" aria-hidden="true">{mark}</svg> {_text(text)}</li>' for mark, text in lines
        ]
        degrees = degrees_of(self.levels, self.units)
        bands = "".join(
            f'<rect x="{10 * at}" width="10" height="14" fill="{ink}"><title>{_text(f"{low} to {high}")}</title></rect>'
            for at, (ink, low, high) in enumerate(zip(self.inks, degrees, degrees[1:], strict=False))
        )
        numbers = "".join(
            f'<text x="{10 * at}" y="23">{one.partition(" ")[0]}</text>'
            for at, one in enumerate(degrees)
            if at % 2 == 0
        )
        unit = degrees[0].rpartition(" ")[2]
        return (
            f'<ul class="key">{"".join(told)}</ul><p class="what">Right half: temperature of the wax [{unit}]</p>'
            f'<svg class="scale" viewBox="-6 0 {10 * len(self.inks) + 12} 26" role="img" aria-label="Scale of the'
            f' temperature, from {_text(degrees[0])} to {_text(degrees[-1])}">{bands}{numbers}</svg>'
        )

    def _svg(self, number: int, picture: Picture | None, name: str) -> str:
        """Draw a jar at one time, or without its wax for the script."""
        jar = self.jars[number]
        parts = "".join(
            f'<rect x="{left}" y="{high}" width="{right - left}" height="{low - high}"'
            f' fill="{_COLOURS.get(part.what, _OTHER)}" class="part"><title>{_text(named(jar.result, part))}</title>'
            "</rect>"
            for part in self.parts[number]
            if part.what != "wax"
            for left, high, right, low in [part.box]
        )
        depth = round(1e4 * float(jar.result.required_wax().z_edges[-1]))
        radius = round(1e4 * float(jar.result.required_wax().r_edges[-1]))
        p = picture or Picture(wax="", top="", soft="", front="", stiff="", bands=("",) * len(self.inks), cavity="")
        bands = "".join(
            f'<path data-band fill="{ink}" stroke="{ink}" stroke-width="2" d="{band}"/>'
            for ink, band in zip(self.inks, p.bands, strict=True)
        )
        left, top, width, height = self.view
        return (
            f'<svg viewBox="{left} {top} {width} {height}" role="img" aria-labelledby="{name}-title">'
            f'<title id="{name}-title">{_text(jar.short)}, cut through the wick</title>'
            f'<defs><clipPath id="{name}-wax"><path data-wax d="{p.wax}"/></clipPath><pattern id="{name}-dots"'
            ' width="24" height="24" patternUnits="userSpaceOnUse"><circle cx="6" cy="6" r="3" fill="#6b4300"/>'
            "</pattern>"
            "</defs>"
            f'{parts}<g clip-path="url(#{name}-wax)"><rect x="{-radius}" y="{-depth}" width="{2 * radius}"'
            f' height="{depth}" fill="{WAX}"/><g transform="scale(-1 1)"><path data-soft fill="{_SOFT}" d="{p.soft}"/>'
            f'<path data-soft fill="url(#{name}-dots)" d="{p.soft}"/></g><g>{bands}</g>'
            f'<path data-front class="halo" d="{p.front}"/><path data-front class="front" d="{p.front}"/>'
            f'<path data-stiff class="halo" d="{p.stiff}"/><path data-stiff class="stiff" d="{p.stiff}"/>'
            f'<g transform="scale(-1 1)"><path data-front class="front" d="{p.front}"/>'
            f'<path data-stiff class="stiff" d="{p.stiff}"/></g>'
            f'<path data-cavity class="cavity" d="{p.cavity}"/></g>'
            f'<path class="poured" d="M{-radius} {-depth}H{radius}"/><path data-topline class="top" d="{p.top}"/>'
            f'<rect class="wick" x="{-_WICK}" y="{-depth - _OVER}" width="{2 * _WICK}" height="{depth + _OVER}"/>'
            "</svg>"
        )


def _hex(colour: Sequence[float]) -> str:
    return "#" + "".join(f"{round(255 * one):02x}" for one in colour[:3])
