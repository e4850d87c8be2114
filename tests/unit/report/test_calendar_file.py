"""The plan as iCalendar (RFC 5545), read back by the package icalendar and held against the rules of the standard."""

import datetime
import re
from dataclasses import replace

import icalendar
import pytest

from coolsim.errors import ScenarioError
from coolsim.report.text.calendar import calendar_text
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.workshop.day_plan import plan_day
from tests.support.pair import closed_pair

QUICK = {"run.refinement": 0.5, "run.tolerance": "1 K"}
# What RFC 5545 escapes (section 3.3.11), and letters of two to four octets, which a fold must not cut (3.1).
TITLE = "Nº 5; wax, oil & 'Früchte' \\ 蜡烛 🕯 with a title so long that its lines are folded twice over"
DAY = with_overrides(
    closed_pair()[0], {**QUICK, "title": TITLE, "plan.start": "18:00", "date": "2026-12-31", "wax.fragrance": "Fig"}
)


@pytest.fixture(scope="module")
def result():
    return simulate(DAY.jar)


@pytest.fixture(scope="module")
def plan(result):
    return plan_day(DAY, result)


@pytest.fixture(scope="module")
def text(plan):
    return calendar_text(DAY, plan)


@pytest.fixture(scope="module")
def events(text):
    return icalendar.Calendar.from_ical(text).walk("VEVENT")


def test_lines_end_and_fold_as_the_standard_says(text):
    """RFC 5545, 3.1: lines end in CR LF and should not be longer than 75 octets."""
    assert text.endswith("END:VCALENDAR\r\n")
    assert "\n" not in text.replace("\r\n", "")
    lines = text.encode().split(b"\r\n")
    assert max(map(len, lines)) <= 75
    # No letter is cut by a fold: each line alone is UTF-8.
    assert all(line.decode() or line == b"" for line in lines)
    assert any(line.startswith(b" ") for line in lines)


def test_values_are_written_in_the_grammar_of_the_standard(text):
    """RFC 5545, 3.3.11 and 3.3.5: what a lenient reader forgives."""
    lines = text.replace("\r\n ", "").split("\r\n")
    texts = [line.partition(":")[2] for line in lines if line.startswith(("SUMMARY:", "DESCRIPTION:"))]
    assert len(texts) == 30
    assert all(re.fullmatch(r"(?:[^\x00-\x1f\x7f\\;,]|\\[\\;,nN])*", one) for one in texts)
    stamps = [line for line in lines if line.startswith("DTSTAMP")]
    assert all(re.fullmatch(r"DTSTAMP:\d{8}T\d{6}Z", line) for line in stamps)
    starts = [line for line in lines if line.startswith(("DTSTART", "DTEND"))]
    assert all(re.fullmatch(r"DT(START|END):\d{8}T\d{6}", line) for line in starts)


def test_another_program_reads_what_was_meant(plan, events):
    assert len(events) == len(plan.steps)
    for event, step in zip(events, plan.steps, strict=True):
        assert not event.errors
        assert str(event["SUMMARY"]) == f"{step.what}: {TITLE}"
        assert "Hot wax burns skin" in event["DESCRIPTION"]
        assert "\n\n" in event["DESCRIPTION"]


def test_times_are_those_of_the_plan_on_the_wall(plan, events):
    """Floating (RFC 5545, 3.3.5, form 1): no zone, so that 18:00 is 18:00 wherever the jar stands."""
    found = {str(event["SUMMARY"]).partition(":")[0]: event for event in events}
    assert found["Weigh, begin to melt"].start == datetime.datetime(2026, 12, 31, 18, 0)
    assert found["Pour"].start == datetime.datetime(2026, 12, 31, 19, 15)
    assert all(event.start.tzinfo is None and event.start < event.end for event in events)
    still, wick = plan.moment(plan.step("still")), plan.moment(plan.step("wick"))
    # What is forbidden or possible lasts from the pour.
    assert (found["Do not move the jar"].start, found["Do not move the jar"].end) == (found["Pour"].start, still)
    assert (found["Straighten a leaning wick"].start, found["Straighten a leaning wick"].end) == (
        found["Pour"].start,
        wick,
    )
    assert found["First test burn"].start == datetime.datetime(2027, 1, 14, 19, 15)


def test_every_event_has_what_the_standard_requires(text, events):
    """RFC 5545, 3.6.1: UID and DTSTAMP, the latter in UTC; 3.6: VERSION and PRODID of the calendar; 3.8.4.7."""
    calendar = icalendar.Calendar.from_ical(text)
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"].startswith("-//")
    assert len({str(event["UID"]) for event in events}) == len(events)
    for event in events:
        assert event.DTSTAMP.utcoffset() == datetime.timedelta(0)
        (alarm,) = event.walk("VALARM")
        # 3.6.6: an alarm that is shown has these three.
        assert {"ACTION", "TRIGGER", "DESCRIPTION"} <= set(alarm)


def test_reminders_come_before_it_is_too_late_and_after_what_is_forbidden(plan, events):
    rings = {
        str(event["SUMMARY"]).partition(":")[0]: [alarm.trigger for alarm in event.alarms.times] for event in events
    }
    assert rings["Pour"] == [datetime.datetime(2026, 12, 31, 19, 15)]
    assert rings["Do not move the jar"] == [plan.moment(plan.step("still"))]
    ten_minutes = datetime.timedelta(minutes=10)
    assert rings["Straighten a leaning wick"] == [plan.moment(plan.step("wick")) - ten_minutes]


def test_the_same_plan_is_the_same_file_and_another_one_has_other_names(text, plan, result):
    assert calendar_text(DAY, plan) == text
    later = with_overrides(DAY, {"plan.start": "18:30"})
    names = {line for line in calendar_text(later, plan_day(later, result)).splitlines() if line.startswith("UID:")}
    assert not names & set(text.splitlines())


def test_what_was_not_reached_is_left_out(plan):
    steps = tuple(replace(step, time=None) if step.name in ("lid", "burn") else step for step in plan.steps)
    found = icalendar.Calendar.from_ical(calendar_text(DAY, replace(plan, steps=steps))).walk("VEVENT")
    assert len(found) == len(plan.steps) - 2


def test_without_day_or_clock_there_is_no_calendar(result):
    bare = with_overrides(closed_pair()[0], QUICK)
    with pytest.raises(ScenarioError) as caught:
        calendar_text(bare, plan_day(bare, result))
    assert len(caught.value.faults) == 2
    assert "date: missing" in caught.value.faults[0]
    assert "pour.clock: missing" in caught.value.faults[1]
