"""The page for the phone as one text of HTML: complete without its script, which only moves it."""

from __future__ import annotations

import base64
import hashlib
import json
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
    advice_of,
    band_texts,
    breaks_text,
    drawn,
    events_of,
    levels_of,
    nearest,
    notes_of,
    page_data,
    seen_at,
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
_SOFT = "#d99a2b"
_WICK, _OVER, _MARGIN, _ABOVE = 12, 80, 20, 60  # tenths of a millimetre
_KEY_EVENTS = [BY_KEY[key].label for key in ("rim_set_s", "top_closed_s", "fully_set_s", "top_final_s")]


def page_html(jars: Sequence[PagedJar], *, units: System) -> str:
    """Write the page of one jar or two, poured alike in the same room."""
    times, levels = times_of(jars), levels_of(jars, units)
    pictures = [drawn(one, times, levels) for one in jars]
    data = _inline(page_data(jars, times, pictures, units))
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
        about=_paragraphs(_about(jars, units)),
        heading="".join(f'<span class="name"><bdi>{escape(one.scenario.title)}</bdi></span>' for one in jars),
        room=escape(degrees_text(jars[0].chart.rooms[jars[0].chart.own[0]], units)),
        pour=escape(degrees_text(jars[0].chart.pours[jars[0].chart.own[1]], units)),
        most_room=len(jars[0].chart.rooms) - 1,
        most_pour=len(jars[0].chart.pours) - 1,
        own_room=jars[0].chart.own[0],
        own_pour=jars[0].chart.own[1],
        answers="".join(_answers(one, number, units) for number, one in enumerate(jars)),
        plan=_plan(jars, units),
        plan_notes=_paragraphs(closed_notes([one.plan for one in jars])),
        jars="".join(stage.live(number) for number in range(len(jars))),
        most_time=len(times) - 1,
        events="".join(_events(one, times) for one in jars),
        stills="".join(stage.stills(number, times, pictures[number]) for number in range(len(jars))),
        key=stage.key(),
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


def _paragraphs(texts: Iterable[str]) -> str:
    return "".join(f"<p>{escape(text)}</p>" for text in texts)


def _points(texts: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(text)}</li>' for text in texts)}</ul>"


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
        f'<article class="answer" data-jar="{number}" aria-label="{escape(jar.short)}"><h3>{escape(jar.short)}</h3>'
        f'<p class="flag{" bad" if breaks else ""}" data-flag>{escape(flag)}</p>'
        f"<ul data-notes>{''.join(f'<li>{escape(note)}</li>' for note in notes)}</ul>"
        f"<dl><dt>In this room pour at</dt><dd data-advice>{escape(advice_of(jar.chart.choices[room], units))}</dd>"
        f"<dt>The top will be</dt><dd data-top>{escape(top_of(jar, own.answers or {}, units))}</dd></dl>"
        f'<svg class="sketch" viewBox="{-radius - 30:.0f} -30 {2 * radius + 60:.0f} 190" role="img"'
        f' aria-label="The top, cut through the wick, to scale"><rect class="sketch-glass" x="{-radius - 20:.0f}"'
        f' y="-30" width="{2 * radius + 40:.0f}" height="190"/><rect class="sketch-air" x="{-radius:.0f}" y="-30"'
        f' width="{2 * radius:.0f}" height="190"/><path class="sketch-wax" data-sketch d=""/>'
        f'<path class="poured" d="M{-radius:.0f} 0H{radius:.0f}"/></svg></article>'
    )


def _plan(jars: Sequence[PagedJar], units: System) -> str:
    plans = [one.plan for one in jars]
    scenarios = [one.scenario for one in jars]
    heads = "".join(f'<th scope="col">{escape(one.short)}</th>' for one in jars)
    rows = []
    for name in plan_names(plans):
        why = plan_reason(name, plans, scenarios, units)
        cells = []
        for number, plan in enumerate(plans):
            (told,) = plan_cells(name, [plan])
            step = plan.step(name)
            main = plan.told(step) if step is not None else told
            cells.append(
                f'<td data-cell="{number}"><b>{escape(main)}</b> <small>{escape(told.removeprefix(main).strip())}'
                "</small></td>"
            )
        rows.append(
            f'<tr data-step="{name}"><th scope="row">{escape(step_label(name))} <small data-why>{escape(why)}</small>'
            f"</th>{''.join(cells)}</tr>"
        )
    return (
        f'<table class="plan"><thead><tr><th scope="col">What</th>{heads}</tr></thead><tbody>{"".join(rows)}</tbody>'
        "</table>"
    )


def _events(jar: PagedJar, times: Sequence[float]) -> str:
    buttons = "".join(
        f'<li><button type="button" data-time="{nearest(times, time)}">{escape(what)} <b>{escape(told)}</b></button>'
        "</li>"
        for time, what, told in events_of(jar)
    )
    return f'<h3>{escape(jar.short)}</h3><ul class="events">{buttons}</ul>'


def _rooms(jar: PagedJar, units: System) -> str:
    """Set rooms, the pours that are advised there, and what they give in a table."""
    rows = []
    for number in jar.chart.studied:
        choice = jar.chart.choices[number]
        best = choice.recommended
        cells = [degrees_text(choice.room, units), advice_of(choice, units)]
        if best is None:
            cells += ["–"] * 3
        else:
            times = [best.number(key) for key in ("fully_set_s", "cool_s")]
            cells += ["–" if time is None else f"{hours_minutes(time)} h" for time in times]
            cells.append(top_of(jar, best.answers or {}, units))
        head, *rest = (escape(cell) for cell in cells)
        rows.append(f'<tr><th scope="row">{head}</th>{"".join(f"<td>{cell}</td>" for cell in rest)}</tr>')
    names = ("Room", "Pour at", "Fully set", "May be lidded", "Top")
    heads = "".join(f'<th scope="col">{name}</th>' for name in names)
    return (
        f'<table class="rooms"><caption>{escape(jar.short)}</caption><thead><tr>{heads}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table>"
    )


def _sure(jars: Sequence[PagedJar], units: System) -> list[str]:
    scenarios = [one.scenario for one in jars]
    runs, tried = (sum(getattr(one.chart, name) for one in jars) for name in ("runs", "tried"))
    time, depth = (max(getattr(one.chart, name) for one in jars) for name in ("off_time", "off_depth"))
    told = [caution_for(scenarios), *plan_notes([one.plan for one in jars])]
    told.append(
        "The sliders move through rooms and pours whose answers were run, or worked out from runs beside them, and go"
        f" no further. {runs} runs are behind them. By {tried} more, made to see how far off they are, a time may be off"
        f" by {100.0 * time:.1f} % and a depth of the top by {1e3 * depth:.2f} mm (three times what was found). Where the"
        " sliders start the numbers are those of the run itself."
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
        """Draw a jar that the script fills, with what a thermometer would show beside it."""
        jar = self.jars[number]
        seen = "".join(f"<div><dt>{name}</dt><dd data-seen></dd></div>" for name in SEEN)
        return (
            f'<figure class="jar" data-live="{number}"><figcaption>{escape(jar.short)}</figcaption>'
            f'{self._svg(number, None, f"live{number}")}<dl class="seen">{seen}</dl></figure>'
        )

    def stills(self, number: int, times: Sequence[float], pictures: Sequence[Picture]) -> str:
        """Draw a jar at its key times."""
        jar = self.jars[number]
        seen, found = seen_at(jar, times, self.units), []
        for at, (time, label, told) in enumerate(events_of(jar)):
            if label not in _KEY_EVENTS:
                continue
            frame = nearest(times, time)
            told_seen = "; ".join(f"{name.lower()} {value}" for name, value in zip(SEEN, seen[frame], strict=True))
            found.append(
                f'<figure class="jar">{self._svg(number, pictures[frame], f"still{number}-{at}")}'
                f"<figcaption><b>{escape(label)}, {escape(told)}</b>: {escape(told_seen)}</figcaption></figure>"
            )
        return f'<h3>{escape(jar.short)}</h3><div class="row">{"".join(found)}</div>'

    def key(self) -> str:
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
        if any(one.number("cavity_volume_m3") for one in self.jars):
            lines.append(('<rect class="cavity" width="30" height="16"/>', "hidden cavity"))
        told = [
            f'<li><svg viewBox="0 0 30 16" aria-hidden="true">{mark}</svg> {escape(text)}</li>' for mark, text in lines
        ]
        bands = [
            f'<li><svg viewBox="0 0 30 16" aria-hidden="true"><rect width="30" height="16" fill="{ink}"/></svg>'
            f" {escape(text)}</li>"
            for ink, text in reversed(list(zip(self.inks, band_texts(self.levels, self.units), strict=True)))
        ]
        return (
            f'<ul class="key">{"".join(told)}</ul><p class="what">Right half: temperature of the wax</p>'
            f'<ul class="key bands">{"".join(bands)}</ul>'
        )

    def _svg(self, number: int, picture: Picture | None, name: str) -> str:
        """Draw a jar at one time, or without its wax for the script."""
        jar = self.jars[number]
        parts = "".join(
            f'<rect x="{left}" y="{high}" width="{right - left}" height="{low - high}"'
            f' fill="{_COLOURS.get(part.what, _OTHER)}" class="part"><title>{escape(named(jar.result, part))}</title>'
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
            f'<title id="{name}-title">{escape(jar.short)}, cut through the wick</title>'
            f'<defs><clipPath id="{name}-wax"><path data-wax d="{p.wax}"/></clipPath><pattern id="{name}-dots"'
            ' width="24" height="24" patternUnits="userSpaceOnUse"><circle cx="6" cy="6" r="3" fill="#6b4300"/></pattern>'
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
