"""What must hold for the run of any scenario."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from hypothesis import assume

from coolsim.errors import ScenarioError
from coolsim.report.text.box import box_data, box_text
from coolsim.report.text.runs import answers_data, answers_table
from coolsim.scenario import scenario_from_data
from coolsim.solve.simulate import simulate
from coolsim.solve.together import simulate_box
from coolsim.studies.workshop.boxes import box_answers

# A step may overshoot by a few times the error that it is allowed (0.2 K if not stated); an unstable one is off by tens
# of kelvins. The solver itself takes a step again that bends a temperature by ten times that error.
OVERSHOOT_LEAST, OVERSHOOT_TOLERANCES = 0.5, 2.5
# Volumes are added up in a few thousand terms, each with a rounding of 1e-16.
VOLUME_OPEN = 1e-12
# At half of the default grid and steps that err by 1 K a time is off by 0.4 %; here are two of them.
SETS_LATER = 0.01


def scenario_of(data):
    """The scenario; data that do not pass the check are none of ours."""
    try:
        return scenario_from_data(data, where="any")
    except ScenarioError:
        assume(False)


def check_run(data):
    """Run a scenario if it passes the check, and hold the run to what holds for each."""
    scenario = scenario_of(data)
    jar = scenario.jar
    if jar.places is None:
        result = simulate(jar)
        check_result(result, jar)
        # Whatever was found can be told, to people and to machines.
        assert answers_table([("any", result)], units=scenario.units, jars=[jar])
        assert answers_data([("any", result)], jars=[jar])
        return
    found = simulate_box(jar)
    for result in found.results:
        check_result(result, jar)
    assert found.ledger.closed
    check_bounds("air", found.history.nodes, jar, found.history.room)
    answers = box_answers(found)
    assert box_text(found, answers, units=scenario.units)
    assert box_data(found, answers)


def check_result(result, jar):
    """Hold a run of one jar to what holds for each."""
    parts = np.array(result.parts)[result.block]
    everywhere = result.temperatures(np.arange(len(result.block)))
    # What a jar has left behind on its way is not there any more.
    stays = np.isin(parts, ["wax", "glass"]) if jar.changes else np.ones(len(parts), dtype=bool)
    assert np.isfinite(everywhere[:, stays]).all()
    check_bounds("cells", everywhere, jar, result.history.room)
    check_bounds("air", result.history.nodes, jar, result.history.room)
    assert result.ledger.closed, result.warnings
    check_volumes(result.shrinkage)
    assert result.ended in ("cool", "horizon")


def check_bounds(called, found, jar, room):
    """Heat has no sources and flows from warm to cold.

    So nothing gets colder than the coldest, or hotter than the hottest, of what there was at the start and of the room
    (maximum principle).
    """
    start = [jar.pour, float(room[0]), jar.vessel.start, jar.support.start]
    start.append(None if jar.surround is None else jar.surround.start)
    start.append(None if jar.water is None else jar.water.temperature)
    stated = [one for one in start if one is not None]
    coldest, hottest = min(*stated, float(room.min())), max(*stated, float(room.max()))
    margin = max(OVERSHOOT_LEAST, OVERSHOOT_TOLERANCES * jar.accuracy.tolerance)
    if found.size and not np.isnan(found).all():
        assert np.nanmin(found) >= coldest - margin, f"{called} {coldest - np.nanmin(found):.2f} K too cold"
        assert np.nanmax(found) <= hottest + margin, f"{called} {np.nanmax(found) - hottest:.2f} K too hot"


def check_volumes(top):
    """No volume is less than nothing or more than there was, and all that was lost is somewhere."""
    ledger = top.ledger
    assert ledger.open_share < VOLUME_OPEN
    for share in (top.cavity, top.pores):
        assert share.min() >= 0.0
    assert (top.cavity + top.pores).max() <= 1.0 + VOLUME_OPEN
    deepest = VOLUME_OPEN * top.pour_level
    assert top.level.min() >= -deepest, f"the top lies {-top.level.min():.2e} m below the bottom"
    # Hot glass may warm the wax before it cools: 50 K of 3e-4 1/K, the most that is drawn of a wax of one's own, are
    # 1.5 %, and so much the level may rise.
    grown = 0.02
    assert top.level.max() <= (1.0 + grown) * top.pour_level
    assert top.dish_volume >= 0.0
    assert top.cavity_volume >= 0.0
    assert top.cavity_roof is None or top.cavity_roof >= 0.0
    whole = float(top.area.sum()) * top.pour_level
    parts = (ledger.surface, ledger.cavities, ledger.pores, ledger.solid)
    assert parts[0] >= -grown * whole, parts
    assert min(parts[1:3]) >= -VOLUME_OPEN * whole, parts
    assert math.isclose(sum(parts), ledger.total, abs_tol=VOLUME_OPEN * whole), (parts, ledger.total)


def check_colder(data, kelvins):
    """Run the same jar in a room that is some kelvins colder, and hold the two times of setting to each other.

    What starts as warm as the room follows it; what was warmed or cooled, or is held, does not.
    """
    jar = scenario_of(data).jar
    warm = jar.room.temperature
    colder = (lambda time: warm(time) - kelvins) if callable(warm) else warm - kelvins
    usual = set_times(jar)
    assume(any(time < math.inf for time in usual))
    for before, after in zip(usual, set_times(replace(jar, room=replace(jar.room, temperature=colder))), strict=True):
        assert before == math.inf or after <= (1.0 + SETS_LATER) * before, (before, after)


def set_times(jar):
    """When the wax of each kind of place is fully set [s]; infinite if not within the run."""
    results = [simulate(jar)] if jar.places is None else simulate_box(jar).results
    times = [result.events.fully_set for result in results]
    return [math.inf if time is None else time for time in times]
